// One curve drawn: a thin line a throw, the mean with its standard deviation, events as upright lines, and each range
// at the moment where it is judged. Times in ms on the chart's clock.

import { SHORT } from "./figure-words.js";

const LABEL_PX = 62; // labels closer than this stand on two lines
const RANGE_HALF_MS = 5;
const TICK_HALF_MS = 9;
const ZONE_INK = { in_range: "--in-line", watch: "--watch-line", flag: "--flag-line" };

// A throw's own time in ms from contact ↔ the chart's clock, on which contact to release is equally long for all.
export function toChart(time, own, shared) {
  if (time <= 0) return time;
  return time >= own ? time - own + shared : (time * shared) / own;
}

export function themeOf(element) {
  const style = getComputedStyle(element);
  return (name) => style.getPropertyValue(name).trim();
}

function lines(data, current, ink) {
  const line = (one, colour, width, extra = {}) => ({
    x: data.times_ms, y: one.values, mode: "lines", name: `Throw ${one.number}`, line: { color: colour, width, ...extra },
    hovertemplate: `throw ${one.number}: %{y:.1f}<extra></extra>`, showlegend: false,
  });
  const others = data.throws.filter((one) => one.uuid !== current.uuid);
  return [
    ...others.map((one) => line(one, one.scored ? ink("--edge") : ink("--rule"), 1, one.scored ? {} : { dash: "dot" })),
    ...(data.throws.length > 1 ? spread(data, ink) : []),
    line(current, ink("--accent"), 2),
  ];
}

function spread(data, ink) {
  const around = (sign) => data.mean.map((value, index) => (value === null || data.sd[index] === null ? null : value + sign * data.sd[index]));
  const edge = { x: data.times_ms, mode: "lines", line: { width: 0 }, hoverinfo: "skip", showlegend: false };
  return [
    { ...edge, y: around(-1) },
    { ...edge, y: around(1), fill: "tonexty", fillcolor: ink("--bar") },
    { x: data.times_ms, y: data.mean, mode: "lines", line: { color: ink("--ink"), width: 2.5 }, hovertemplate: "mean: %{y:.1f}<extra></extra>", showlegend: false },
  ];
}

// The current throw's own events where they were found or put.
function eventShapes(current, ink) {
  return current.events.map((one) => ({
    type: "line", name: one.key, xref: "x", yref: "paper", x0: one.chart_ms, x1: one.chart_ms, y0: 0, y1: 1,
    line: { color: one.by_person ? ink("--accent") : ink("--edge"), width: 1.5, dash: one.by_person ? "solid" : "dot" },
  }));
}

function eventLabels(current, ink, nearMs) {
  let last = -Infinity;
  let row = 0;
  return [...current.events].sort((a, b) => a.chart_ms - b.chart_ms).map((one) => {
    row = one.chart_ms - last < nearMs ? (row + 1) % 3 : 0;
    last = one.chart_ms;
    return { x: one.chart_ms, y: 1, xref: "x", yref: "paper", yanchor: "bottom", showarrow: false, text: SHORT[one.key] ?? one.key, yshift: 2 + 14 * row, font: { size: 12, color: ink("--ink2") } };
  });
}

function rangeShapes(data, ink) {
  const shapes = [];
  for (const one of data.ranges) {
    const [low, high] = one.target;
    const band = (y0, y1, half, colour, width) => shapes.push({ type: width ? "line" : "rect", xref: "x", yref: "y", x0: one.time_ms - half, x1: one.time_ms + half, y0, y1, line: { width: width ?? 0, color: colour }, fillcolor: width ? undefined : colour, opacity: width ? 1 : 0.75 });
    if (low !== null && high !== null) band(low, high, RANGE_HALF_MS, ink("--in-line"));
    else if (low !== null) band(low, low, TICK_HALF_MS, ink("--in-line"), 2);
    else if (high !== null) band(high, high, TICK_HALF_MS, ink("--in-line"), 2);
    for (const limit of one.flag) if (limit !== null) band(limit, limit, TICK_HALF_MS, ink("--edge"), 2);
  }
  return shapes;
}

function rangeMarks(data, ink) {
  return {
    x: data.ranges.map((one) => one.time_ms), y: data.ranges.map((one) => one.mean), mode: "markers", showlegend: false,
    marker: { size: 9, color: data.ranges.map((one) => ink(ZONE_INK[one.zone] ?? "--none")), line: { color: ink("--paper"), width: 1.5 }, symbol: data.ranges.map((one) => ({ flag: one.side === "low" ? "triangle-down" : "triangle-up", watch: "circle-open-dot" })[one.zone] ?? "circle") },
    text: data.ranges.map((one) => `${one.name}: ${one.words}`), hovertemplate: "%{text}, mean %{y:.1f}<extra></extra>",
  };
}

function layout(data, current, ink, width) {
  const range = [current.events[0] ? Math.min(-250, current.events[0].chart_ms + 400) : -300, data.release_ms + 160];
  const nearMs = (LABEL_PX * (range[1] - range[0])) / Math.max(width - 70, 100);
  const axis = { color: ink("--ink2"), gridcolor: ink("--rule"), zeroline: false, linecolor: ink("--edge"), fixedrange: true, tickfont: { size: 12 } };
  return {
    paper_bgcolor: "rgba(0,0,0,0)", plot_bgcolor: "rgba(0,0,0,0)", font: { family: ink("--sans"), color: ink("--ink"), size: 13 },
    margin: { l: 56, r: 14, t: 50, b: 44 }, hovermode: "closest", dragmode: false, separators: ".",
    xaxis: { ...axis, title: { text: "milliseconds from foot contact", font: { size: 12 } }, range },
    yaxis: { ...axis, title: { text: data.unit === "deg" ? "degrees" : data.unit, font: { size: 12 } } },
    shapes: [...eventShapes(current, ink), ...rangeShapes(data, ink)],
    annotations: eventLabels(current, ink, nearMs),
  };
}

export function drawCurve(plotly, plot, data, current, ink, { onTime, onMove }) {
  const traces = [...lines(data, current, ink), rangeMarks(data, ink)];
  plotly.react(plot, traces, layout(data, current, ink, plot.clientWidth), { displayModeBar: false, responsive: true });
  for (const name of ["plotly_click", "plotly_afterplot"]) plot.removeAllListeners?.(name);
  plot.on("plotly_click", (event) => onTime(event.points[0].x));
  const place = () => placeHandles(plot, data.may_move ? current.events : [], onMove);
  plot.on("plotly_afterplot", place);
  place();
  return { cursorAt: (time) => placeCursor(plot, time) };
}

// Where the chart's clock lies on the page, and back.
function clockOf(plot) {
  const { xaxis, _size: size } = plot._fullLayout;
  const [first, last] = xaxis.range;
  return {
    size,
    px: (time) => size.l + ((time - first) / (last - first)) * size.w,
    time: (px) => first + ((px - size.l) / size.w) * (last - first),
    has: (time) => time >= first && time <= last,
  };
}

// A line of our own over the chart: the chart itself would be drawn anew at every frame that plays.
export function placeCursor(plot, time) {
  let cursor = plot.querySelector(".curves-cursor");
  if (!cursor) {
    cursor = document.createElement("div");
    cursor.className = "curves-cursor";
    plot.append(cursor);
  }
  const clock = clockOf(plot);
  cursor.hidden = !clock.has(time);
  placeOver(cursor, clock, clock.px(time));
}

function placeOver(element, { size }, px) {
  element.style.left = `${px}px`;
  element.style.top = `${size.t}px`;
  element.style.height = `${size.h}px`;
}

// What an event's line is taken by with the mouse or a finger; by key its time is typed in the table below.
function placeHandles(plot, events, onMove) {
  for (const old of plot.querySelectorAll(".curves-handle")) old.remove();
  const clock = clockOf(plot);
  for (const one of events.filter((event) => clock.has(event.chart_ms))) {
    const handle = document.createElement("div");
    handle.className = "curves-handle";
    handle.dataset.event = one.key;
    placeOver(handle, clock, clock.px(one.chart_ms));
    handle.addEventListener("pointerdown", (down) => takeHandle(handle, down, clock, clock.px(one.chart_ms), (px) => onMove(one.key, clock.time(px))));
    plot.append(handle);
  }
}

function takeHandle(handle, down, clock, from, letGo) {
  if (down.button !== 0) return;
  down.preventDefault();
  handle.setPointerCapture(down.pointerId);
  handle.classList.add("taken");
  const at = (event) => Math.min(Math.max(from + event.clientX - down.clientX, clock.size.l), clock.size.l + clock.size.w);
  const move = (event) => placeOver(handle, clock, at(event));
  const end = (event) => {
    handle.removeEventListener("pointermove", move);
    handle.removeEventListener("pointerup", end);
    handle.removeEventListener("pointercancel", end);
    handle.classList.remove("taken");
    if (event.type === "pointerup" && Math.abs(event.clientX - down.clientX) >= 1) letGo(at(event));
    else placeOver(handle, clock, from);
  };
  handle.addEventListener("pointermove", move);
  handle.addEventListener("pointerup", end);
  handle.addEventListener("pointercancel", end);
}
