// The check-in on Today: a refused answer is shown in its line, and the place on the page is kept.

const REFUSED = 422;

document.body.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.xhr.status !== REFUSED || !event.detail.target.classList.contains("asked")) return;
  event.detail.shouldSwap = true;
  event.detail.isError = false;
});

// htmx gives the focus back to the control of the same id. Where that control is gone (a height that is saved), the
// first answer of the line takes it, and a word that may be added is the next thing to type.
document.body.addEventListener("htmx:afterSettle", (event) => {
  const line = event.detail.elt;
  if (!(line instanceof Element) || !line.classList.contains("asked")) return;
  if (document.activeElement === document.body || document.activeElement === null) {
    line.querySelector(".feel button, .feel a")?.focus();
  }
});
