// What the moving figure says: of a frame, of a judged angle, and the names of the events under its slider.

import { markElement, verdictClass } from "./figure-arcs.js";

const LABEL_GAP_PX = 6;
export const SHORT = { pkh: "knee lift", fc: "contact", fp: "plant", mer: "layback", br: "release", mir: "turned in" };

export function wordsOfFrame(motion, frame) {
  const time = (1000 * motion.timeOf(frame)).toFixed(0).replace("-", "\u2212");
  const event = motion.eventsAt(frame).map((one) => one.name).join(", ");
  const unseen = motion.unseen(frame).length;
  return [`Frame ${frame + 1} of ${motion.frames}`, `${time} ms from contact`, event, unseen ? `${unseen} points not seen` : ""].filter(Boolean);
}

// `turn` is given where the angle lies edge-on, and turns the picture so that it can be read.
export function wordsOfAngle(arc, turn) {
  const words = document.createElement("span");
  words.className = verdictClass(arc);
  words.append(markElement(arc), ` ${arc.name}: ${arc.words}. ${arc.text}.`);
  if (!turn) return words;
  const look = document.createElement("button");
  look.type = "button";
  look.className = "link";
  look.textContent = "Turn to see it";
  look.addEventListener("click", turn);
  words.append(" ", look);
  return words;
}

// A name that would touch another goes one line down, and is left out when that is taken too; the tick stays.
export function placeTicks(holder, motion, go) {
  holder.replaceChildren();
  const ends = [-Infinity, -Infinity];
  const last = Math.max(motion.frames - 1, 1);
  for (const event of motion.eventsShown) {
    const frame = motion.frameAt(event.time_s);
    const { tick, name } = tickOf(event, () => go(frame));
    tick.style.left = `${(100 * frame) / last}%`;
    holder.append(tick);
    const half = name.offsetWidth / 2;
    const middle = (holder.clientWidth * frame) / last;
    const row = ends.findIndex((end) => middle - half > end + LABEL_GAP_PX);
    if (row < 0) name.className = "vh";
    else {
      ends[row] = middle + half;
      name.dataset.row = row;
    }
  }
}

function tickOf(event, go) {
  const tick = document.createElement("button");
  tick.type = "button";
  tick.className = `figure-tick${event.by_person ? " moved" : ""}`;
  tick.setAttribute("aria-label", `Go to ${event.name}`);
  const name = document.createElement("span");
  name.textContent = SHORT[event.key] ?? event.name;
  tick.append(name);
  tick.addEventListener("click", go);
  return { tick, name };
}
