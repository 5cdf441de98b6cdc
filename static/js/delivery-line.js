// The delivery line: one flag is selected at a time, and its arcs show. ← → go from flag to flag, Enter opens the
// finding, Esc clears. Works on whatever section is in the page, also after one was swapped.

const SECTION = "[data-delivery-line]";

function partsOf(section, selector) {
  return [...section.querySelectorAll(selector)];
}

function linksOf(section, key) {
  return partsOf(section, "a.flag-link").filter((link) => link.dataset.flag === key);
}

function isShown(element) {
  return element.getClientRects().length > 0;
}

/** Show the arcs and causes of a flag ("" for none) in every picture of the section, and say so. */
function select(section, key) {
  const [first] = linksOf(section, key);
  const chosen = first ? key : "";
  section.dataset.selected = chosen;
  for (const arcs of partsOf(section, "[data-arcs]")) arcs.classList.toggle("on", arcs.dataset.arcs === chosen);
  const group = partsOf(section, "[data-arcs]").find((arcs) => arcs.dataset.arcs === chosen);
  const kin = new Set(chosen ? [chosen, ...(group?.dataset.kin ?? "").split(" ")] : []);
  for (const point of partsOf(section, ".pt")) point.classList.toggle("on", kin.has(point.dataset.key));
  for (const link of partsOf(section, "a.flag-link")) {
    if (link.dataset.flag === chosen) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
  for (const row of partsOf(section, "[data-flag-row]")) row.classList.toggle("on", row.dataset.flagRow === chosen);
  arrangeTabs(section);
  say(section, first);
}

function say(section, link) {
  section.querySelector("[data-line-selected]").hidden = !link;
  section.querySelector("[data-line-otherwise]").hidden = Boolean(link);
  if (!link) return;
  section.querySelector("[data-line-name]").textContent = link.dataset.name;
  section.querySelector("[data-line-rest]").textContent = link.dataset.rest;
  section.querySelector("[data-line-open]").setAttribute("href", link.getAttribute("href"));
}

/** One stop of the Tab key a picture: the selected flag, else that in focus or the first; the arrows do the rest. */
function arrangeTabs(section) {
  for (const picture of partsOf(section, "svg[data-picture]")) {
    const links = [...picture.querySelectorAll("a.flag-link")];
    const isStop = (link) => link.dataset.flag === section.dataset.selected || link === document.activeElement;
    const stop = links.find(isStop) ?? links[0];
    for (const link of links) link.setAttribute("tabindex", link === stop ? "0" : "-1");
  }
}

function begin() {
  for (const section of document.querySelectorAll(SECTION)) {
    if (section.dataset.begun) continue;
    section.dataset.begun = "yes";
    for (const hint of partsOf(section, "[data-with-script]")) hint.hidden = false;
    select(section, section.dataset.selected);
  }
}

function flagAt(event) {
  const link = event.target instanceof Element ? event.target.closest("a.flag-link") : null;
  return link && link.closest(SECTION) ? link : null;
}

let pressedWhenSelected = true;

document.addEventListener("pointerdown", (event) => {
  const link = flagAt(event);
  pressedWhenSelected = !link || link.closest(SECTION).dataset.selected === link.dataset.flag;
});

// The first press selects, the second opens; Enter always opens (a click without a pointer has detail 0).
document.addEventListener("click", (event) => {
  const link = flagAt(event);
  if (link) {
    const opensElsewhere = event.ctrlKey || event.metaKey || event.shiftKey;
    if (event.detail === 0 || opensElsewhere || pressedWhenSelected) return;
    event.preventDefault();
    select(link.closest(SECTION), link.dataset.flag);
    return;
  }
  const button = event.target instanceof Element ? event.target.closest("[data-select-flag]") : null;
  const section = button && document.querySelector(SECTION);
  if (section) select(section, button.dataset.selectFlag);
});

document.addEventListener("focusin", (event) => {
  const link = flagAt(event);
  if (link && link.matches(":focus-visible")) select(link.closest(SECTION), link.dataset.flag);
});

const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

document.addEventListener("keydown", (event) => {
  const link = flagAt(event);
  if (!link || event.ctrlKey || event.metaKey || event.altKey) return;
  const section = link.closest(SECTION);
  if (event.key === "Escape") {
    select(section, "");
    event.preventDefault();
  } else if (event.key in STEPS) {
    const links = partsOf(section, "a.flag-link").filter(isShown);
    const place = links.indexOf(link) + STEPS[event.key];
    links[(place + links.length) % links.length].focus();
    event.preventDefault();
  }
});

// On paper the numbers are open, in browsers whose style sheets cannot do it too.
const openedForPrint = new Set();
window.addEventListener("beforeprint", () => {
  for (const numbers of document.querySelectorAll("details.dl-numbers:not([open])")) {
    numbers.open = true;
    openedForPrint.add(numbers);
  }
});
window.addEventListener("afterprint", () => {
  for (const numbers of openedForPrint) numbers.open = false;
  openedForPrint.clear();
});

document.addEventListener("htmx:afterSettle", begin);
begin();
