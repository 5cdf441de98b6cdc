// A judged angle on the figure: its target as a thick band, its flag limits as ticks, what was measured as a line with
// the verdict's mark. Shapes of the marks are those of every list and strip (metrics/drawing/marks.py).

import { stroke } from "./figure-view.js";

const RADIUS_M = 0.27;
const RADIUS_PX = { least: 38, most: 84 };
const STEP_DEG = 3;
const BEYOND_DEG = 8; // how far the axis runs past the outermost limit
const BAND = 9;
const MARK = 15;
const EDGE_ON = 0.25; // cosine between camera and normal, under which the angle cannot be read

const SHAPES = {
  in_range: { name: "in", path: () => "M-.4,0A.4,.4 0 1 1 .4,0A.4,.4 0 1 1 -.4,0Z" },
  watch: {
    name: "watch",
    path: (side) => (side === "low" ? "M-.52,-.26A.52,.52 0 0 0 .52,-.26Z" : "M-.52,.26A.52,.52 0 0 1 .52,.26Z"),
  },
  flag: { name: "flag", path: (side) => (side === "low" ? "M0,.5L.56,-.42H-.56Z" : "M0,-.5L.56,.42H-.56Z") },
};
const DASH = { name: "none", path: () => "M-.4,0H.4" };
const shapeOf = (arc) => SHAPES[arc.zone] ?? DASH;
const isHollow = (arc) => arc.zone in SHAPES && arc.sure !== "sure";

// A unit vector: `base` turned about `normal` by so many degrees (the formula of Rodrigues).
export function direction({ base, normal }, degrees) {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const [n, b] = [normal, base];
  const cross = [n[1] * b[2] - n[2] * b[1], n[2] * b[0] - n[0] * b[2], n[0] * b[1] - n[1] * b[0]];
  const along = n[0] * b[0] + n[1] * b[1] + n[2] * b[2];
  return b.map((one, axis) => one * cos + cross[axis] * sin + n[axis] * along * (1 - cos));
}

export function facesReader(arc, project) {
  const { normal } = arc;
  const { toCamera } = project;
  return Math.abs(normal[0] * toCamera[0] + normal[1] * toCamera[1] + normal[2] * toCamera[2]) >= EDGE_ON;
}

// The first flagged one, else the first.
export function firstToShow(arcs) {
  return arcs.find((arc) => arc.zone === "flag") ?? arcs[0] ?? null;
}

// Least and greatest angle of the axis; an open side of the target runs to its end.
function axisOf({ value, target, flag }) {
  const known = [...target, ...flag].filter((one) => one !== null);
  if (known.length === 0) return null;
  return [Math.min(value, ...known) - BEYOND_DEG, Math.max(value, ...known) + BEYOND_DEG];
}

// What is drawn, in CSS px: `at(degrees, share)` on the arc, its vertex, and the end of the measured line.
export function arcOnCanvas(arc, vertex, project) {
  const radius = Math.min(Math.max(RADIUS_M * project.scale, RADIUS_PX.least), RADIUS_PX.most) / project.scale;
  const at = (degrees, share = 1) =>
    project.point(direction(arc, degrees).map((one, axis) => vertex[axis] + share * radius * one));
  return { at, vertex: project.point(vertex), end: at(arc.value) };
}

function along(at, from, to, share = 1) {
  const steps = Math.max(1, Math.ceil(Math.abs(to - from) / STEP_DEG));
  return Array.from({ length: steps + 1 }, (_, step) => at(from + ((to - from) * step) / steps, share));
}

function drawRange(context, arc, at, palette) {
  const axis = axisOf(arc);
  if (!axis) return;
  stroke(context, along(at, ...axis), palette.paper, BAND + 4);
  stroke(context, along(at, ...axis), palette.edge, 1);
  if (arc.target.some((one) => one !== null)) {
    const target = along(at, arc.target[0] ?? axis[0], arc.target[1] ?? axis[1]);
    stroke(context, target, palette.edge, BAND + 2);
    stroke(context, target, palette.bar, BAND);
  }
  for (const limit of arc.flag) {
    if (limit !== null) stroke(context, [at(limit, 0.9), at(limit, 1.1)], palette.edge, 2);
  }
}

function drawMark(context, arc, [x, y], palette) {
  const shape = shapeOf(arc);
  const scale = new DOMMatrix().translate(x, y).scale(MARK);
  const path = new Path2D();
  path.addPath(new Path2D(shape.path(arc.side)), scale);
  context.lineJoin = "round";
  context.strokeStyle = palette.paper;
  context.lineWidth = 6;
  context.stroke(path);
  context.strokeStyle = palette[`${shape.name}-line`] ?? palette.none;
  context.lineWidth = shape === DASH ? 2.25 : isHollow(arc) ? 2 : 1;
  context.fillStyle = isHollow(arc) ? palette.paper : (palette[shape.name] ?? palette.none);
  if (shape !== DASH) context.fill(path);
  context.stroke(path);
}

// Number, and the question mark of "can't tell", outside the arc in the direction of what was measured.
function drawNumber(context, arc, { at, vertex, end }, palette) {
  const [dx, dy] = [end[0] - vertex[0], end[1] - vertex[1]];
  const length = Math.hypot(dx, dy) || 1;
  const [x, y] = [end[0] + (26 * dx) / length, end[1] + (22 * dy) / length];
  const words = `${Math.round(arc.value)}°`.replace("-", "\u2212") + (arc.sure === "cant_tell" ? " ?" : "");
  context.font = `600 14px ${palette.sans}`;
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.strokeStyle = palette.paper;
  context.lineWidth = 5;
  context.strokeText(words, x, y);
  context.fillStyle = palette.ink;
  context.fillText(words, x, y);
}

export function drawArc(context, arc, vertex, project, palette) {
  const placed = arcOnCanvas(arc, vertex, project);
  const { at } = placed;
  const line = palette[`${shapeOf(arc).name}-line`] ?? palette.none;
  context.lineCap = "butt";
  drawRange(context, arc, at, palette);
  stroke(context, along(at, 0, arc.value, 0.42), palette.ink2, 1);
  stroke(context, [placed.vertex, at(0, 1.12)], palette.ink2, 1, [4, 3]);
  stroke(context, [placed.vertex, placed.end], palette.paper, 5);
  context.lineCap = "round";
  stroke(context, [placed.vertex, placed.end], line, 2.5);
  drawNumber(context, arc, placed, palette);
  drawMark(context, arc, placed.end, palette);
}

// The mark as a small picture beside its words.
export function markElement(arc) {
  const make = (name, attributes) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  };
  const shape = shapeOf(arc);
  const picture = make("svg", { class: "mark", width: 16, height: 16, viewBox: "-8 -8 16 16", "aria-hidden": "true" });
  picture.append(
    make("path", {
      class: `k-${shape.name}${isHollow(arc) ? " hol" : ""}`,
      d: shape.path(arc.side),
      transform: "scale(12)",
      "vector-effect": "non-scaling-stroke",
    }),
  );
  return picture;
}

export const verdictClass = (arc) => `v ${shapeOf(arc).name}`;
