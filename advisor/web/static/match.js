// While a fact is typed, shows those that its first letters fit; Enter takes the first, or the one that the arrows chose.
// Without script the browser's own list is there, and what is typed is read as it stands.
"use strict";
const MOST = 8;
const box = () => document.querySelector("[data-matches]");
const shelf = () => document.getElementById(box().dataset.matches);
const wordsOf = (text) => text.toLowerCase().split(/[^\p{L}\p{N}.%]+/u).filter(Boolean);
const piece = () => /[^;\n]*$/.exec(box().value)[0].trimStart();
let offered = [];
const begin = () => {
  const field = box();
  if (!field) return;
  offered = [...document.getElementById(field.getAttribute("list") || "").options].map((each) => ({
    typed: each.value,
    says: each.text,
    words: [wordsOf(each.value), wordsOf(each.text)],
  }));
  field.removeAttribute("list"); // two lists would stand over each other
  field.setAttribute("role", "combobox");
  field.setAttribute("aria-autocomplete", "list");
  field.setAttribute("aria-controls", field.dataset.matches);
  show([]);
};
const fits = (parts, words) => {
  let at = 0;
  for (const part of parts) {
    while (at < words.length && !words[at].startsWith(part)) at += 1;
    if (at++ >= words.length) return false;
  }
  return true;
};
const whole = (parts, words) => parts.filter((part) => words.includes(part)).length;
const matching = () => {
  const parts = wordsOf(piece());
  if (!parts.length) return [];
  const found = offered.filter((each) => each.words.some((words) => fits(parts, words)));
  const worth = (each) => Math.max(...each.words.map((words) => whole(parts, words)));
  return found.sort((one, other) => worth(other) - worth(one)).slice(0, MOST); // a sort keeps the order of equals
};
const show = (found) => {
  const list = shelf();
  list.replaceChildren(
    ...found.map((each, n) => {
      const item = document.createElement("li");
      item.id = `match${n}`;
      item.role = "option";
      item.textContent = each.says;
      item.dataset.typed = each.typed;
      return item;
    }),
  );
  list.hidden = !found.length;
  box().setAttribute("aria-expanded", String(!list.hidden));
  choose(0);
};
const chosen = () => shelf().querySelector("[aria-selected=true]");
const choose = (n) => {
  const items = [...shelf().children];
  items.forEach((each, at) => each.setAttribute("aria-selected", String(at === n)));
  if (items[n]) box().setAttribute("aria-activedescendant", items[n].id);
  else box().removeAttribute("aria-activedescendant");
};
const take = (typed) => {
  const field = box();
  field.value = field.value.slice(0, field.value.length - piece().length) + typed;
  show([]);
  return !typed.endsWith(": "); // else its figure is still to be typed
};
document.addEventListener("input", (event) => {
  if (event.target === box()) show(matching());
});
document.addEventListener("keydown", (event) => {
  if (event.target !== box() || shelf().hidden || event.isComposing) return;
  const items = [...shelf().children];
  const at = items.indexOf(chosen());
  if (event.key === "ArrowDown") choose((at + 1) % items.length);
  else if (event.key === "ArrowUp") choose((at + items.length - 1) % items.length);
  else if (event.key === "Escape") show([]);
  else if (event.key === ";") {
    if (take(chosen().dataset.typed)) return; // the sign itself is typed after it
  } else if (event.key === "Enter") {
    if (take(chosen().dataset.typed)) box().form.requestSubmit();
  } else return;
  event.preventDefault();
});
document.addEventListener("mousedown", (event) => {
  const item = event.target.closest("[role=option]");
  if (!item || item.parentElement !== shelf()) return;
  event.preventDefault();
  if (take(item.dataset.typed)) box().form.requestSubmit();
});
document.addEventListener("shown", begin);
begin();
