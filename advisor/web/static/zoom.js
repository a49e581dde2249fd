// Makes the picture larger or smaller; without script the browser's own zoom does.
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
