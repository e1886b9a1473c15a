// The chart on the page: one stop of the Tab key, arrow keys from trial to trial.

import { make } from './element.js';
import { picture, pressable } from './svg.js';
import { trialChart } from './trialchart.js';
import { pointSpoken } from './trialwords.js';

/** Least width, and largest height [px]. */
const [NARROW, HIGH] = [260, 420];

export class TrialChartView {
  /** @param {HTMLElement} place @param {(at: number) => void} opened a trial, by its position among all */
  constructor(place, opened) {
    this.place = place;
    this.opened = opened;
    /** @type {SVGGElement[]} */
    this.points = [];
    /** @type {number[]} positions among all trials */
    this.at = [];
    this.width = 0; // [px] of the place when it was drawn
    this.here = -1; // the trial that Tab leads to; -1 = the newest
    place.onkeydown = (event) => this.key(event);
    // The focus moves away when the key is let go: no other button is to feel it.
    place.onkeyup = (event) => (event.key === 'Enter' || event.key === ' ') && this.open(/** @type {Element} */ (event.target));
    place.onclick = (event) => this.open(/** @type {Element} */ (event.target));
    place.addEventListener('focusin', (event) => this.arrive(/** @type {Element} */ (event.target)));
  }

  /**
   * @param {import('./trialrows.js').Series[]} series @param {number} count of all trials
   * @param {{what: string, unit: string, along: string, name: string, none: string}} names none: said where nothing can be drawn
   */
  draw(series, count, names) {
    this.width = this.place.clientWidth;
    if (!series.some((s) => s.marks.length)) {
      this.points = [];
      return this.place.replaceChildren(make('p', 'none', names.none));
    }
    const width = Math.round(Math.max(NARROW, this.width));
    const height = Math.round(Math.min(HIGH, Math.max(220, 0.5 * width)));
    const { still, points } = trialChart(series, count, width, height, { up: `${names.what}, ${names.unit}`, along: names.along });
    const focused = this.place.contains(document.activeElement);
    const svg = picture(still, width, height, names.name);
    svg.setAttribute('role', 'group');
    this.at = points.map((p) => p.mark.at);
    this.points = points.map(({ mark, label, shapes }) => pressable(shapes, pointSpoken(mark, names.what, names.unit, series.length > 1 ? label : '')));
    for (const p of this.points) p.setAttribute('tabindex', '-1');
    svg.append(...this.points);
    this.place.replaceChildren(svg);
    const stop = this.points[this.stop()];
    stop?.setAttribute('tabindex', '0');
    if (focused) stop?.focus();
  }

  /** Where Tab leads, as a position among the points. */
  stop() {
    const i = this.at.indexOf(this.here);
    return i < 0 ? this.points.length - 1 : i;
  }

  /** @param {Element} target */
  index(target) {
    const g = target.closest('g');
    return g ? this.points.indexOf(/** @type {any} */ (g)) : -1;
  }

  /** @param {Element} target */
  arrive(target) {
    const i = this.index(target);
    if (i < 0) return;
    this.points[this.stop()]?.setAttribute('tabindex', '-1');
    this.here = this.at[i];
    this.points[i].setAttribute('tabindex', '0');
  }

  /** @param {Element} target */
  open(target) {
    const i = this.index(target);
    if (i >= 0) this.opened(this.at[i]);
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const i = this.index(/** @type {Element} */ (event.target));
    if (i < 0 || event.ctrlKey || event.altKey || event.metaKey) return;
    const last = this.points.length - 1;
    /** @type {Record<string, number>} */
    const to = { ArrowLeft: i - 1, ArrowRight: i + 1, Home: 0, End: last, PageUp: i - 10, PageDown: i + 10 };
    if (event.key in to) this.points[Math.min(last, Math.max(0, to[event.key]))].focus();
    else if (event.key !== ' ') return;
    event.preventDefault();
  }
}
