// One tap marks work as done. Without a connection the tick is kept in this browser, and sent when there is one.

import { dropTick, keepTick, keptTicks, newUuid } from "./kept-ticks.js";

const REFUSED = 422;
const GONE = 404;
const section = document.getElementById("work");
const said = document.getElementById("work-said");

const SIGN_IN = "It could not be sent now. It is kept on this device. Load the page again, and sign in if you are asked.";
const OFFLINE = "No connection. The tick is kept on this device and sent later.";
const NOT_KEPT = "No connection, and this browser keeps nothing. Tap again when there is one.";
const NEEDS_LINE = "No connection. A tick that was sent can be taken back when there is one.";
const IS_GONE = "A tick was not kept: that work is not there any more.";

let sending = false;
let turn = Promise.resolve(); // taps are sent one after the other, so that the last one counts

function say(...sentences) {
  const text = sentences.filter(Boolean).join(" ");
  said.textContent = text;
  said.hidden = text === "";
}

function token() {
  return JSON.parse(document.body.getAttribute("hx-headers") ?? "{}")["X-CSRFToken"] ?? "";
}

/** {kind: "done" | "refused" | "gone" | "later" | "offline", answer}. Never throws. */
async function send(address, fields) {
  try {
    const answer = await fetch(address, {
      method: "POST",
      body: new URLSearchParams(fields),
      headers: { "X-Requested-With": "fetch", "X-CSRFToken": token() },
      credentials: "same-origin",
      redirect: "manual",
    });
    if (answer.status === GONE) return { kind: "gone" };
    if (!answer.ok && answer.status !== REFUSED) return { kind: "later" };
    return { kind: answer.ok ? "done" : "refused", answer: await answer.json() };
  } catch {
    return { kind: "offline" };
  }
}

/** The list as the server has it now, unless it is another athlete’s. The focus stays on the control of the same id. */
function show(answer) {
  const list = document.getElementById("work-list");
  if (!list || answer.athlete !== section.dataset.athlete) return;
  const focused = document.activeElement?.id;
  const open = [...list.querySelectorAll("details[open]")].map((one) => one.id);
  window.htmx.swap(list, answer.list, { swapStyle: "innerHTML", swapDelay: 0, settleDelay: 0 });
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  markKept();
  if (focused) document.getElementById(focused)?.focus();
}

function buttonOf({ work, date }) {
  return document.getElementById(`tick-${work}-${date}`);
}

function mark(button, isDone, isKept) {
  button.setAttribute("aria-pressed", String(isDone));
  button.value = isDone ? "0" : "1";
  button.toggleAttribute("data-kept", isKept);
}

function markKept() {
  for (const tick of keptTicks()) {
    const button = buttonOf(tick);
    if (button) mark(button, true, true);
  }
}

async function sendKept() {
  if (sending) return;
  sending = true;
  const told = new Set();
  for (const tick of keptTicks()) {
    const address = section.dataset.address.replace("00000000-0000-0000-0000-000000000000", tick.work);
    const { kind, answer } = await send(address, { date: tick.date, tick: tick.tick, done: "1" });
    if (kind === "offline") break;
    if (kind === "later") {
      told.add(SIGN_IN);
      break;
    }
    dropTick(tick);
    if (kind === "gone") told.add(IS_GONE);
    if (kind === "refused") told.add(answer.said);
    if (answer) show(answer);
    else mark(buttonOf(tick) ?? document.createElement("button"), false, false);
  }
  sending = false;
  if (told.size > 0 || keptTicks().length === 0) say(...told);
}

/** What the tap shows at once; the answer shows what is kept. A tick that was not sent yet is only dropped. */
function tapped(form, button) {
  const tick = { tick: newUuid(), work: form.dataset.tick, date: form.elements.date.value };
  const isDone = button.value === "1";
  const kept = keptTicks().find((one) => one.work === tick.work && one.date === tick.date);
  mark(button, isDone, false);
  if (kept && !isDone) {
    dropTick(kept);
    say();
  } else {
    const address = form.action;
    turn = turn.then(() => sendTapped(address, tick, isDone));
  }
}

async function sendTapped(address, tick, isDone) {
  const { kind, answer } = await send(address, { date: tick.date, tick: tick.tick, done: isDone ? "1" : "0" });
  const button = buttonOf(tick);
  if (answer) {
    show(answer);
    say(answer.said);
    if (kind === "done") await sendKept();
  } else if (isDone && kind !== "gone" && keepTick(tick)) {
    if (button) mark(button, true, true);
    say(kind === "later" ? SIGN_IN : OFFLINE);
  } else {
    if (button) mark(button, !isDone, false);
    if (kind === "gone") say(IS_GONE);
    else say(isDone ? NOT_KEPT : NEEDS_LINE);
  }
}

async function corrected(form) {
  const { kind, answer } = await send(form.action, new FormData(form));
  if (answer && kind === "done") show(answer);
  say(answer ? answer.said || "Saved." : "Nothing was saved. Try again when there is a connection.");
}

function dateThere() {
  return new Intl.DateTimeFormat("sv-SE", { timeZone: section.dataset.zone }).format(new Date());
}

/** Once a day: where this device’s clock is wrong, the day that the page came with counts. */
function isLoadedFor(date) {
  const before = history.state?.loadedFor;
  history.replaceState({ ...history.state, loadedFor: date }, "");
  return before === date;
}

/** A page that is left open over midnight: today is another day. True while the page is loaded again for it. */
function turnDay() {
  if (!section.dataset.today || dateThere() <= section.dataset.today) return false;
  if (navigator.onLine && keptTicks().length === 0) {
    if (isLoadedFor(dateThere())) return false;
    window.location.reload();
    return true;
  }
  section.dataset.today = dateThere();
  for (const form of section.querySelectorAll("[data-is-today]")) {
    const button = form.querySelector("button");
    form.elements.date.value = section.dataset.today;
    button.id = `tick-${form.dataset.tick}-${section.dataset.today}`;
    mark(button, false, false);
  }
  markKept();
  return false;
}

if (section && said) {
  section.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.tick) {
      event.preventDefault();
      if (!turnDay()) tapped(form, event.submitter ?? form.querySelector("button"));
    } else if ("throws" in form.dataset) {
      event.preventDefault();
      corrected(form);
    }
  });
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && turnDay());
  window.addEventListener("online", sendKept);
  markKept();
  sendKept();
}
