// Looks again every few seconds, and puts what has changed in place; without script there is a link that does it.
"use strict";
const SECONDS = 3;
const shown = () => document.querySelector("[data-watch]");
let was = shown().innerHTML;
setInterval(async () => {
  if (document.hidden) return;
  try {
    const reply = await fetch(location.href);
    if (!reply.ok) return;
    const fresh = new DOMParser().parseFromString(await reply.text(), "text/html").querySelector("[data-watch]");
    if (!fresh || fresh.innerHTML === was) return;
    was = fresh.innerHTML;
    const held = shown().contains(document.activeElement);
    shown().replaceWith(document.adoptNode(fresh));
    if (held) document.getElementById("main").focus();
  } catch {
    return; // the next look may reach the server again
  }
}, SECONDS * 1000);
