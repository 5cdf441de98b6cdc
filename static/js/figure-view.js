// From metres to the picture, and the figure itself: parallel projection, so that lengths and angles in a plane that
// faces the reader are true.

const RADIANS = Math.PI / 180;
const MARGIN = { x: 30, top: 30, bottom: 34 }; // px around the motion: the mark and number of an angle reach past it
const TRAIL_S = 0.4;
const GRID_M = 0.5;
const HEAD_M = { least: 0.085, most: 0.13 };
const BALL_M = 0.037; // radius of a regulation ball, 9 to 9.25 in around (rule book 3.01)
const WIDTHS = { throwing_arm: 4, trunk: 2, pelvis: 2, head: 2 };
const LIMB_WIDTH = 2;
const OPEN_SIDE = { right: -90, left: 90 }; // where the chest faces at leg lift: third base, first base

// Degrees: yaw 0 has the camera at home plate, 90 at the pitcher's left; pitch 90 has it overhead.
const PRESETS = {
  open: (side) => ({ yaw: OPEN_SIDE[side], pitch: 0 }),
  behind: () => ({ yaw: 180, pitch: 0 }),
  front: () => ({ yaw: 0, pitch: 0 }),
  above: (side) => ({ yaw: OPEN_SIDE[side], pitch: 90 }),
};

export const VIEW_WORDS = {
  open: "from the open side",
  behind: "from behind",
  front: "from the front",
  above: "from above",
  turned: "turned by hand",
};

export function presetView(name, side) {
  return PRESETS[name]?.(side) ?? null;
}

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

// The view whose camera looks along this direction, from the side on which it already is.
export function facingView(normal, view) {
  const away = dot(normal, basis(view).toCamera) < 0;
  const [x, y, z] = away ? normal.map((one) => -one) : normal;
  const isUpright = Math.hypot(x, y) < 1e-6;
  return { yaw: isUpright ? view.yaw : Math.atan2(y, x) / RADIANS, pitch: Math.asin(Math.min(Math.max(z, -1), 1)) / RADIANS };
}

export function basis({ yaw, pitch }) {
  const [cy, sy] = [Math.cos(yaw * RADIANS), Math.sin(yaw * RADIANS)];
  const [cp, sp] = [Math.cos(pitch * RADIANS), Math.sin(pitch * RADIANS)];
  return { right: [-sy, cy, 0], up: [-sp * cy, -sp * sy, cp], toCamera: [cp * cy, cp * sy, sp] };
}

// { point(place) → [x, y] in CSS px, depth(place) → metres toward the reader, scale in px a metre }.
// The whole motion fits, so that nothing moves but the athlete while it plays.
export function projection(view, motion, width, height) {
  const { right, up, toCamera } = basis(view);
  const { least, most } = motion.bounds;
  const across = [Infinity, -Infinity];
  const upward = [Infinity, -Infinity];
  for (let corner = 0; corner < 8; corner += 1) {
    const place = [0, 1, 2].map((axis) => ((corner >> axis) & 1 ? most[axis] : least[axis]));
    for (const [range, direction] of [[across, right], [upward, up]]) {
      range[0] = Math.min(range[0], dot(place, direction));
      range[1] = Math.max(range[1], dot(place, direction));
    }
  }
  const room = { x: Math.max(width - 2 * MARGIN.x, 1), y: Math.max(height - MARGIN.top - MARGIN.bottom, 1) };
  const scale = Math.min(room.x / (across[1] - across[0] || 1), room.y / (upward[1] - upward[0] || 1));
  const middle = { x: width / 2, y: MARGIN.top + room.y / 2 };
  const centre = { u: (across[0] + across[1]) / 2, v: (upward[0] + upward[1]) / 2 };
  return {
    scale,
    toCamera,
    point: (place) => [middle.x + scale * (dot(place, right) - centre.u), middle.y - scale * (dot(place, up) - centre.v)],
    depth: (place) => dot(place, toCamera),
  };
}

export function stroke(context, places, colour, width, dash = []) {
  context.beginPath();
  places.forEach(([x, y], index) => (index ? context.lineTo(x, y) : context.moveTo(x, y)));
  context.strokeStyle = colour;
  context.lineWidth = width;
  context.setLineDash(dash);
  context.stroke();
  context.setLineDash([]);
}

function drawFloor(context, motion, project, palette) {
  const { least, most } = motion.bounds;
  const from = [Math.floor(least[0] / GRID_M) * GRID_M, -2 * GRID_M];
  const to = [Math.ceil(most[0] / GRID_M) * GRID_M, 2 * GRID_M];
  const floor = (x, y) => project.point([x, y, x > 0 ? motion.slope * x : 0]);
  for (let x = from[0]; x <= to[0] + 1e-6; x += GRID_M) stroke(context, [floor(x, from[1]), floor(x, to[1])], palette.rule, 1);
  for (let y = from[1]; y <= to[1] + 1e-6; y += GRID_M) {
    stroke(context, [floor(from[0], y), floor(0, y), floor(to[0], y)], palette.rule, 1);
  }
  const line = [floor(0, 0), floor(to[0], 0)];
  stroke(context, line, palette.edge, 1);
  nameHome(context, line, palette);
}

// A small arrow and the word at the end of the line from the rubber to home plate; end-on there is nothing to say.
function nameHome(context, [start, end], palette) {
  const [dx, dy] = [end[0] - start[0], end[1] - start[1]];
  const length = Math.hypot(dx, dy);
  if (length < 40) return;
  const [ux, uy] = [dx / length, dy / length];
  const barb = (side) => [end[0] - 7 * ux - side * 3.5 * uy, end[1] - 7 * uy + side * 3.5 * ux];
  stroke(context, [barb(1), end, barb(-1)], palette.edge, 1);
  context.fillStyle = palette.ink2;
  context.font = `12px ${palette.sans}`;
  context.textAlign = ux > 0.3 ? "right" : ux < -0.3 ? "left" : "center";
  context.textBaseline = "top";
  const edge = context.canvas.clientWidth - 8; // the line may end outside of the picture
  context.fillText("to home plate", Math.min(Math.max(end[0], 8), edge), Math.max(end[1], start[1]) + 8);
}

function drawTrail(context, motion, frame, project, palette) {
  const first = Math.max(0, frame - Math.round(TRAIL_S * motion.rate_hz));
  let before = null;
  for (let one = first; one <= frame; one += 1) {
    const place = motion.at(one, motion.hand);
    const here = place && project.point(place);
    context.globalAlpha = 0.15 + (0.6 * (one - first + 1)) / (frame - first + 1);
    if (here && before) stroke(context, [before, here], palette.accent, 1.25);
    if (here && one < frame) disc(context, here, 1.4, palette.accent);
    before = here;
  }
  context.globalAlpha = 1;
}

function disc(context, [x, y], radius, fill, line = null, width = 2, dash = []) {
  context.beginPath();
  context.arc(x, y, radius, 0, 2 * Math.PI);
  if (fill) {
    context.fillStyle = fill;
    context.fill();
  }
  if (!line) return;
  context.strokeStyle = line;
  context.lineWidth = width;
  context.setLineDash(dash);
  context.stroke();
  context.setLineDash([]);
}

// The head is a circle about the middle of its two points; the first link of the head says which they are.
function headOf(motion, frame, project) {
  const link = motion.links.find((one) => one.part === "head");
  const [front, back] = link ? [motion.at(frame, link.from), motion.at(frame, link.to)] : [null, null];
  if (!front || !back) return null;
  const middle = front.map((one, axis) => (one + back[axis]) / 2);
  const half = Math.hypot(...front.map((one, axis) => one - back[axis])) / 2;
  const radius = project.scale * Math.min(Math.max(half, HEAD_M.least), HEAD_M.most);
  return { link, middle, at: project.point(middle), radius, depth: project.depth(middle) };
}

function neckOf(motion, frame, head) {
  const neck = motion.points.indexOf("neck");
  const place = neck < 0 || !head ? null : motion.at(frame, neck);
  const isLinked = motion.links.some((one) => one.part === "head" && one !== head?.link);
  return place && !isLinked ? [{ ends: [place, head.middle], part: "head" }] : [];
}

// Nearer limbs lie over farther ones: each wears a little of the paper at its sides, but not at its joints.
function drawLimb(context, { from, to, part }, palette, dash) {
  const width = WIDTHS[part] ?? LIMB_WIDTH;
  const along = (share) => [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
  const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (long > 40 && dash.length === 0) {
    context.lineCap = "butt";
    stroke(context, [along(14 / long), along(1 - 14 / long)], palette.paper, width + 6);
    context.lineCap = "round";
  }
  stroke(context, [from, to], part === "throwing_arm" ? palette.accent : palette.ink, width, dash);
}

function drawBody(context, motion, frame, project, palette, dash) {
  const head = headOf(motion, frame, project);
  const limbs = motion.links
    .filter((link) => link !== head?.link)
    .map((link) => ({ ends: [motion.at(frame, link.from), motion.at(frame, link.to)], part: link.part }))
    .concat(neckOf(motion, frame, head))
    .filter(({ ends }) => ends[0] && ends[1]);
  const things = limbs.map(({ ends, part }) => {
    const [from, to] = ends.map(project.point);
    const depth = (project.depth(ends[0]) + project.depth(ends[1])) / 2;
    return { depth: part === "head" && head ? head.depth - 1e-6 : depth, draw: () => drawLimb(context, { from, to, part }, palette, dash) };
  });
  const ground = dash.length ? null : palette.paper; // what a laid body covers stays to be seen
  if (head) things.push({ depth: head.depth, draw: () => disc(context, head.at, head.radius, ground, palette.ink, 2, dash) });
  things.sort((a, b) => a.depth - b.depth);
  for (const thing of things) thing.draw();
  const ball = motion.ball === null ? null : motion.at(frame, motion.ball);
  if (ball) disc(context, project.point(ball), Math.max(BALL_M * project.scale, 4), ground, palette.ink, 1.5);
}

// Draws floor, trail and body of one frame; the context counts in CSS px. A body that is laid over another one has no
// floor of its own and wears `dash`, so that the two are told apart without colour.
export function drawFigure(context, motion, frame, project, palette, { floor = true, dash = [] } = {}) {
  context.lineCap = "round";
  context.lineJoin = "round";
  if (floor) drawFloor(context, motion, project, palette);
  drawTrail(context, motion, frame, project, palette);
  drawBody(context, motion, frame, project, palette, dash);
}
