// The moving figure: <div data-figure data-source="/…/figure/" data-throw="uuid">, filled from templates/metrics/_figure.html.
// It raises "figure:time" {time_s, frame, throw} at every frame that it draws and goes to a time on "figure:seek"
// {time_s}. Times are seconds from foot contact. element.figure is the widget; element.dataset.frame the frame shown.

import { drawArc, facesReader, firstToShow } from "./figure-arcs.js";
import { fetchMotion } from "./figure-data.js";
import { VIEW_WORDS, basis, drawFigure, facingView, presetView, projection } from "./figure-view.js";
import { turnByDragging } from "./figure-turning.js";
import { placeTicks, wordsOfAngle, wordsOfFrame } from "./figure-words.js";

const COLOURS = ["paper", "ink", "ink2", "rule", "edge", "accent", "bar", "in", "in-line", "watch", "watch-line", "flag", "flag-line", "none", "sans"];
const TURN_DEG_PER_KEY = 6;
const TURNS = { a: [-1, 0], d: [1, 0], w: [0, 1], s: [0, -1] };
const KEPT_DRAWING_TIMES = 600;

class MovingFigure {
  constructor(element) {
    this.element = element;
    this.canvas = element.querySelector("canvas");
    this.context = this.canvas.getContext("2d");
    this.said = element.querySelector(".figure-said");
    this.wrong = element.querySelector(".figure-wrong");
    this.controls = Object.fromEntries([...element.querySelectorAll("[data-do]")].map((one) => [one.dataset.do, one]));
    this.view = null;
    this.viewName = "open";
    this.frame = 0;
    this.isPlaying = false;
    this.run = 0;
    this.drawn = 0;
    this.times = [];
    this.readPalette();
    this.listen();
    this.loadThrow(element.dataset.throw);
  }

  // ---- what is shown

  async loadThrow(uuid) {
    const option = [...this.controls.throw.options].find((one) => one.value === uuid);
    const source = option?.dataset.source ?? this.element.dataset.source;
    const time = this.motion ? this.motion.timeOf(this.frame) : null;
    this.pause();
    const asked = (this.asked = (this.asked ?? 0) + 1);
    this.element.setAttribute("aria-busy", "true");
    try {
      const motion = await fetchMotion(source);
      if (asked !== this.asked) return;
      this.motion = motion;
    } catch {
      if (asked === this.asked) this.refuse(option?.textContent ?? "this throw");
      return;
    }
    this.element.removeAttribute("aria-busy");
    this.wrong.hidden = true;
    this.canvas.hidden = false;
    this.element.dataset.throw = this.motion.throw.uuid;
    this.controls.throw.value = this.motion.throw.uuid;
    this.controls.frame.max = this.motion.frames - 1;
    if (this.viewName !== "turned") this.view = presetView(this.viewName, this.motion.side);
    this.placeTicks();
    this.showFrame(time === null ? this.firstFrame() : this.motion.frameAt(time));
  }

  refuse(name) {
    this.motion = null;
    this.element.removeAttribute("aria-busy");
    this.canvas.hidden = true;
    this.wrong.hidden = false;
    this.wrong.textContent = `The figure of ${name.toLowerCase()} could not be loaded. Reload the page; if it stays away, tell your admin.`;
    this.said.textContent = "";
  }

  // Where a flagged angle can be seen from here, else any flagged one, else foot plant.
  firstFrame() {
    const flags = this.motion.arcs.filter((arc) => arc.zone === "flag");
    const flagged = flags.find((arc) => facesReader(arc, basis(this.view))) ?? flags[0];
    const event = this.motion.events.find((one) => one.key === (flagged?.event ?? "fp")) ?? this.motion.events[0];
    return event ? this.motion.frameAt(event.time_s) : 0;
  }

  seek(time_s) {
    if (this.motion) this.showFrame(this.motion.frameAt(time_s));
  }

  showFrame(frame) {
    if (!this.motion) return;
    this.frame = Math.min(Math.max(frame, 0), this.motion.frames - 1);
    this.controls.frame.value = this.frame;
    this.offerAngles();
    this.draw();
    this.tell();
  }

  setView(name) {
    const view = this.motion && presetView(name, this.motion.side);
    if (!view) return;
    this.viewName = name;
    this.view = view;
    this.draw();
    this.tell();
  }

  turn(yaw, pitch) {
    if (!this.view) return;
    this.viewName = "turned";
    this.view = { yaw: this.view.yaw + yaw, pitch: Math.min(Math.max(this.view.pitch + pitch, -90), 90) };
    this.draw();
    this.tell();
  }

  // ---- playing

  play() {
    if (!this.motion || this.isPlaying) return;
    if (this.frame >= this.motion.frames - 1) this.showFrame(0);
    this.isPlaying = true;
    this.from = { at: null, time: this.motion.timeOf(this.frame) };
    this.controls.play.textContent = "Pause";
    this.tell();
    const run = (this.run += 1);
    requestAnimationFrame((now) => this.tick(now, run));
  }

  pause() {
    if (!this.isPlaying) return;
    this.isPlaying = false;
    this.controls.play.textContent = "Play";
    this.tell();
  }

  // `run`: which press of Play it belongs to; a frame that was asked for before a pause is not played on.
  tick(now, run) {
    if (!this.isPlaying || run !== this.run || !this.element.isConnected) return;
    this.from.at ??= now;
    const time = this.from.time + ((now - this.from.at) / 1000) * Number(this.controls.speed.value);
    const last = this.motion.frames - 1;
    this.frame = this.motion.frameAt(time);
    this.controls.frame.value = this.frame;
    this.offerAngles();
    this.draw();
    if (this.frame >= last) this.pause();
    else requestAnimationFrame((next) => this.tick(next, run));
  }

  stepEvent(forward) {
    const frames = this.motion?.eventsShown.map((event) => this.motion.frameAt(event.time_s)) ?? [];
    const next = forward ? frames.find((one) => one > this.frame) : frames.findLast((one) => one < this.frame);
    if (next !== undefined) this.showFrame(next);
  }

  // ---- drawing

  draw() {
    if (!this.motion) return;
    const began = performance.now();
    const { width, height } = this.fit();
    const project = projection(this.view, this.motion, width, height);
    this.context.clearRect(0, 0, width, height);
    drawFigure(this.context, this.motion, this.frame, project, this.palette);
    const arc = this.angle;
    const vertex = arc && this.motion.at(this.frame, arc.vertex);
    if (vertex) drawArc(this.context, arc, vertex, project, this.palette);
    this.drawn += 1;
    this.times.push(performance.now() - began);
    if (this.times.length > KEPT_DRAWING_TIMES) this.times.shift();
    this.element.dataset.frame = this.frame;
    this.element.dataset.timeS = this.motion.timeOf(this.frame).toFixed(4);
    const detail = { time_s: this.motion.timeOf(this.frame), frame: this.frame, throw: this.motion.throw.uuid };
    this.element.dispatchEvent(new CustomEvent("figure:time", { bubbles: true, detail }));
  }

  // The canvas in CSS px, sharp on every screen.
  fit() {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    const sharp = window.devicePixelRatio || 1;
    if (this.canvas.width !== Math.round(width * sharp) || this.canvas.height !== Math.round(height * sharp)) {
      this.canvas.width = Math.round(width * sharp);
      this.canvas.height = Math.round(height * sharp);
    }
    this.context.setTransform(sharp, 0, 0, sharp, 0, 0);
    return { width, height };
  }

  readPalette() {
    const style = getComputedStyle(this.element);
    this.palette = Object.fromEntries(COLOURS.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
  }

  stats() {
    const sorted = [...this.times].sort((a, b) => a - b);
    return { frames_drawn: this.drawn, median_ms: sorted[Math.floor(sorted.length / 2)] ?? 0 };
  }

  // ---- angles and words

  get angle() {
    return this.motion?.arcsAt(this.frame).find((arc) => arc.metric === this.chosen) ?? null;
  }

  // The angles that are judged at the event that is shown; a choice is kept from event to event by its name.
  offerAngles() {
    const arcs = this.motion.arcsAt(this.frame);
    const key = arcs.map((arc) => arc.metric).join();
    if (key === this.offered) return;
    this.offered = key;
    const select = this.controls.angle;
    select.disabled = arcs.length === 0;
    select.replaceChildren(new Option(arcs.length ? "none" : "none here", ""), ...arcs.map((arc) => new Option(`${arc.name}, ${arc.words}`, arc.metric)));
    const seen = arcs.filter((arc) => facesReader(arc, basis(this.view)));
    const kept = this.hides ? null : (arcs.find((arc) => arc.name === this.wanted) ?? firstToShow(seen) ?? firstToShow(arcs));
    this.chosen = kept?.metric ?? "";
    select.value = this.chosen;
  }

  chooseAngle(metric) {
    this.chosen = metric;
    this.hides = metric === "";
    this.wanted = this.angle?.name;
    this.draw();
    this.tell();
  }

  // Said while nothing moves: a text that changes sixty times a second helps nobody.
  tell() {
    if (!this.motion) return;
    for (const button of this.element.querySelectorAll("[data-view]")) button.setAttribute("aria-pressed", String(button.dataset.view === this.viewName));
    if (this.isPlaying) {
      this.said.textContent = "Playing.";
      return;
    }
    const parts = wordsOfFrame(this.motion, this.frame);
    const arc = this.angle;
    const isSeen = arc && facesReader(arc, basis(this.view));
    this.said.replaceChildren(parts.join(" · "), ...(arc ? [wordsOfAngle(arc, isSeen ? null : () => this.face(arc))] : []));
    this.canvas.setAttribute("aria-label", `Throw ${this.motion.throw.number} ${VIEW_WORDS[this.viewName]}: ${parts.join(", ")}${arc ? `, ${arc.name} ${arc.text}, ${arc.words}` : ""}`);
  }

  face(arc) {
    this.viewName = "turned";
    this.view = facingView(arc.normal, this.view);
    this.draw();
    this.tell();
  }

  placeTicks() {
    placeTicks(this.element.querySelector(".figure-ticks"), this.motion, (frame) => {
      this.pause();
      this.showFrame(frame);
    });
  }

  // ---- what a person does

  listen() {
    const { controls } = this;
    controls.throw.addEventListener("change", () => this.loadThrow(controls.throw.value));
    controls.frame.addEventListener("input", () => { this.pause(); this.showFrame(Number(controls.frame.value)); });
    controls.play.addEventListener("click", () => (this.isPlaying ? this.pause() : this.play()));
    controls.angle.addEventListener("change", () => this.chooseAngle(controls.angle.value));
    controls.speed.addEventListener("change", () => { if (this.isPlaying) this.from = { at: null, time: this.motion.timeOf(this.frame) }; });
    for (const [name, step] of [["back", -1], ["next", 1]]) controls[name].addEventListener("click", () => { this.pause(); this.showFrame(this.frame + step); });
    for (const [name, forward] of [["event-back", false], ["event-next", true]]) controls[name].addEventListener("click", () => { this.pause(); this.stepEvent(forward); });
    for (const button of this.element.querySelectorAll("[data-view]")) button.addEventListener("click", () => this.setView(button.dataset.view));
    this.element.addEventListener("figure:seek", (event) => { this.pause(); this.seek(event.detail.time_s); });
    this.element.addEventListener("keydown", (event) => this.onKey(event));
    turnByDragging(this.canvas, (yaw, pitch) => this.turn(yaw, pitch));
    new ResizeObserver(() => { if (this.motion) { this.draw(); this.placeTicks(); } }).observe(this.canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { this.readPalette(); this.draw(); });
  }

  onKey(event) {
    if (!this.motion || event.ctrlKey || event.metaKey || event.altKey || event.target.matches("select")) return;
    const isOnPicture = event.target === this.canvas;
    if (["ArrowLeft", "ArrowRight"].includes(event.key)) {
      const forward = event.key === "ArrowRight";
      event.preventDefault();
      this.pause();
      if (event.shiftKey) this.stepEvent(forward);
      else this.showFrame(this.frame + (forward ? 1 : -1));
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

function mount(root) {
  for (const element of root.querySelectorAll?.("[data-figure]") ?? []) element.figure ??= new MovingFigure(element);
}

document.addEventListener("htmx:load", (event) => mount(event.target));
mount(document);
