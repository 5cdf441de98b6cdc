// The section of motion on a session's page: one curve of all throws, tied to the moving figure, and the events.

import { fetchPlotly } from "./chart-script.js";
import { drawCurve, themeOf, toChart } from "./curve-plot.js";

const WAIT_FOR_MORE_MS = 300;

class Curves {
  constructor(holder) {
    this.holder = holder;
    this.plot = holder.querySelector(".curves-plot");
    this.said = holder.querySelector(".curves-said");
    this.select = holder.querySelector("select");
    this.section = holder.closest("#motion");
    this.figure = this.section.querySelector("[data-figure]");
    this.throwUuid = this.section.querySelector("#motion-events")?.dataset.throw ?? "";
    this.cursorMs = 0;
    this.asked = 0;
    this.select.addEventListener("change", () => this.load());
    this.plot.addEventListener("keydown", (event) => this.onKey(event));
    this.section.addEventListener("figure:time", (event) => this.onFigure(event.detail));
    document.body.addEventListener("htmx:afterSettle", (event) => {
      if (event.detail.target?.id === "session") this.afterChange();
    });
    this.load();
  }

  get current() {
    return this.data?.throws.find((one) => one.uuid === this.throwUuid) ?? this.data?.throws[0];
  }

  async load() {
    const asked = (this.asked += 1);
    this.holder.setAttribute("aria-busy", "true");
    try {
      const [plotly, data] = await Promise.all([fetchPlotly(this.holder), this.fetchCurve(asked)]);
      if (asked !== this.asked) return;
      this.data = data;
      this.throwUuid = this.current?.uuid ?? "";
      this.show(plotly);
    } catch {
      this.said.textContent = "The curve could not be loaded. Choose it again; if it stays away, tell your admin.";
    } finally {
      if (asked === this.asked) this.holder.removeAttribute("aria-busy");
    }
  }

  // Throws are drawn a few at a time when nobody has looked at them yet.
  async fetchCurve(asked) {
    for (;;) {
      const answer = await fetch(`${this.holder.dataset.curves}?curve=${this.select.value}`);
      if (!answer.ok) throw new Error(String(answer.status));
      const data = await answer.json();
      if (!data.pending || asked !== this.asked) return data;
      this.said.textContent = `${data.throws.length} throws drawn, ${data.pending} to go.`;
      await new Promise((resolve) => setTimeout(resolve, WAIT_FOR_MORE_MS));
    }
  }

  show(plotly) {
    if (!this.data.throws.length) {
      this.said.textContent = "The positions of these throws are no longer here.";
      return;
    }
    this.drawn = drawCurve(plotly, this.plot, this.data, this.current, themeOf(this.holder), {
      onTime: (chartMs) => this.seek(this.toOwn(chartMs)),
      onMove: (key, chartMs) => this.moveEvent(key, this.toOwn(chartMs)),
    });
    this.holder.querySelector(".curves-numbers").replaceChildren(...numberRows(this.data, this.current));
    const scored = this.data.throws.filter((one) => one.scored).length;
    this.said.textContent = scored > 1 ? `Mean and standard deviation of ${scored} scored throws; throw ${this.current.number} in blue.` : `Throw ${this.current.number}.`;
    this.plot.setAttribute("aria-label", `${this.data.title} over time, ${this.data.throws.length} throws. Its numbers stand in the table below.`);
    this.placeCursor();
  }

  toOwn(chartMs) {
    return toChart(chartMs, this.data.release_ms, this.current.release_ms);
  }

  placeCursor() {
    if (this.drawn) this.drawn.cursorAt(toChart(this.cursorMs, this.current.release_ms, this.data.release_ms));
    this.holder.dataset.cursorMs = this.cursorMs.toFixed(1);
  }

  setCursor(ownMs) {
    this.cursorMs = ownMs;
    this.placeCursor();
  }

  seek(ownMs) {
    this.setCursor(ownMs);
    this.figure?.dispatchEvent(new CustomEvent("figure:seek", { detail: { time_s: ownMs / 1000 } }));
    this.setCursor(ownMs); // the figure shows its nearest frame; the cursor stays where it was put
  }

  onFigure(detail) {
    const uuid = detail.throw?.uuid ?? detail.throw;
    if (uuid && uuid !== this.throwUuid) this.choose(uuid);
    if (this.data) this.setCursor(detail.time_s * 1000);
  }

  choose(uuid) {
    this.throwUuid = uuid;
    const events = this.section.querySelector("#motion-events");
    const address = this.section.querySelector(`[data-throw-events="${uuid}"]`)?.dataset.url;
    if (events && address) window.htmx.ajax("GET", address, { target: events, swap: "innerHTML" });
    if (this.data && window.Plotly) this.show(window.Plotly);
  }

  onKey(event) {
    if (!this.data || !["ArrowLeft", "ArrowRight"].includes(event.key)) return;
    event.preventDefault();
    const forward = event.key === "ArrowRight" ? 1 : -1;
    if (!event.shiftKey) return void this.seek(this.cursorMs + forward * this.current.step_ms);
    const times = this.current.events.map((one) => one.time_ms).sort((a, b) => a - b);
    const next = forward > 0 ? times.find((time) => time > this.cursorMs + 0.05) : times.findLast((time) => time < this.cursorMs - 0.05);
    if (next !== undefined) this.seek(next);
  }

  moveEvent(key, ownMs) {
    const form = this.section.querySelector(`#motion-events tr[data-event="${key}"] form.move`);
    if (!form) return void this.load();
    form.elements.time_ms.value = ownMs.toFixed(1);
    form.requestSubmit();
  }

  // The findings were made anew: an event moved, a throw was left out or taken back.
  afterChange() {
    if (!this.holder.isConnected) return;
    this.load();
    this.figure?.figure?.loadThrow?.(this.throwUuid);
  }
}

function cell(tag, text, className = "") {
  const made = document.createElement(tag);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

function numberRows(data, current) {
  const digits = (value) => (value === null || value === undefined ? "—" : value.toFixed(1).replace("-", "−"));
  const every = Math.max(1, Math.round(20 / (data.times_ms[1] - data.times_ms[0])));
  const head = document.createElement("thead");
  head.append(document.createElement("tr"));
  for (const text of ["ms from contact", `Mean, ${data.unit}`, "SD", `Throw ${current.number}`]) head.firstChild.append(cell("th", text, "r"));
  const body = document.createElement("tbody");
  data.times_ms.forEach((time, index) => {
    if (index % every) return;
    const row = document.createElement("tr");
    for (const text of [time.toFixed(0).replace("-", "−"), digits(data.mean[index]), digits(data.sd[index]), digits(current.values[index])]) row.append(cell("td", text, "r num"));
    body.append(row);
  });
  return [head, body];
}

// Buttons that take the time from the cursor work only where there is one.
function prepareEvents(root) {
  const holder = document.querySelector("#motion .curves");
  for (const button of root.querySelectorAll("[data-take-cursor]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      button.form.elements.time_ms.value = holder?.dataset.cursorMs ?? "";
      button.form.elements.time_ms.focus();
    });
  }
}

document.body.addEventListener("htmx:load", (event) => {
  const root = event.target;
  for (const holder of root.querySelectorAll?.("[data-curves]") ?? []) holder.curves ??= new Curves(holder);
  prepareEvents(root);
});
document.body.addEventListener("htmx:oobAfterSwap", (event) => prepareEvents(event.detail.target));
