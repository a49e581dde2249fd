// Sends a form without leaving the page, and puts what came back in place; without script the form is sent as any other.
"use strict";
document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("[data-live]")) return;
  event.preventDefault();
  const sent = new FormData(form, event.submitter);
  const get = form.method === "get";
  const to = get ? `${form.action.split("?")[0]}?${new URLSearchParams(sent)}` : form.action;
  const focused = document.activeElement ? document.activeElement.id : "";
  try {
    const reply = await fetch(to, get ? {} : { method: "post", body: new URLSearchParams(sent) });
    const shown = new DOMParser().parseFromString(await reply.text(), "text/html").getElementById("main");
    document.getElementById("main").replaceWith(document.adoptNode(shown));
    if (reply.ok) history.pushState({}, "", reply.url);
    document.getElementById(focused)?.focus();
  } catch {
    form.submit();
  }
});
document.addEventListener("change", (event) => {
  if (event.target.matches("[data-now]")) event.target.form.requestSubmit();
});
document.addEventListener("input", (event) => {
  const output = event.target.matches("input[type=range]") && event.target.form.querySelector("output");
  if (output) output.textContent = `${event.target.value} ${event.target.dataset.unit}`;
});
addEventListener("popstate", () => location.reload());
