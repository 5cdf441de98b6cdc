// A part of a page that was sent from an earlier sign-in is refused with a notice, which says where it belongs.

const REFUSED = 403;

document.addEventListener("htmx:beforeSwap", (event) => {
  const { xhr } = event.detail;
  if (xhr.status === REFUSED && xhr.getResponseHeader("HX-Retarget")) event.detail.shouldSwap = true;
});
