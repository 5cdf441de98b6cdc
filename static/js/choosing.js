// Choosing rows of the roster: one box in the head for all rows of the page, and how many are chosen.
// The boxes belong to the form #assign by their form attribute; without script they are ticked one by one.

const boxes = () => [...document.querySelectorAll("#roster-list input[name=athletes]")];

function tell() {
  const all = boxes();
  const chosen = all.filter((box) => box.checked).length;
  const words = document.querySelector("#assign [data-chosen]");
  if (words) words.textContent = chosen === 0 ? "Nobody is chosen yet." : `${chosen} chosen.`;
  const head = document.querySelector("#roster-list input[data-choose-all]");
  if (head) {
    head.checked = chosen > 0 && chosen === all.length;
    head.indeterminate = chosen > 0 && chosen < all.length;
  }
}

function prepare() {
  const head = document.querySelector("#roster-list [data-choose-all]");
  if (head) head.closest("[hidden]")?.removeAttribute("hidden");
  tell();
}

document.addEventListener("change", (event) => {
  const box = event.target;
  if (!(box instanceof HTMLInputElement)) return;
  if (box.dataset.chooseAll !== undefined) for (const one of boxes()) one.checked = box.checked;
  if (box.dataset.chooseAll !== undefined || box.name === "athletes") tell();
});
document.body.addEventListener("htmx:afterSwap", prepare);
prepare();
