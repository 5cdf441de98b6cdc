// What two moving figures say: of the moment that is shown, and of the events of both.

import { STEP_S } from "./compare-motion.js";

const MINUS = "\u2212";

export const milliseconds = (value) => `${value.toFixed(0)}`.replace(/^-0$/, "0").replace("-", MINUS);

// "−50 ms from foot plant. Then: ball release. Now: its recording has ended."
export function wordsOfMoment(clock, step, titles, eventName) {
  const name = eventName.toLowerCase();
  const parts = [Math.round(step) === 0 ? `Both at ${name}` : `${milliseconds(1000 * step * STEP_S)} ms from ${name}`];
  titles.forEach((title, place) => {
    const others = clock.eventsAt(place, step).filter((event) => event.key !== clock.key || Math.round(step) !== 0);
    const events = others.map((event) => event.name.toLowerCase());
    if (events.length > 0) parts.push(`${title}: ${events.join(", ")}`);
    if (!clock.covers(place, step)) parts.push(`${title}: ${step < 0 ? "not yet recorded" : "no longer recorded"}`);
  });
  return `${parts.join(" · ")}.`;
}

function cell(tag, text, className) {
  return Object.assign(document.createElement(tag), { textContent: text, className });
}

// One row an event: when it lies on each side, and the second minus the first.
export function eventRows(clock, titles) {
  const head = document.createElement("thead");
  head.append(document.createElement("tr"));
  ["Event", ...titles, "Difference"].forEach((text, column) => head.firstChild.append(Object.assign(cell("th", text, column ? "r" : ""), { scope: "col" })));
  const body = document.createElement("tbody");
  const [first, second] = [0, 1].map((place) => new Map(clock.eventsOf(place).map((event) => [event.key, event])));
  for (const key of new Set([...first.keys(), ...second.keys()])) {
    const [one, other] = [first.get(key), second.get(key)];
    const row = document.createElement("tr");
    row.append(Object.assign(cell("th", (one ?? other).name, ""), { scope: "row" }));
    for (const event of [one, other]) row.append(cell("td", event ? `${milliseconds(event.ms)} ms` : "not found", "r num"));
    row.append(cell("td", one && other ? `${milliseconds(other.ms - one.ms)} ms` : "", "r num"));
    body.append(row);
  }
  return [head, body];
}
