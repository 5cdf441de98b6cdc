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

// A name that would touch another goes one line down, and is left out when that is taken too; the tick stays. A press
// goes to the nearest event; by key the buttons beside Play do the same.
export function placeTicks(holder, motion, go) {
  const last = Math.max(motion.frames - 1, 1);
  const frames = motion.eventsShown.map((event) => motion.frameAt(event.time_s));
  const made = motion.eventsShown.map((event, index) => tickOf(event, frames[index] / last));
  holder.replaceChildren(...made.map(({ tick }) => tick));
  holder.onclick = (event) => {
    const at = ((event.clientX - holder.getBoundingClientRect().left) / holder.clientWidth) * last;
    const nearest = [...frames].sort((a, b) => Math.abs(a - at) - Math.abs(b - at))[0];
    if (nearest !== undefined) go(nearest);
  };
  const ends = [-Infinity, -Infinity];
  made.forEach(({ name }, index) => {
    const half = name.offsetWidth / 2;
    const middle = (holder.clientWidth * frames[index]) / last;
    const row = ends.findIndex((end) => middle - half > end + LABEL_GAP_PX);
    name.hidden = row < 0;
    if (row < 0) return;
    ends[row] = middle + half;
    name.dataset.row = row;
  });
}

function tickOf(event, share) {
  const tick = document.createElement("span");
  tick.className = `figure-tick${event.by_person ? " moved" : ""}`;
  tick.style.left = `${100 * share}%`;
  const name = document.createElement("span");
  name.textContent = SHORT[event.key] ?? event.name;
  tick.append(name);
  return { tick, name };
}
