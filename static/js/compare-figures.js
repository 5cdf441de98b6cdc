// Two moving figures on one clock: <div data-compare>, filled from templates/metrics/_compare_figures.html.
// element.compare is the widget; element.dataset.step the step shown, in sixtieths of a second from the chosen event.

import { Clock, Placed, STEP_S, joinBounds } from "./compare-motion.js";
import { eventRows, wordsOfMoment } from "./compare-words.js";
import { fetchMotion } from "./figure-data.js";
import { turnByDragging } from "./figure-turning.js";
import { VIEW_WORDS, drawFigure, presetView, projection } from "./figure-view.js";
import { keepInAddress } from "./page-address.js";

const COLOURS = ["paper", "ink", "ink2", "rule", "edge", "accent", "sans"];
const TURN_DEG_PER_KEY = 6;
const TURNS = { a: [-1, 0], d: [1, 0], w: [0, 1], s: [0, -1] };
const DASH = [7, 5];
const EVENT_REST_MS = 1200; // how long each event stands while it plays for somebody who asked for little motion
const KEPT_TIMES = 600;

class ComparedFigures {
  constructor(element) {
    this.element = element;
    this.figures = [...element.querySelectorAll("[data-place]")];
    this.canvases = this.figures.map((one) => one.querySelector("canvas"));
    this.captions = this.figures.map((one) => one.querySelector("[data-throw-words]"));
    this.titles = this.figures.map((one) => one.dataset.title);
    this.heights = this.figures.map((one) => Number(one.dataset.heightCm) || null);
    this.said = element.querySelector(".figure-said");
    this.wrong = element.querySelector(".figure-wrong");
    this.controls = Object.fromEntries([...element.querySelectorAll("[data-do]")].map((one) => [one.dataset.do, one]));
    this.throws = [this.controls["throw-0"], this.controls["throw-1"]];
    this.viewName = "open";
    this.step = 0;
    this.isPlaying = false;
    this.run = 0;
    this.seen = [];
    this.readPalette();
    this.listen();
    this.load();
  }

  get isOver() {
    return this.controls.laid.value === "over";
  }

  // ---- what is shown

  async load() {
    const asked = (this.asked = (this.asked ?? 0) + 1);
    this.pause();
    this.element.setAttribute("aria-busy", "true");
    try {
      const motions = await Promise.all(this.throws.map((select) => fetchMotion(select.selectedOptions[0].dataset.source)));
      if (asked !== this.asked) return;
      this.motions = motions;
      this.wrong.hidden = true;
      this.place();
    } catch {
      if (asked !== this.asked) return;
      this.pair = null;
      this.wrong.hidden = false;
      this.wrong.textContent = "The figures could not be loaded. Choose the throws again; if they stay away, tell your admin.";
    } finally {
      if (asked === this.asked) this.element.removeAttribute("aria-busy");
    }
  }

  // Makes the two alike, and the clock and the picture for them.
  place() {
    const mirrored = this.element.dataset.mirrored;
    const scale = this.isOver && this.heights.every(Boolean) ? this.heights[1] / this.heights[0] : 1;
    this.pair = this.motions.map((motion, place) => new Placed(motion, { isMirrored: mirrored === String(place), scale: place === 0 ? scale : 1 }));
    this.clock = new Clock(this.pair, this.controls.from.value);
    this.element.dataset.laid = this.controls.laid.value;
    this.bounds = this.withFloor(this.isOver ? this.boundsWhenLaid() : joinBounds(this.pair.map((one) => one.bounds)));
    this.controls.step.min = this.clock.first;
    this.controls.step.max = this.clock.last;
    if (this.viewName !== "turned") this.view = presetView(this.viewName, this.pair[1].side);
    this.captions.forEach((caption, place) => { caption.textContent = this.throws[place].selectedOptions[0].textContent; });
    this.element.querySelector(".compare-events").replaceChildren(...eventRows(this.clock, this.titles));
    this.show(this.step);
  }

  // The end of a floor that falls toward home belongs to the picture.
  withFloor({ least, most }) {
    const falls = Math.min(...this.pair.map((one) => one.slope * Math.max(most[0], 0)));
    return { least: [least[0], least[1], Math.min(least[2], falls)], most };
  }

  // Of the second, and of the first wherever it is laid.
  boundsWhenLaid() {
    const [first, second] = this.pair;
    const places = [];
    for (let step = this.clock.first; step <= this.clock.last; step += 4) {
      this.layAt(step);
      const frame = this.clock.frameOf(0, step);
      first.points.forEach((_, point) => places.push(point === first.ball ? null : first.at(frame, point)));
    }
    return joinBounds([second.bounds, ...places.filter(Boolean).map((place) => ({ least: place, most: place }))]);
  }

  // The first is moved so that its pelvis lies on the second's.
  layAt(step) {
    const [first, second] = this.pair;
    const hips = second.at(this.clock.frameOf(1, step), second.points.indexOf("mid_hips"));
    first.layHipsOn(hips, this.clock.frameOf(0, step));
  }

  show(step) {
    if (!this.pair) return;
    this.step = Math.min(Math.max(step, this.clock.first), this.clock.last);
    this.controls.step.value = Math.round(this.step);
    this.draw();
    this.tell();
  }

  setView(name) {
    this.view = presetView(name, this.pair?.[1].side ?? "right");
    this.viewName = name;
    this.show(this.step);
  }

  turn(yaw, pitch) {
    if (!this.view) return;
    this.viewName = "turned";
    this.view = { yaw: this.view.yaw + yaw, pitch: Math.min(Math.max(this.view.pitch + pitch, -90), 90) };
    this.show(this.step);
  }

  // ---- playing

  play() {
    if (!this.pair || this.isPlaying) return;
    if (this.step >= this.clock.last) this.step = this.clock.first;
    this.isPlaying = true;
    this.seen = [];
    this.from = { at: null, step: this.step };
    this.controls.play.textContent = "Pause";
    this.tell();
    const run = (this.run += 1);
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) this.playByEvent(run);
    else requestAnimationFrame((now) => this.tick(now, run));
  }

  pause() {
    if (!this.isPlaying) return;
    this.isPlaying = false;
    this.controls.play.textContent = "Play";
    this.show(Math.round(this.step));
  }

  tick(now, run) {
    if (!this.isPlaying || run !== this.run || !this.element.isConnected) return;
    this.from.at ??= now;
    this.seen.push(now);
    if (this.seen.length > KEPT_TIMES) this.seen.shift();
    this.step = Math.min(this.from.step + ((now - this.from.at) / 1000 / STEP_S) * Number(this.controls.speed.value), this.clock.last);
    this.controls.step.value = Math.round(this.step);
    this.draw();
    if (this.step >= this.clock.last) this.pause();
    else requestAnimationFrame((next) => this.tick(next, run));
  }

  // For whoever asked for little motion: from event to event, each at rest for a while.
  playByEvent(run) {
    if (!this.isPlaying || run !== this.run || !this.element.isConnected) return;
    const next = this.clock.eventSteps.find((one) => one > this.step);
    if (next === undefined) return void this.pause();
    this.show(next);
    setTimeout(() => this.playByEvent(run), EVENT_REST_MS);
  }

  // Frames a second while it last played.
  get framesASecond() {
    const { seen } = this;
    return seen.length > 1 ? (1000 * (seen.length - 1)) / (seen.at(-1) - seen[0]) : 0;
  }

  stepEvent(forward) {
    const steps = this.clock.eventSteps;
    const next = forward ? steps.find((one) => one > this.step) : steps.findLast((one) => one < this.step);
    if (next !== undefined) this.show(next);
  }

  // ---- drawing

  draw() {
    if (!this.pair) return;
    if (this.isOver) this.drawOver();
    else this.pair.forEach((one, place) => this.drawOne(place));
    this.element.dataset.step = this.step.toFixed(2).replace(/\.00$/, "");
    this.figures.forEach((figure, place) => { figure.dataset.frame = this.clock.frameOf(place, this.step).toFixed(2); });
    document.dispatchEvent(new CustomEvent("compare:time", { detail: this.clock.fromContact(1, this.step) }));
  }

  drawOne(place) {
    this.pair[place].shift = [0, 0, 0];
    const { context, project } = this.stage(place);
    drawFigure(context, this.pair[place], this.clock.frameOf(place, this.step), project, this.palette);
  }

  drawOver() {
    const { context, project } = this.stage(1);
    this.layAt(this.step);
    const [first, second] = [0, 1].map((place) => this.clock.frameOf(place, this.step));
    const behind = { ...this.palette, ink: this.palette.ink2 };
    drawFigure(context, this.pair[1], second, project, this.palette);
    drawFigure(context, this.pair[0], first, project, behind, { floor: false, dash: DASH });
  }

  // The canvas in CSS px, sharp on every screen, and clear.
  stage(place) {
    const canvas = this.canvases[place];
    const { clientWidth: width, clientHeight: height } = canvas;
    const sharp = window.devicePixelRatio || 1;
    if (canvas.width !== Math.round(width * sharp) || canvas.height !== Math.round(height * sharp)) {
      canvas.width = Math.round(width * sharp);
      canvas.height = Math.round(height * sharp);
    }
    const context = canvas.getContext("2d");
    context.setTransform(sharp, 0, 0, sharp, 0, 0);
    context.clearRect(0, 0, width, height);
    return { context, project: projection(this.view, { bounds: this.bounds }, width, height) };
  }

  readPalette() {
    const style = getComputedStyle(this.element);
    this.palette = Object.fromEntries(COLOURS.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
  }

  // Said while nothing moves: a text that changes sixty times a second helps nobody.
  tell() {
    if (!this.pair) return;
    for (const button of this.element.querySelectorAll("[data-view]")) button.setAttribute("aria-pressed", String(button.dataset.view === this.viewName));
    const event = [...this.controls.from.options].find((one) => one.value === this.clock.key)?.textContent ?? "foot contact";
    const words = this.isPlaying ? "Playing." : wordsOfMoment(this.clock, this.step, this.titles, event);
    const lacking = this.clock.isAsked ? "" : " The chosen moment was not found in both throws, so time counts from foot contact.";
    this.said.textContent = `${words}${lacking}`;
    if (this.isPlaying) return;
    this.canvases.forEach((canvas, place) => {
      const who = this.isOver ? `${this.titles.join(" and ")} laid over each other` : this.titles[place];
      canvas.setAttribute("aria-label", `${who}, ${VIEW_WORDS[this.viewName]}: ${words}`);
    });
  }

  // ---- what a person does

  listen() {
    const { controls } = this;
    this.throws.forEach((select, place) => select.addEventListener("change", () => {
      keepInAddress({ [place ? "b_throw" : "a_throw"]: select.value });
      this.load();
      document.dispatchEvent(new CustomEvent("compare:throws"));
    }));
    for (const name of ["from", "laid"]) controls[name].addEventListener("change", () => {
      keepInAddress({ [name]: controls[name].value });
      this.pause();
      if (name === "from") this.step = 0;
      if (this.motions) this.place();
    });
    controls.step.addEventListener("input", () => { this.pause(); this.show(Number(controls.step.value)); });
    controls.play.addEventListener("click", () => (this.isPlaying ? this.pause() : this.play()));
    controls.speed.addEventListener("change", () => { this.from = { at: null, step: this.step }; });
    for (const [name, step] of [["back", -1], ["next", 1]]) controls[name].addEventListener("click", () => { this.pause(); this.show(Math.round(this.step) + step); });
    for (const [name, forward] of [["event-back", false], ["event-next", true]]) controls[name].addEventListener("click", () => { this.pause(); if (this.pair) this.stepEvent(forward); });
    for (const button of this.element.querySelectorAll("[data-view]")) button.addEventListener("click", () => this.setView(button.dataset.view));
    document.addEventListener("compare:seek", (event) => { this.pause(); this.show(this.clock?.stepFromContact(1, event.detail.ms) ?? 0); });
    this.element.addEventListener("keydown", (event) => this.onKey(event));
    for (const canvas of this.canvases) {
      turnByDragging(canvas, (yaw, pitch) => this.turn(yaw, pitch));
      new ResizeObserver(() => this.draw()).observe(canvas);
    }
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { this.readPalette(); this.draw(); });
  }

  onKey(event) {
    if (!this.pair || event.ctrlKey || event.metaKey || event.altKey || event.target.matches("select")) return;
    const isOnPicture = this.canvases.includes(event.target);
    if (["ArrowLeft", "ArrowRight"].includes(event.key)) {
      const forward = event.key === "ArrowRight";
      event.preventDefault();
      this.pause();
      if (event.shiftKey) this.stepEvent(forward);
      else this.show(Math.round(this.step) + (forward ? 1 : -1));
    } else if (isOnPicture && event.key === " ") {
      event.preventDefault();
      if (this.isPlaying) this.pause();
      else this.play();
    } else if (isOnPicture && TURNS[event.key.toLowerCase()]) {
      const [yaw, pitch] = TURNS[event.key.toLowerCase()];
      event.preventDefault();
      this.turn(yaw * TURN_DEG_PER_KEY, pitch * TURN_DEG_PER_KEY);
    }
  }
}

for (const element of document.querySelectorAll("[data-compare]")) element.compare = new ComparedFigures(element);
