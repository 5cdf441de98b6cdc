// The form of screens: own number keys, what follows from two sides, plausible spans, drafts. Without script it is plain.

import { Draft } from "./screen-draft.js";
import { numberOf, outputText, valueOf, written, wrongWith } from "./screen-numbers.js";

const form = document.querySelector("form[data-screens]");

function say(sentence) {
  form.querySelector("[data-said]").textContent = sentence;
}

function fields() {
  return [...form.querySelectorAll("input[data-value]")].filter((field) => field.offsetParent !== null);
}

// ---- what is wrong, and what follows

function check(field) {
  const sentence = wrongWith(field);
  const place = document.getElementById(`e-${field.name}`);
  if (place.textContent !== sentence) place.textContent = sentence;
  if (sentence) field.setAttribute("aria-invalid", "true");
  else field.removeAttribute("aria-invalid");
}

function showWorkedOut() {
  for (const output of form.querySelectorAll("output[data-worked]")) {
    const text = outputText(form, output);
    if (output.textContent !== text) output.textContent = text;
  }
}

function sidesOf(block) {
  return [...new Set([...block.querySelectorAll("[data-value]")].map((field) => field.dataset.value))];
}

function askAboutSides(block) {
  const place = block.querySelector("[data-ask]");
  if (!place) return;
  const [first, second] = sidesOf(block).map((key) => valueOf(form, key));
  const gap = first == null || second == null ? 0 : Math.abs(first - second);
  const isLarge = gap > Number(block.dataset.askOver);
  const unit = block.querySelector(".unit")?.textContent ?? "";
  if (isLarge) {
    place.querySelector("span").textContent = `The sides differ by ${written(gap, 0)}${unit === "°" ? "" : " "}${unit}. Is it the other side?`;
  }
  place.hidden = !isLarge;
}

function swapSides(block) {
  const [first, second] = sidesOf(block).map((key) => [...block.querySelectorAll(`[data-value="${key}"]`)]);
  first.forEach((field, index) => {
    const other = second[index];
    [field.value, other.value] = [other.value, field.value];
    changed(field);
    changed(other);
  });
  say("The sides are swapped.");
}

function saveWords() {
  const filled = [...form.querySelectorAll("[data-value]")].filter((field) => field.value.trim() !== "").length;
  const chosen = form.querySelectorAll("[data-choice]:checked:not([value=''])").length;
  const reasons = [...form.querySelectorAll("select[data-reason-of]")].filter((one) => one.value !== "").length;
  return filled + chosen + reasons;
}

const save = form?.querySelector("[data-save]");
const saveText = save?.textContent ?? "";

function showCount() {
  const count = saveWords();
  form.classList.toggle("filled", count > 0); // with nothing to save the bar covers no field
  const [verb, ...rest] = saveText.split(" ");
  save.textContent = count ? [verb, `${count} value${count > 1 ? "s" : ""}`, ...rest].join(" ") : saveText;
}

function changed(field) {
  if (field.dataset.value && field.value.trim() !== "") clearReason(field);
  if (wrongWith(field) === "") check(field); // a sentence comes when the value is left, and goes at once
  showWorkedOut();
  askAboutSides(field.closest("[data-screen]"));
  showCount();
  draft.soon();
}

function clearReason(field) {
  const select = form.elements[field.dataset.reason];
  if (select && select.value !== "") select.value = "";
}

function reasonChanged(select) {
  if (select.value !== "") {
    for (const field of form.querySelectorAll(`[data-value="${select.dataset.reasonOf}"]`)) {
      field.value = "";
      check(field);
    }
  }
  showWorkedOut();
  showCount();
  draft.soon();
}

// ---- own number keys

const keypad = form?.querySelector("[data-keypad]");
let active = null;

function activate(field) {
  active = field;
  keypad.hidden = false;
  document.body.classList.add("typing");
  const { side, last } = field.dataset;
  keypad.querySelector("[data-for]").textContent = last ? `${side} · last ${last}` : side;
  keypad.querySelector("[data-key=minus]").disabled = field.dataset.minus === "";
  keypad.querySelector("[data-key=point]").disabled = field.dataset.point === "";
  keypad.querySelector("[data-key=next]").textContent = isLastOfStation() ? "Save" : "Next";
  for (const block of form.querySelectorAll(".screen.current")) block.classList.remove("current");
  const block = field.closest(".screen");
  block.classList.add("current");
  block.scrollIntoView({ block: "nearest" });
}

function hideKeys() {
  keypad.hidden = true;
  document.body.classList.remove("typing");
  active?.blur();
}

function next() {
  const all = fieldsWithHidden();
  const following = all[all.indexOf(active) + 1];
  if (!following) {
    const isLast = isLastOfStation();
    hideKeys();
    if (isLast) form.requestSubmit(save);
    else save.focus();
    return;
  }
  following.closest("details:not([open])")?.setAttribute("open", "");
  activate(following);
  following.focus();
}

/** At a station the last value's key saves and goes to the next athlete. */
function isLastOfStation() {
  return form.dataset.screens === "station" && fieldsWithHidden().at(-1) === active;
}

/** Also those that one-at-a-time hides; not those in parts that are closed. */
function fieldsWithHidden() {
  if (!form.classList.contains("one")) return fields();
  return [...form.querySelectorAll(".group-h ~ .screen input[data-value], details[open] input[data-value]")];
}

function put(text) {
  active.value = text;
  changed(active);
}

const KEYS = {
  erase: () => put(active.value.slice(0, -1)),
  minus: () => put(active.value.startsWith("−") ? active.value.slice(1) : `−${active.value}`),
  point: () => !active.value.includes(".") && put(`${active.value}.`),
  pain: () => {
    const select = form.elements[active.dataset.reason];
    select.value = select.value === "pain" ? "" : "pain";
    reasonChanged(select);
    say(select.value ? "Not tested: pain." : "Taken back: not tested.");
    if (select.value) next();
  },
  hide: hideKeys,
  next,
};

function pressed(key) {
  if (!active) return;
  if (KEYS[key]) KEYS[key]();
  else if (active.value.length < active.maxLength) put(active.value + key);
}

function wireKeypad() {
  for (const field of form.querySelectorAll("input[data-value]")) field.inputMode = "none";
  // The value keeps the focus while its keys are pressed.
  keypad.addEventListener("pointerdown", (event) => event.preventDefault());
  keypad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]")?.dataset.key;
    if (key) pressed(key);
  });
}

// ---- one at a time

function wireOneAtATime() {
  const button = form.querySelector("[data-one-at-a-time]");
  if (!button) return;
  button.hidden = false;
  button.addEventListener("click", () => {
    const isOne = form.classList.toggle("one");
    button.setAttribute("aria-pressed", String(isOne));
    const first = (active?.closest(".screen") ?? form).querySelector("input[data-value]");
    if (isOne && first) {
      activate(first);
      first.focus();
    }
  });
}

let draft = null;

function wire() {
  draft = new Draft(form, say);
  wireKeypad();
  wireOneAtATime();
  form.addEventListener("focusin", (event) => event.target.matches("input[data-value]") && activate(event.target));
  form.addEventListener("focusout", (event) => event.target.matches("input[data-value]") && check(event.target));
  form.addEventListener("input", (event) => event.target.matches("input[data-value]") && changed(event.target));
  form.addEventListener("change", (event) => {
    if (event.target.matches("select[data-reason-of]")) reasonChanged(event.target);
    else if (!event.target.matches("[data-value]")) {
      showCount();
      draft.soon();
    }
  });
  form.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !keypad.hidden) hideKeys();
    if (event.key !== "Enter" || !event.target.matches("input[data-value]")) return;
    event.preventDefault();
    next();
  });
  form.addEventListener("click", (event) => {
    const swap = event.target.closest("[data-swap]");
    if (swap) swapSides(swap.closest("[data-screen]"));
  });
  form.addEventListener("submit", () => draft.end());
  for (const block of form.querySelectorAll("[data-screen]")) askAboutSides(block);
  showWorkedOut();
  showCount();
}

if (form) {
  wire();
  const asked = new URLSearchParams(window.location.search).get("screen");
  const first = fields().find((field) => numberOf(field.value) === null);
  if ((asked || document.querySelector(".station-name")) && first) first.focus();
}
