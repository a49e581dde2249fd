// Makes the picture larger or smaller, and tells what is pointed at; without script the browser's own zoom and lists do.
"use strict";
const zoom = document.querySelector("[data-zoom]");
const drawn = document.querySelector(".drawn svg");
if (zoom && drawn) {
  const [width, height] = ["width", "height"].map((side) => parseFloat(drawn.getAttribute(side)));
  zoom.hidden = false;
  zoom.querySelector("input").addEventListener("input", (event) => {
    const times = event.target.value / 100;
    drawn.setAttribute("width", `${width * times}pt`);
    drawn.setAttribute("height", `${height * times}pt`);
  });
}
const told = document.querySelector("[data-pointed]");
const point = (event) => {
  const box = event.target.closest(".drawn g.node a");
  const says = box?.getAttributeNS("http://www.w3.org/1999/xlink", "title");
  if (!told || !says) return;
  told.hidden = false;
  told.textContent = says;
};
document.addEventListener("pointerover", point);
document.addEventListener("focusin", point);
