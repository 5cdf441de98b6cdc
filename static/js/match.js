// The match page: [data-next-question] goes to the next column that asks for a look, and after the last to the first.

function nextAsking() {
  const asking = [...document.querySelectorAll("tr.ask select[id$='-what']")];
  const here = document.activeElement?.closest("tr");
  const isAfter = (select) => here.compareDocumentPosition(select.closest("tr")) & Node.DOCUMENT_POSITION_FOLLOWING;
  return (here && asking.find(isAfter)) || asking[0];
}

function go() {
  const found = nextAsking();
  if (!found) return;
  found.focus();
  found.scrollIntoView({ block: "center" });
}

function show(root) {
  for (const button of root.querySelectorAll("[data-next-question]")) button.hidden = false;
}

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-next-question]")) go();
});
document.addEventListener("htmx:load", (event) => show(event.detail.elt));
show(document);
