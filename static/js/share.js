// At most three points: what is left unticked cannot be ticked once three are.

const form = document.querySelector("[data-share]");
const most = Number(form?.dataset.most);

function follow() {
  for (const name of ["work", "better"]) {
    const boxes = [...form.querySelectorAll(`input[name=${name}]`)];
    const full = boxes.filter((box) => box.checked).length >= most;
    for (const box of boxes) box.disabled = full && !box.checked;
  }
}

form?.addEventListener("change", follow);
if (form) {
  for (const plain of form.querySelectorAll("[data-without-script]")) plain.hidden = true;
  follow();
}
