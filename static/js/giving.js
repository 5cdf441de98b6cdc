// <form id="give-work">: the day to look again keeps its distance from the first day, until somebody chooses it.

const start = document.querySelector("#give-work [name=start]");
const due = document.querySelector("#give-work [name=due]");

function follow() {
  let before = start.valueAsDate;
  let isChosen = false;
  due.addEventListener("input", () => { isChosen = true; });
  start.addEventListener("change", () => {
    const now = start.valueAsDate;
    if (!now) return;
    if (!isChosen && before && due.valueAsDate) due.valueAsDate = new Date(due.valueAsDate.getTime() + (now - before));
    before = now;
  });
}

if (start && due) follow();
