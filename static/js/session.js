// A session's page: a finding that was opened closes on the second press; answers that refuse are shown as they come.

const SHOWN_REFUSALS = [409, 422];

document.body.addEventListener("htmx:beforeSwap", (event) => {
  if (!SHOWN_REFUSALS.includes(event.detail.xhr.status)) return;
  event.detail.shouldSwap = true;
  event.detail.isError = false;
});

function openedRow(link) {
  const next = link.closest("tr").nextElementSibling;
  return next?.classList.contains("opened") ? next : null;
}

// In the capture phase, so that htmx does not ask again for what is already open.
document.addEventListener(
  "click",
  (event) => {
    const link = event.target instanceof Element ? event.target.closest("a[data-opens]") : null;
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const row = openedRow(link);
    link.setAttribute("aria-expanded", row ? "false" : "true");
    if (!row) return;
    event.preventDefault();
    event.stopPropagation();
    row.remove();
  },
  true,
);

// Sorting moves single rows: what is open closes first.
document.addEventListener(
  "click",
  (event) => {
    const head = event.target instanceof Element ? event.target.closest(".first-look th button") : null;
    if (!head) return;
    for (const row of document.querySelectorAll(".first-look tr.opened")) row.remove();
    for (const link of document.querySelectorAll("a[data-opens]")) link.setAttribute("aria-expanded", "false");
  },
  true,
);

// Folded on a phone, where the findings below would be far away; open on a desk and on paper.
function openWhenWide(root) {
  if (!window.matchMedia("(min-width: 761px)").matches) return;
  for (const part of root.querySelectorAll("details[data-open-when-wide]")) part.open = true;
}

openWhenWide(document);
document.body.addEventListener("htmx:afterSwap", () => openWhenWide(document));
window.addEventListener("beforeprint", () => {
  for (const part of document.querySelectorAll(".start details:not(.inline)")) part.open = true;
});

// A region that is replaced takes the control along that was pressed. Where nothing of the same id took its place, the
// part of the page that the press stood in has the focus, so that the next Tab goes on from there.
let pressedIn = "";

document.body.addEventListener("htmx:beforeRequest", (event) => {
  pressedIn = event.detail.elt.closest("section[id]")?.id ?? "";
});

document.body.addEventListener("htmx:afterSettle", () => {
  if (document.activeElement && document.activeElement !== document.body) return;
  const part = document.getElementById(pressedIn);
  if (!part) return;
  part.setAttribute("tabindex", "-1");
  part.focus({ preventScroll: true });
});
