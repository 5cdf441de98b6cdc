// One throw's motion as the server sends it: read, checked and decoded.
// Axes: X to home plate, Y to the pitcher's left, Z up, metres here (millimetres on the wire), origin on the floor
// under the rear foot. A point that was not seen is null.

const NOT_SEEN = -32768;
const MILLIMETRES = 1000;
const ROUNDING_S = 1e-9;
const PARTS = ["head", "trunk", "pelvis", "throwing_arm", "glove_arm", "lead_leg", "rear_leg"];
const FLAT_SLOPE = 0.02; // below this rise for a metre of run, the floor is drawn level
const SLOPES = [-0.25, 0.05]; // from steeper than any mound to the unevenness of a floor

export class OddMotion extends Error {}

function expect(holds, words) {
  if (!holds) throw new OddMotion(words);
}

function isNumbers(values, count) {
  return Array.isArray(values) && values.length === count && values.every(Number.isFinite);
}

function isRange(values) {
  return Array.isArray(values) && values.length === 2 && values.every((one) => one === null || Number.isFinite(one));
}

function decodePositions(text, count) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  expect(bytes.length === count * 3 * 2, `${bytes.length} bytes for ${count} positions`);
  const view = new DataView(bytes.buffer);
  const metres = new Float32Array(count * 3);
  for (let point = 0; point < count; point += 1) {
    const seen = view.getInt16(point * 6, true) !== NOT_SEEN;
    for (let axis = 0; axis < 3; axis += 1) {
      metres[point * 3 + axis] = seen ? view.getInt16(point * 6 + axis * 2, true) / MILLIMETRES : NaN;
    }
  }
  return metres;
}

function check(json) {
  expect(json !== null && typeof json === "object", "no object");
  const { throw: thrown, rate_hz: rate, start_s: start, frames, points, links, hand, ball, events, arcs } = json;
  const isPoint = (one) => Number.isInteger(one) && one >= 0 && one < points.length;
  expect(thrown && ["right", "left"].includes(thrown.side), "no throwing side");
  expect(rate > 0 && Number.isFinite(rate) && Number.isFinite(start), "no clock");
  expect(Number.isInteger(frames) && frames > 0 && Array.isArray(points) && points.length > 0, "no frames");
  expect(Array.isArray(links) && links.every(([a, b, part]) => isPoint(a) && isPoint(b) && PARTS.includes(part)), "odd links");
  expect(isPoint(hand) && (ball === null || isPoint(ball)), "odd hand or ball");
  expect(Array.isArray(events) && events.every((one) => one.key && one.name && Number.isFinite(one.time_s)), "odd events");
  expect(Array.isArray(arcs), "no arcs");
  for (const arc of arcs) {
    expect(isPoint(arc.vertex) && isNumbers(arc.base, 3) && isNumbers(arc.normal, 3), "odd arc");
    expect(Number.isFinite(arc.value) && isRange(arc.target) && isRange(arc.flag), "odd angle");
  }
}

export class Motion {
  constructor(json) {
    check(json);
    this.throw = json.throw;
    this.side = json.throw.side;
    this.rate_hz = json.rate_hz;
    this.start_s = json.start_s;
    this.frames = json.frames;
    this.points = json.points;
    this.links = json.links.map(([from, to, part]) => ({ from, to, part }));
    this.hand = json.hand;
    this.ball = json.ball;
    this.events = [...json.events].sort((a, b) => a.time_s - b.time_s);
    this.arcs = json.arcs;
    this.metres = decodePositions(json.positions, json.frames * json.points.length);
    this.bounds = this.#bounds();
    this.slope = this.#slope();
  }

  // [x, y, z] in metres, or null where the point was not seen.
  at(frame, point) {
    const from = (frame * this.points.length + point) * 3;
    const [x, y, z] = this.metres.subarray(from, from + 3);
    return Number.isNaN(x) ? null : [x, y, z];
  }

  timeOf(frame) {
    return this.start_s + frame / this.rate_hz;
  }

  // The nearest frame; before the first it is the first, after the last the last.
  frameAt(time_s) {
    return Math.min(Math.max(Math.round((time_s - this.start_s) * this.rate_hz), 0), this.frames - 1);
  }

  // The events that are not further than half a frame from this frame.
  eventsAt(frame) {
    const apart = (event) => Math.abs(this.timeOf(frame) - event.time_s);
    return this.events.filter((event) => apart(event) <= 0.5 / this.rate_hz + ROUNDING_S);
  }

  // The events that lie within the frames.
  get eventsShown() {
    return this.events.filter((event) => this.eventsAt(this.frameAt(event.time_s)).includes(event));
  }

  arcsAt(frame) {
    const keys = this.eventsAt(frame).map((event) => event.key);
    return this.arcs.filter((arc) => keys.includes(arc.event));
  }

  unseen(frame) {
    return this.points.filter((_, point) => point !== this.ball && this.at(frame, point) === null);
  }

  // Least and greatest x, y, z of the body over all frames; the ball flies out of the picture.
  #bounds() {
    const least = [Infinity, Infinity, Infinity];
    const most = [-Infinity, -Infinity, -Infinity];
    for (let frame = 0; frame < this.frames; frame += 1) {
      for (let point = 0; point < this.points.length; point += 1) {
        const place = point === this.ball ? null : this.at(frame, point);
        for (let axis = 0; place && axis < 3; axis += 1) {
          least[axis] = Math.min(least[axis], place[axis]);
          most[axis] = Math.max(most[axis], place[axis]);
        }
      }
    }
    expect(Number.isFinite(least[0]), "nothing was seen");
    least[2] = Math.min(least[2], 0);
    return { least, most };
  }

  // Rise of the floor for a metre toward home: from the rear foot as it stands to the front foot as it is planted.
  #slope() {
    const planted = this.events.find((event) => event.key === "fp") ?? this.events.find((event) => event.key === "fc");
    if (!planted) return 0;
    const rear = this.#lowest("rear_leg", 0);
    const lead = this.#lowest("lead_leg", this.frameAt(planted.time_s));
    if (!rear || !lead || lead[0] - rear[0] < 0.3) return 0;
    const slope = (lead[2] - rear[2]) / (lead[0] - rear[0]);
    return Math.abs(slope) < FLAT_SLOPE ? 0 : Math.min(Math.max(slope, SLOPES[0]), SLOPES[1]);
  }

  #lowest(part, frame) {
    const ends = this.links.filter((link) => link.part === part).flatMap((link) => [link.from, link.to]);
    const seen = ends.map((point) => this.at(frame, point)).filter((place) => place !== null);
    return seen.sort((a, b) => a[2] - b[2])[0] ?? null;
  }
}

// Rejects when the answer is a refusal, no JSON, or not the JSON of a throw.
export async function fetchMotion(address) {
  const answer = await fetch(address, { headers: { Accept: "application/json" }, credentials: "same-origin" });
  expect(answer.ok, `answered ${answer.status}`);
  return new Motion(await answer.json());
}
