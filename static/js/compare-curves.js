// One curve of two sessions: their means over each other, and under them how far apart they are with its 95% band.
// <div data-compare-curves>, filled from templates/metrics/_compare_curves.html.

import { fetchPlotly } from "./chart-script.js";
import { placeCursor, themeOf, toChart } from "./curve-plot.js";
import { SHORT } from "./figure-words.js";
import { fromAddress, keepInAddress } from "./page-address.js";

const WAIT_FOR_MORE_MS = 300;
const NUMBERS_EVERY_MS = 20;
const LABEL_PX = 62; // labels closer than this stand on two lines
const IN_ADDRESS = ["a", "b", "whom", "a_throw", "b_throw", "until"];
const STYLES = [{ dash: "dash", ink: "--ink2" }, { dash: "solid", ink: "--accent" }];

const unitWords = (unit) => (unit === "deg" ? "degrees" : unit);

// The first side is dashed, the second solid: told apart without colour.
function traces(data, ink) {
  const made = [];
  data.sides.forEach((side, place) => {
    const { dash } = STYLES[place];
    const colour = ink(STYLES[place].ink);
    const line = { x: data.times_ms, mode: "lines", showlegend: false, xaxis: "x", yaxis: "y" };
    if (side.throws.length > 1) {
      for (const one of side.throws) made.push({ ...line, y: one.values, line: { color: ink("--rule"), width: 1, dash: place ? "solid" : "dot" }, hoverinfo: "skip" });
    }
    made.push({ ...line, y: side.mean, name: side.title, line: { color: colour, width: 2.5, dash }, showlegend: true, hovertemplate: `${side.title}: %{y:.1f}<extra></extra>` });
  });
  const under = { x: data.times_ms, mode: "lines", showlegend: false, xaxis: "x", yaxis: "y2" };
  if (data.low) {
    made.push({ ...under, y: data.low, line: { width: 0 }, hoverinfo: "skip" });
    made.push({ ...under, y: data.high, line: { width: 0 }, fill: "tonexty", fillcolor: ink("--bar"), hoverinfo: "skip" });
  }
  made.push({ ...under, y: data.difference, line: { color: ink("--ink"), width: 2 }, hovertemplate: "difference: %{y:.1f}<extra></extra>" });
  return made;
}

function eventMarks(data, ink, nearMs) {
  const events = data.sides[1].events;
  const shapes = events.map((one) => ({ type: "line", xref: "x", yref: "paper", x0: one.chart_ms, x1: one.chart_ms, y0: 0, y1: 1, line: { color: ink("--edge"), width: 1, dash: "dot" } }));
  let last = -Infinity;
  let row = 0;
  const annotations = events.map((one) => {
    row = one.chart_ms - last < nearMs ? (row + 1) % 3 : 0;
    last = one.chart_ms;
    return { x: one.chart_ms, y: 1, xref: "x", yref: "paper", yanchor: "bottom", showarrow: false, text: SHORT[one.key] ?? one.key, yshift: 2 + 14 * row, font: { size: 12, color: ink("--ink2") } };
  });
  return { shapes, annotations };
}

function layout(data, ink, width) {
  const events = data.sides[1].events;
  const range = [Math.min(-250, (events[0]?.chart_ms ?? -250) + 400), data.release_ms + 160];
  const axis = { color: ink("--ink2"), gridcolor: ink("--rule"), zeroline: false, linecolor: ink("--edge"), fixedrange: true, tickfont: { size: 12 } };
  const title = (text) => ({ text, font: { size: 12 } });
  return {
    paper_bgcolor: "rgba(0,0,0,0)", plot_bgcolor: "rgba(0,0,0,0)", font: { family: ink("--sans"), color: ink("--ink"), size: 13 },
    margin: { l: 60, r: 14, t: 54, b: 44 }, hovermode: "closest", dragmode: false, separators: ".",
    legend: { orientation: "h", traceorder: "normal", x: 0, y: -0.12, yanchor: "top" },
    xaxis: { ...axis, title: title("milliseconds from foot contact"), range, anchor: "y2" },
    yaxis: { ...axis, title: title(unitWords(data.unit)), domain: [0.42, 1] },
    yaxis2: { ...axis, title: title("difference"), domain: [0, 0.34], zeroline: true, zerolinecolor: ink("--edge") },
    ...eventMarks(data, ink, (LABEL_PX * (range[1] - range[0])) / Math.max(width - 74, 100)),
  };
}

function numberRows(data) {
  const digits = (value) => (value === null || value === undefined ? "—" : value.toFixed(1).replace("-", "−"));
  const [first, second] = data.sides;
  const columns = [[first.title, first.mean], [second.title, second.mean], ["Difference", data.difference]];
  if (data.low) columns.push(["from", data.low], ["to", data.high]);
  const cell = (tag, text, className) => Object.assign(document.createElement(tag), { textContent: text, className });
  const head = document.createElement("thead");
  head.append(document.createElement("tr"));
  for (const text of ["ms from contact", ...columns.map(([name]) => name)]) head.firstChild.append(Object.assign(cell("th", text, "r"), { scope: "col" }));
  const body = document.createElement("tbody");
  const every = Math.max(1, Math.round(NUMBERS_EVERY_MS / (data.times_ms[1] - data.times_ms[0])));
  data.times_ms.forEach((time, index) => {
    if (index % every) return;
    const row = document.createElement("tr");
    for (const text of [time.toFixed(0).replace("-", "−"), ...columns.map(([, values]) => digits(values[index]))]) row.append(cell("td", text, "r num"));
    body.append(row);
  });
  return [head, body];
}

class ComparedCurves {
  constructor(holder) {
    this.holder = holder;
    this.plot = holder.querySelector(".curves-plot");
    this.said = holder.querySelector(".curves-said");
    this.select = holder.querySelector("select");
    this.asked = 0;
    this.select.addEventListener("change", () => {
      keepInAddress({ curve: this.select.value });
      this.load();
    });
    document.addEventListener("compare:throws", () => this.load());
    document.addEventListener("compare:time", (event) => { this.time = event.detail; this.placeCursor(); });
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.show());
    keepInAddress({ curve: this.select.value }); // a curve chosen before anything listened counts, too
    this.load();
  }

  async load() {
    const asked = (this.asked += 1);
    this.holder.setAttribute("aria-busy", "true");
    try {
      const [plotly, data] = await Promise.all([fetchPlotly(this.holder), this.fetchCurve(asked)]);
      if (asked !== this.asked) return;
      Object.assign(this, { plotly, data });
      this.show();
    } catch {
      if (asked === this.asked) this.said.textContent = "The curve could not be loaded. Choose it again; if it stays away, tell your admin.";
    } finally {
      if (asked === this.asked) this.holder.removeAttribute("aria-busy");
    }
  }

  // Throws are drawn a few at a time when nobody has looked at them yet.
  async fetchCurve(asked) {
    const parts = new URLSearchParams({ ...fromAddress(IN_ADDRESS), curve: this.select.value });
    for (;;) {
      const answer = await fetch(`${this.holder.dataset.compareCurves}?${parts}`, { headers: { Accept: "application/json" } });
      if (!answer.ok) throw new Error(String(answer.status));
      const data = await answer.json();
      if (!data.pending || asked !== this.asked) return data;
      this.said.textContent = `${data.pending} throws to draw.`;
      await new Promise((resolve) => setTimeout(resolve, WAIT_FOR_MORE_MS));
    }
  }

  show() {
    if (!this.data) return;
    if (this.data.sides.length === 0) {
      this.said.textContent = "The positions of these throws are no longer here.";
      return;
    }
    this.plotly.react(this.plot, traces(this.data, themeOf(this.holder)), layout(this.data, themeOf(this.holder), this.plot.clientWidth), { displayModeBar: false, responsive: true });
    this.plot.removeAllListeners?.("plotly_click");
    this.plot.on("plotly_click", ({ points }) => this.seek(points[0].x));
    document.querySelector("[data-compare]")?.compare?.draw(); // says where the figures are
    this.holder.querySelector(".curves-numbers").replaceChildren(...numberRows(this.data));
    this.said.textContent = this.data.said;
    this.plot.setAttribute("aria-label", `${this.data.title} over time, both sides, and their difference. Its numbers stand in the table below.`);
    this.holder.dataset.shown = this.data.curve;
  }

  // Where the figures are, on the clock on which contact to release is equally long for all.
  placeCursor() {
    if (!this.data?.release_ms || !this.time?.release_ms) return;
    const chartMs = toChart(this.time.ms, this.time.release_ms, this.data.release_ms);
    placeCursor(this.plot, chartMs);
    this.holder.dataset.cursorMs = chartMs.toFixed(1);
  }

  seek(chartMs) {
    if (!this.time?.release_ms) return;
    document.dispatchEvent(new CustomEvent("compare:seek", { detail: { ms: toChart(chartMs, this.data.release_ms, this.time.release_ms) } }));
  }
}

function mount(holder) {
  const watch = new IntersectionObserver((entries) => {
    if (!entries.some((entry) => entry.isIntersecting)) return;
    watch.disconnect();
    holder.curves = new ComparedCurves(holder);
  }, { rootMargin: "200px" });
  watch.observe(holder);
}

for (const holder of document.querySelectorAll("[data-compare-curves]")) mount(holder);
