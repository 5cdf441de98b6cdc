// Choosing rows of the roster: one box in the head for all rows of the page, and how many are chosen. Who was chosen
// stays so while the list is filtered and sorted, also when another list stands there.
// The boxes belong to the form #assign by their form attribute; without script they are ticked one by one.

const chosen = new Set();
const boxes = () => [...document.querySelectorAll("#roster-list input[type=checkbox][name=athletes]")];

function sendElsewhere(elsewhere) {
  const form = document.querySelector("#assign");
  if (!form) return;
  for (const old of form.querySelectorAll("input[type=hidden][name=athletes]")) old.remove();
  for (const value of elsewhere) {
    const one = document.createElement("input");
    Object.assign(one, { type: "hidden", name: "athletes", value });
    form.append(one);
  }
}

function sentence(elsewhere) {
  if (chosen.size === 0) return "Nobody is chosen yet.";
  return elsewhere.length === 0 ? `${chosen.size} chosen.` : `${chosen.size} chosen, ${elsewhere.length} of them not in this list.`;
}

function tell() {
  const all = boxes();
  const here = new Set(all.map((box) => box.value));
  const elsewhere = [...chosen].filter((value) => !here.has(value));
  sendElsewhere(elsewhere);
  const words = document.querySelector("#assign [data-chosen]");
  if (words) words.textContent = sentence(elsewhere);
  const head = document.querySelector("#roster-list input[data-choose-all]");
  if (head) {
    const ticked = chosen.size - elsewhere.length;
    head.checked = ticked > 0 && ticked === all.length;
    head.indeterminate = ticked > 0 && ticked < all.length;
  }
}

function keep(box) {
  if (box.checked) chosen.add(box.value);
  else chosen.delete(box.value);
}

function prepare() {
  const head = document.querySelector("#roster-list [data-choose-all]");
  if (head) head.closest("[hidden]")?.removeAttribute("hidden");
  for (const box of boxes()) {
    if (box.checked) keep(box); // as a browser fills them in that goes back
    box.checked = chosen.has(box.value);
  }
  tell();
}

document.addEventListener("change", (event) => {
  const box = event.target;
  if (!(box instanceof HTMLInputElement)) return;
  if (box.dataset.chooseAll === undefined && box.name !== "athletes") return;
  if (box.dataset.chooseAll !== undefined) for (const one of boxes()) one.checked = box.checked;
  boxes().forEach(keep);
  tell();
});
document.body.addEventListener("htmx:afterSwap", prepare);
prepare();
