// Sketching by pointer and by keys, and the controls of the sketch.

import { SERIES } from './columns.js';
import { pushButton, set } from './element.js';
import { markerPicture } from './markerpicture.js';
import { pencilAt, sketchWords } from './morewords.js';
import { decimal, parseDecimal } from './numbers.js';
import { decimalsOf } from './scale.js';
import { PLACES } from './sketch.js';
import { build } from './sketchform.js';
import { SketchView } from './sketchview.js';
import { words } from './words.js';

/** Least time [ms] between two changes of what a screen reader says. */
const EVERY = 1000;
/** Share of the energy axis that one key press moves the pencil. */
const STEP = 0.02;

/**
 * @param {(id: string) => any} find @param {State} state @param {Paper} paper
 */
export function open(find, state, paper) {
  const controls = build(find('sketch'));
  const view = new SketchView(controls.canvas, paper);
  paper.refresh();
  return [new SketchDesk(controls, state, view), view];
}

class SketchDesk {
  /** @param {ReturnType<typeof build>} controls @param {State} state @param {SketchView} view */
  constructor(controls, state, view) {
    this.state = state;
    this.view = view;
    this.name = SERIES[0];
    this.canvas = controls.canvas;
    this.seconds = controls.seconds;
    this.top = controls.top;
    this.armButton = controls.arm;
    this.line = controls.state;
    this.told = -Infinity;
    this.untouched = true; // the axes are still those proposed
    /** @type {Record<string, HTMLButtonElement>} */
    this.buttons = {};
    for (const name of SERIES) {
      const button = pushButton('', () => this.choose(name));
      button.className = `choice ${name}`;
      button.append(markerPicture(name), words[/** @type {'total'} */ (name)]);
      this.buttons[name] = button;
      controls.choices.append(button, ' ');
    }
    this.choose(this.name);
    controls.clear.onclick = () => view.sketch.clear(this.name);
    this.armButton.onclick = () => view.overlay.arm(!view.overlay.armed, state.live.history);
    for (const input of [this.seconds, this.top]) input.onchange = () => this.setAxes();
    this.listen();
  }

  listen() {
    const { canvas, view } = this;
    /** @type {{place: number, value: number} | null} */
    let last = null;
    canvas.onpointerdown = (/** @type {PointerEvent} */ event) => {
      canvas.setPointerCapture(event.pointerId);
      view.pencil = null;
      last = view.under(event);
      view.sketch.draw(this.name, last.place, last.value, last.place, last.value);
    };
    canvas.onpointermove = (/** @type {PointerEvent} */ event) => {
      const here = view.under(event);
      if (last) view.sketch.draw(this.name, last.place, last.value, here.place, here.value);
      last = last && here;
    };
    canvas.onpointerup = canvas.onpointercancel = () => { last = null; };
    canvas.onkeydown = (/** @type {KeyboardEvent} */ event) => this.key(event);
    canvas.onblur = () => { view.pencil = null; };
  }

  /** @param {string} name of an energy */
  choose(name) {
    this.name = name;
    for (const [n, button] of Object.entries(this.buttons)) button.setAttribute('aria-pressed', String(n === name));
  }

  /** Moves the pencil, drawing behind it. @param {KeyboardEvent} event */
  key(event) {
    const { sketch } = this.view;
    const { key } = event;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const from = this.view.pencil ?? { place: 0, value: sketch.curves[this.name][0] || 0, name: this.name };
    const far = event.shiftKey ? 5 : 1;
    const across = key === 'ArrowRight' ? far : key === 'ArrowLeft' ? -far : 0;
    const up = key === 'ArrowUp' ? far : key === 'ArrowDown' ? -far : 0;
    if (key === 'Delete' || key === 'Backspace') sketch.clear(this.name);
    else if (!across && !up) return;
    event.preventDefault();
    const place = Math.min(PLACES - 1, Math.max(0, from.place + across));
    const value = Math.min(sketch.top, Math.max(0, from.value + up * STEP * sketch.top));
    if (across || up) sketch.draw(this.name, from.place, across ? from.value : value, place, value);
    this.view.pencil = { place, value, name: this.name };
  }

  setAxes() {
    const { sketch } = this.view;
    this.untouched = false;
    const seconds = parseDecimal(this.seconds.value);
    const top = parseDecimal(this.top.value);
    const good = { seconds: seconds >= 1 && seconds <= 60, top: top >= 0.001 && top <= 1000 };
    this.seconds.setAttribute('aria-invalid', String(!good.seconds));
    this.top.setAttribute('aria-invalid', String(!good.top));
    if (good.seconds && good.top) sketch.span(seconds, top);
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    const { view } = this;
    const { sketch, overlay } = view;
    if (view.sheet.away || now - this.told < EVERY / 4) return;
    if (this.untouched && sketch.empty && state.axis.settled && sketch.top !== state.axis.high) {
      sketch.span(sketch.seconds, state.axis.high);
      this.top.value = decimal(sketch.top, decimalsOf([sketch.top]));
      this.seconds.value = decimal(sketch.seconds, 0);
    }
    this.armButton.setAttribute('aria-pressed', String(overlay.armed));
    if (now - this.told < EVERY) return;
    this.told = now;
    set(this.line, this.text());
  }

  /** What is going on, in words. */
  text() {
    const { overlay, pencil, sketch } = this.view;
    if (this.seconds.getAttribute('aria-invalid') === 'true') return sketchWords.seconds_wrong;
    if (this.top.getAttribute('aria-invalid') === 'true') return sketchWords.top_wrong;
    if (overlay.armed) return Number.isNaN(overlay.start) ? sketchWords.waits : sketchWords.runs;
    if (pencil) return pencilAt(this.name, decimal((pencil.place * sketch.seconds) / (PLACES - 1), 2), decimal(pencil.value, 3));
    return Number.isNaN(overlay.start) ? '' : sketchWords.done;
  }
}
