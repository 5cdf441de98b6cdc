// The trends page: the opened chart with pan and zoom when asked for, and the flag history by the arrow keys.

import { fetchPlotly } from "./chart-script.js";
import { themeOf } from "./curve-plot.js";
import { drawTrend } from "./trend-plot.js";

const PAN = 0.15;
const ZOOM = 0.8;

class Zoomed {
  constructor(holder) {
    this.holder = holder;
    this.still = holder.querySelector(".trend-still");
    this.plot = holder.querySelector(".trend-plot");
    this.said = holder.querySelector(".trend-said");
    this.button = holder.querySelector("[data-trend-zoom]");
    this.data = JSON.parse(document.getElementById("trend-data").textContent);
    holder.querySelector(".trend-bar").hidden = false;
    this.button.addEventListener("click", () => this.toggle());
    this.plot.addEventListener("keydown", (event) => this.onKey(event));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.plot.hidden || this.draw(window.Plotly));
  }

  async toggle() {
    if (!this.plot.hidden) {
      this.show(false);
      return;
    }
    this.said.textContent = "The chart is being fetched.";
    try {
      const plotly = await fetchPlotly(this.holder);
      this.show(true);
      this.draw(plotly);
      this.plot.focus();
      this.said.textContent = "Drag to pan, scroll to zoom; by keys ← → ↑ ↓, + and −, 0 for all.";
    } catch {
      this.said.textContent = "The chart with zoom could not be loaded. The still one has the same numbers; try again, and if it stays away, tell your admin.";
    }
  }

  show(zoomed) {
    this.plot.hidden = !zoomed;
    this.still.hidden = zoomed;
    this.button.setAttribute("aria-pressed", String(zoomed));
    this.said.textContent = "";
  }

  draw(plotly) {
    this.first = drawTrend(plotly, this.plot, this.data, themeOf(this.holder), (url) => location.assign(url));
    this.plot.setAttribute("aria-label", `${this.data.title} over time, ${this.data.points.length} findings. Its numbers stand in the table below.`);
  }

  onKey(event) {
    const step = { ArrowLeft: [-PAN, 0, 1], ArrowRight: [PAN, 0, 1], ArrowUp: [0, PAN, 1], ArrowDown: [0, -PAN, 1], "+": [0, 0, ZOOM], "=": [0, 0, ZOOM], "-": [0, 0, 1 / ZOOM] }[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey || !(step || event.key === "0")) return;
    event.preventDefault();
    const days = step ? moved(this.plot.layout.xaxis.range.map((day) => Date.parse(day)), step[0], step[2]).map((time) => new Date(time).toISOString()) : this.first.days;
    const values = step ? moved(this.plot.layout.yaxis.range, step[1], step[2]) : this.first.values;
    window.Plotly.relayout(this.plot, { "xaxis.range": days, "yaxis.range": values });
  }
}

function moved([low, high], share, zoom) {
  const [middle, half] = [(low + high) / 2 + share * (high - low), (zoom * (high - low)) / 2];
  return [middle - half, middle + half];
}

// One stop for the Tab key in the whole grid; the arrow keys go from mark to mark, and what it says is written below.
class Grid {
  constructor(table, said) {
    this.said = said;
    this.rows = [...table.tBodies[0].rows].map((row) => [...row.querySelectorAll("td")].map((cell) => cell.querySelector("a")));
    this.links = this.rows.flat().filter(Boolean);
    for (const link of this.links) {
      link.tabIndex = -1;
      link.title = link.getAttribute("aria-label");
    }
    const last = this.rows[0]?.findLast(Boolean) ?? this.links[0];
    if (last) last.tabIndex = 0;
    table.addEventListener("keydown", (event) => this.onKey(event));
    table.addEventListener("focusin", (event) => this.onFocus(event));
    table.addEventListener("pointerover", (event) => this.tell(event.target.closest("td > a")));
    const region = table.closest(".wide");
    region.scrollLeft = region.scrollWidth;
  }

  onFocus(event) {
    const link = event.target.closest("td > a");
    if (!link) return;
    for (const one of this.links) one.tabIndex = one === link ? 0 : -1;
    this.tell(link);
  }

  tell(link) {
    if (!link) return;
    const metric = link.closest("tr").querySelector("th").textContent.trim().replace(/\s+/g, " ");
    this.said.textContent = `${metric}, ${link.getAttribute("aria-label")}`;
  }

  onKey(event) {
    const link = event.target.closest("td > a");
    const step = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0], Home: [0, -Infinity], End: [0, Infinity] }[event.key];
    if (!link || !step || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.next(link, step)?.focus();
  }

  next(link, [down, right]) {
    const row = this.rows.findIndex((cells) => cells.includes(link));
    const column = this.rows[row].indexOf(link);
    if (Math.abs(right) === Infinity) return right > 0 ? this.rows[row].findLast(Boolean) : this.rows[row].find(Boolean);
    for (let r = row + down, c = column + right; this.rows[r] && c >= 0 && c < this.rows[r].length; r += down, c += right) {
      if (this.rows[r][c]) return this.rows[r][c];
    }
    return null;
  }
}

// "Numbers" opens the table that it leads to, also when the page came with that part in its address.
function openNumbers() {
  const numbers = document.getElementById("numbers");
  if (location.hash === "#numbers" && numbers) numbers.open = true;
}

for (const holder of document.querySelectorAll("[data-trend]")) new Zoomed(holder);
for (const table of document.querySelectorAll("[data-roving]")) new Grid(table, document.querySelector(".history-said"));
addEventListener("hashchange", openNumbers);
openNumbers();
