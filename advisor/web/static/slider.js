// The slider beside a number field: both show the same. Without script there is the field alone.
"use strict";
const PARTS = 40; // of the way between two stops
const even = (size) => {
  const ten = 10 ** Math.floor(Math.log10(size));
  return [5, 2, 1].map((each) => each * ten).find((each) => each <= size);
};
const begin = () => {
  const slider = document.querySelector("[data-slider]");
  if (!slider) return;
  const [range, shown, field] = [slider.querySelector("input"), slider.querySelector("output"), document.getElementById("at")];
  const marks = [...slider.querySelectorAll("[data-at]")].map((each) => each.dataset.at);
  const stops = marks.map(Number);
  const placeOf = (value) => {
    const next = stops.findIndex((each, n) => n && value <= each);
    if (next < 0) return stops.length - 1;
    return Math.max(0, next - 1 + (value - stops[next - 1]) / (stops[next] - stops[next - 1]));
  };
  const valueAt = (place) => {
    const from = Math.floor(place + 1e-6);
    if (place - from < 1e-6) return marks[from];
    const size = stops[from + 1] - stops[from];
    const step = Math.max(even(size / PARTS), slider.hasAttribute("data-whole") ? 1 : 0);
    const exact = stops[from] + (place - from) * size;
    const rounded = Math.round(exact / step) * step;
    return String(Number((rounded > stops[from] && rounded < stops[from + 1] ? rounded : exact).toPrecision(6)));
  };
  const tell = () => {
    const says = field.value ? `${field.value} ${slider.dataset.unit}` : slider.dataset.unknown;
    shown.textContent = says;
    range.setAttribute("aria-valuetext", says);
  };
  range.max = stops.length - 1;
  range.step = 1 / PARTS;
  range.value = placeOf(Number(range.dataset.stands || marks[0]));
  range.addEventListener("input", () => {
    field.value = valueAt(Number(range.value));
    tell();
  });
  field.addEventListener("input", () => {
    range.value = placeOf(Number(field.value));
    tell();
  });
  tell();
  slider.hidden = false;
};
document.addEventListener("shown", begin);
begin();
