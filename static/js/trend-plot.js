// One metric over weeks with pan and zoom: the range as it applied on each day, means with ±1.96 u, the verdict's mark.

const SYMBOLS = { in_range: "circle", watch: "diamond", flag: "triangle", not_scored: "line-ew" };
const INK = { in_range: ["--in", "--in-line"], watch: ["--watch", "--watch-line"], flag: ["--flag", "--flag-line"], not_scored: ["--none", "--none"] };
const MARK_PX = 11;
const PALE = 0.45;
const SPARE = 0.035; // of the time axis on each side
const HALF_DAY_MS = 43_200_000;
const CUE_SHARE = 0.05;
const HALF_DISC_PX = 6;

function symbolOf(point) {
  const shape = SYMBOLS[point.zone] ?? "line-ew";
  const turned = shape === "triangle" ? `triangle-${point.side === "low" ? "down" : "up"}` : shape;
  return point.sure === "sure" || shape === "line-ew" ? turned : `${turned}-open`;
}

function marks(points, ink, opacity) {
  const inks = points.map((one) => INK[one.zone] ?? INK.not_scored);
  return {
    x: points.map((one) => one.day), y: points.map((one) => one.mean), mode: "markers", showlegend: false, opacity,
    error_y: { type: "data", array: points.map((one) => one.half ?? 0), color: ink("--ink"), thickness: 1.5, width: 3 },
    marker: {
      symbol: points.map(symbolOf), size: MARK_PX, color: inks.map(([fill, line], index) => ink(points[index].sure === "sure" ? fill : line)),
      line: { color: inks.map(([, line]) => ink(line)), width: 1.75 },
    },
    text: points.map((one) => one.said), customdata: points.map((one) => one.url), hovertemplate: "%{text}<extra></extra>",
  };
}

// Words beside the marks that say what the shape alone leaves open.
function doubts(points, ink) {
  const unsure = points.filter((one) => one.sure === "cant_tell" && one.mean !== null);
  return { x: unsure.map((one) => one.day), y: unsure.map((one) => one.mean), mode: "text", text: unsure.map(() => "?"), textposition: "middle right", textfont: { size: 13, color: ink("--ink2") }, hoverinfo: "skip", showlegend: false };
}

function fitted(line, ink) {
  return { x: line.map(([day]) => day), y: line.map(([, value]) => value), mode: "lines", line: { color: ink("--accent"), width: 2 }, hoverinfo: "skip", showlegend: false };
}

// The first and the last stretch run on: the range did not begin with the first session.
function ends(stretches, [first, last]) {
  return stretches.map(([from, to, ...limits], index) => [index ? from : first, index < stretches.length - 1 ? to : last, ...limits]);
}

function bands(stretches, valueRange, ink) {
  const shapes = [];
  const line = (x0, x1, y, dash) => shapes.push({ type: "line", layer: "below", x0, x1, y0: y, y1: y, line: { color: ink("--edge"), width: 1.25, dash } });
  for (const [from, to, low, high, flagLow, flagHigh] of stretches) {
    if (low !== null || high !== null) shapes.push({ type: "rect", layer: "below", x0: from, x1: to, y0: low ?? valueRange[0], y1: high ?? valueRange[1], line: { width: 0 }, fillcolor: ink("--bar") });
    for (const edge of [low, high]) if (edge !== null) line(from, to, edge, "solid");
    for (const limit of [flagLow, flagHigh]) if (limit !== null) line(from, to, limit, "dash");
  }
  return shapes;
}

const uprights = (days, ink, name, dash) => days.map((x) => ({ type: "line", layer: "below", xref: "x", yref: "paper", x0: x, x1: x, y0: 0, y1: 1, line: { color: ink(name), width: 1.25, dash } }));

// Cues whose days lie too close for two numbers share one mark.
function cueGroups(data) {
  const [first, last] = daysOf(data).map((day) => Date.parse(day));
  const groups = [];
  data.cues.forEach(([day], index) => {
    const before = groups.at(-1);
    if (before && Date.parse(day) - Date.parse(before[0]) < CUE_SHARE * (last - first)) before[1].push(index + 1);
    else groups.push([day, [index + 1]]);
  });
  return groups;
}

function notes(data, ink) {
  const note = (x, y, text, more) => ({ x, y, xref: "x", yref: "paper", text, showarrow: false, font: { size: 12, color: ink("--ink2") }, ...more });
  const moved = data.moved.map(([day, words], index) => note(day, 1, words, { yanchor: "bottom", xanchor: "left", yshift: 2 + 14 * (index % 2) }));
  const cues = cueGroups(data).map(([day, numbers]) => note(day, 0, `↑ ${numbers.join(", ")}`, { yanchor: "top", yshift: -22, font: { size: 12, color: ink("--accent") } }));
  return [...moved, ...cues];
}

function valuesOf(data) {
  const values = data.stretches.flatMap(([, , ...limits]) => limits.filter((one) => one !== null));
  for (const one of data.points) if (one.mean !== null) values.push(one.mean - (one.half ?? 0), one.mean + (one.half ?? 0));
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const spare = (high - low) * 0.07 || 1;
  return [low - spare, high + spare];
}

function daysOf(data) {
  const times = data.points.map((one) => Date.parse(one.day));
  const [first, last] = [Math.min(...times), Math.max(...times)];
  const spare = Math.max((last - first) * SPARE, 28 * HALF_DAY_MS - (last - first) / 2);
  return [new Date(first - spare).toISOString(), new Date(last + spare).toISOString()];
}

// The chart's script knows no half disc, the mark of watch: it is put in place of its diamond whenever it draws anew.
function halfDiscs(plot, drawn) {
  const groups = [...plot.querySelectorAll(".scatterlayer .trace .points")].filter((group) => group.querySelector("path.point"));
  groups.forEach((group, place) => {
    [...group.querySelectorAll("path.point")].forEach((path, index) => {
      const one = drawn[place]?.[index];
      if (one?.zone !== "watch") return;
      const [r, half, sweep] = [HALF_DISC_PX, (one.side === "low" ? -HALF_DISC_PX : HALF_DISC_PX) / 2, one.side === "low" ? 0 : 1];
      path.setAttribute("d", `M-${r},${half}A${r},${r} 0 0 ${sweep} ${r},${half}Z`);
    });
  });
}

// Draws into `plot` and returns the axes' first ranges, to come back to.
export function drawTrend(plotly, plot, data, ink, onOpen) {
  const [days, values] = [daysOf(data), valuesOf(data)];
  const axis = { color: ink("--ink2"), showgrid: false, zeroline: false, linecolor: ink("--edge"), tickfont: { size: 12 } };
  const apart = data.points.filter((one) => one.apart && one.mean !== null);
  const full = data.points.filter((one) => !one.apart && one.mean !== null);
  const traces = [marks(apart, ink, PALE), ...(data.fitted ? [fitted(data.fitted, ink)] : []), marks(full, ink, 1), doubts(data.points, ink)];
  const layout = {
    paper_bgcolor: "rgba(0,0,0,0)", plot_bgcolor: "rgba(0,0,0,0)", font: { family: ink("--sans"), color: ink("--ink"), size: 13 },
    margin: { l: 52, r: 14, t: 40, b: 46 }, hovermode: "closest", dragmode: "pan", separators: ".",
    hoverlabel: { bgcolor: ink("--paper"), bordercolor: ink("--edge"), font: { color: ink("--ink"), size: 13, family: ink("--sans") } },
    xaxis: { ...axis, type: "date", range: days }, yaxis: { ...axis, range: values, title: { text: data.unit === "°" ? "degrees" : data.unit, font: { size: 12 } } },
    shapes: [...bands(ends(data.stretches, days), values, ink), ...uprights(data.moved.map(([day]) => day), ink, "--edge", "dot")],
    annotations: notes(data, ink),
  };
  plotly.react(plot, traces, layout, { displayModeBar: false, responsive: true, scrollZoom: true, doubleClick: "reset" });
  for (const name of ["plotly_click", "plotly_afterplot"]) plot.removeAllListeners?.(name);
  const drawn = [apart, full].filter((points) => points.length);
  plot.on("plotly_afterplot", () => halfDiscs(plot, drawn));
  halfDiscs(plot, drawn);
  plot.on("plotly_click", (event) => event.points[0]?.customdata && onOpen(event.points[0].customdata));
  return { days, values };
}
