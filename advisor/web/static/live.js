// Sends a form without leaving the page, and puts what came back in place; without script the form is sent as any other.
"use strict";
let under = new AbortController(); // what was asked for last; what came before is not waited for
document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("[data-live]")) return;
  event.preventDefault();
  const sent = new FormData(form, event.submitter);
  const get = form.method === "get";
  const to = get ? `${form.action.split("?")[0]}?${new URLSearchParams(sent)}` : form.action;
  const focused = document.activeElement ? document.activeElement.id : "";
  const lost = form.querySelector("[data-lost]"); // says that no answer came; what was typed stays
  if (lost) lost.hidden = true;
  under.abort();
  under = new AbortController();
  const signal = under.signal;
  try {
    const reply = await fetch(to, get ? { signal } : { signal, method: "post", body: new URLSearchParams(sent) });
    if (reply.status >= 500) throw new Error(reply.status);
    const shown = new DOMParser().parseFromString(await reply.text(), "text/html").getElementById("main");
    document.getElementById("main").replaceWith(document.adoptNode(shown));
    if (reply.ok) history.pushState({}, "", reply.url);
    document.dispatchEvent(new Event("shown"));
    document.getElementById(focused)?.focus();
  } catch {
    if (signal.aborted) return;
    if (lost) lost.hidden = false;
    else form.submit();
  }
});
let soon; // a key that is held moves a slider many times
document.addEventListener("change", (event) => {
  if (!event.target.matches("[data-now]")) return;
  clearTimeout(soon);
  soon = setTimeout(() => event.target.form.requestSubmit(), 200);
});
addEventListener("popstate", () => location.reload());
