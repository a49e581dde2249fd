// Makes the picture larger or smaller, and tells what is pointed at; without script the browser's own zoom and lists do.
"use strict";
const sizeOf = (drawn) => {
  if (drawn instanceof HTMLImageElement) return [drawn.naturalWidth, drawn.naturalHeight, ""];
  return [...["width", "height"].map((side) => parseFloat(drawn.getAttribute(side))), "pt"];
};
const ready = () => {
  const zoom = document.querySelector("[data-zoom]");
  const drawn = document.querySelector(".drawn svg, .drawn img");
  if (!zoom || !drawn) return;
  let size;
  zoom.hidden = false;
  zoom.querySelector("input").addEventListener("input", (event) => {
    size ??= sizeOf(drawn);
    const [width, height, unit] = size;
    const times = event.target.value / 100;
    drawn.setAttribute("width", `${width * times}${unit}`);
    drawn.setAttribute("height", `${height * times}${unit}`);
  });
};
document.addEventListener("shown", ready);
ready();
const point = (event) => {
  const box = event.target.closest(".drawn g.node a");
  const says = box?.getAttributeNS("http://www.w3.org/1999/xlink", "title");
  const told = document.querySelector("[data-pointed]");
  if (!told || !says) return;
  told.hidden = false;
  told.textContent = says;
};
document.addEventListener("pointerover", point);
document.addEventListener("focusin", point);
