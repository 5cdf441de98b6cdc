// Keys: ? lists them, / goes to the search. Both can be turned off (WCAG 2.1.4), remembered on this device.

const STORED = "moundbook-single-keys";
const dialog = document.getElementById("keys");
const choice = document.getElementById("keys-on");

function remembered() {
  try {
    return localStorage.getItem(STORED) !== "off";
  } catch {
    return true; // storage is closed in some private windows
  }
}

function remember(on) {
  try {
    localStorage.setItem(STORED, on ? "on" : "off");
  } catch {
    // the choice then lasts for this page
  }
}

function isTyping(target) {
  return target instanceof Element && (target.closest("input, select, textarea, [contenteditable]") !== null);
}

let singleKeys = remembered();

if (choice) {
  choice.checked = singleKeys;
  choice.addEventListener("change", () => {
    singleKeys = choice.checked;
    remember(singleKeys);
  });
}

const actions = {
  "?": () => dialog && !dialog.open && dialog.showModal(),
  "/": () => {
    const field = document.getElementById("search");
    field?.focus();
    field?.select();
  },
};

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
  const action = actions[event.key];
  if (!action || !singleKeys || (dialog && dialog.open)) return;
  event.preventDefault();
  action();
});

for (const button of document.querySelectorAll("[data-keys-open]")) {
  button.addEventListener("click", () => dialog?.showModal());
}

// The account's menu closes on Escape and on a press outside.
const menu = document.querySelector("details.me");
if (menu) {
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !menu.open) return;
    menu.open = false;
    menu.querySelector("summary").focus();
  });
  document.addEventListener("click", (event) => {
    if (menu.open && !menu.contains(event.target)) menu.open = false;
  });
}
