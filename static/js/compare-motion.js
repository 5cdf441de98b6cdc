// Two throws made alike: mirrored where the arms differ, scaled, shifted, and put on one clock that counts from a chosen
// event. Between its frames a throw is interpolated: half a frame at release is tens of degrees of the arm.

export const STEP_S = 1 / 60;
const ROUNDING = 1e-6;
const OTHER_SIDE = { right: "left", left: "right" };

// One throw as it is drawn. It answers like a Motion (figure-data.js), for frames between frames too.
export class Placed {
  constructor(motion, { isMirrored = false, scale = 1 } = {}) {
    this.motion = motion;
    this.scale = scale;
    this.across = isMirrored ? -1 : 1;
    this.shift = [0, 0, 0];
    this.side = isMirrored ? OTHER_SIDE[motion.side] : motion.side;
    this.rate_hz = motion.rate_hz;
    this.links = motion.links;
    this.points = motion.points;
    this.hand = motion.hand;
    this.ball = motion.ball;
    this.slope = motion.slope;
    this.bounds = this.#bounds();
  }

  // [x, y, z] in metres without the shift; null where the point is not seen on one side of the moment.
  own(frame, point) {
    const before = Math.floor(frame + ROUNDING);
    const share = frame - before;
    const from = this.motion.at(before, point);
    const to = share > ROUNDING ? this.motion.at(before + 1, point) : from;
    if (!from || !to) return null;
    const between = (axis) => from[axis] + share * (to[axis] - from[axis]);
    return [this.scale * between(0), this.scale * this.across * between(1), this.scale * between(2)];
  }

  at(frame, point) {
    const place = this.own(frame, point);
    return place && [place[0] + this.shift[0], place[1] + this.shift[1], place[2] + this.shift[2]];
  }

  // With a fraction; before the first frame it is the first, after the last the last.
  frameAt(time_s) {
    return Math.min(Math.max((time_s - this.motion.start_s) * this.rate_hz, 0), this.motion.frames - 1);
  }

  has(time_s) {
    const frame = (time_s - this.motion.start_s) * this.rate_hz;
    return frame >= -0.5 && frame <= this.motion.frames - 0.5;
  }

  timeOf(key) {
    return this.motion.events.find((event) => event.key === key)?.time_s ?? null;
  }

  // Moved so that the middle of its hips lies on a place; without hips it stays where it was.
  layHipsOn(place, frame) {
    const hips = this.own(frame, this.points.indexOf("mid_hips"));
    if (hips && place) this.shift = place.map((one, axis) => one - hips[axis]);
  }

  #bounds() {
    const { least, most } = this.motion.bounds;
    const [low, high] = [least, most].map((corner) => [corner[0] * this.scale, corner[1] * this.scale * this.across, corner[2] * this.scale]);
    return { least: low.map((one, axis) => Math.min(one, high[axis])), most: high.map((one, axis) => Math.max(one, low[axis])) };
  }
}

export function joinBounds(many) {
  return {
    least: [0, 1, 2].map((axis) => Math.min(...many.map((one) => one.least[axis]))),
    most: [0, 1, 2].map((axis) => Math.max(...many.map((one) => one.most[axis]))),
  };
}

// Steps of a sixtieth of a second from an event that both throws have; from contact, which every throw has, when one of
// them lacks it. Both throws are covered from the first step to the last; one that has ended stands still.
export class Clock {
  constructor(pair, key) {
    this.pair = pair;
    this.isAsked = pair.every((one) => one.timeOf(key) !== null);
    this.key = this.isAsked ? key : "fc";
    this.zeros = pair.map((one) => one.timeOf(this.key) ?? 0);
    const starts = pair.map(({ motion }, place) => motion.start_s - this.zeros[place]);
    const ends = pair.map(({ motion }, place) => starts[place] + (motion.frames - 1) / motion.rate_hz);
    this.first = Math.ceil(Math.min(...starts) / STEP_S - ROUNDING);
    this.last = Math.floor(Math.max(...ends) / STEP_S + ROUNDING);
  }

  frameOf(place, step) {
    return this.pair[place].frameAt(this.zeros[place] + step * STEP_S);
  }

  // What a curve's clock asks for: ms from a throw's own contact, and how long that throw took from contact to release.
  fromContact(place, step) {
    const [contact, release] = ["fc", "br"].map((key) => this.pair[place].timeOf(key));
    const ms = 1000 * (this.zeros[place] + step * STEP_S - (contact ?? 0));
    return { ms, release_ms: release === null ? null : 1000 * (release - (contact ?? 0)) };
  }

  stepFromContact(place, ms) {
    return Math.round((ms / 1000 + (this.pair[place].timeOf("fc") ?? 0) - this.zeros[place]) / STEP_S);
  }

  covers(place, step) {
    return this.pair[place].has(this.zeros[place] + step * STEP_S);
  }

  // [{ key, name, ms }] of one throw, counted from the chosen event.
  eventsOf(place) {
    return this.pair[place].motion.events.map(({ key, name, time_s }) => ({ key, name, ms: 1000 * (time_s - this.zeros[place]) }));
  }

  stepOf(event) {
    return Math.round(event.ms / 1000 / STEP_S);
  }

  // Steps on which an event of either throw lies, in order, each once.
  get eventSteps() {
    const steps = [0, 1].flatMap((place) => this.eventsOf(place).map((event) => this.stepOf(event)));
    return [...new Set(steps)].filter((step) => step >= this.first && step <= this.last).sort((a, b) => a - b);
  }

  eventsAt(place, step) {
    return this.eventsOf(place).filter((event) => this.stepOf(event) === Math.round(step));
  }
}
