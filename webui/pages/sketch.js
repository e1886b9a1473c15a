// What the room expects before a release: a curve for each energy, drawn by hand or
// by keys on an empty chart.

import { SERIES } from './columns.js';

/** Places along the time axis. */
export const PLACES = 101;

export class Sketch {
  constructor() {
    this.seconds = 5; // [s] length of the time axis
    this.top = 1; // [J] upper end of the energy axis
    /** Grows with every change. */
    this.version = 0;
    /** Energies [J] by name; NaN where nothing is drawn. @type {Record<string, Float64Array>} */
    this.curves = Object.fromEntries(SERIES.map((name) => [name, new Float64Array(PLACES).fill(NaN)]));
  }

  get empty() {
    return SERIES.every((name) => this.curves[name].every(Number.isNaN));
  }

  /**
   * Draws a straight piece over what was there, ends included; outside the chart
   * nothing is drawn and values are held to it.
   * @returns {void}
   * @param {string} name @param {number} from place @param {number} v0 [J] @param {number} to place @param {number} v1 [J]
   */
  draw(name, from, v0, to, v1) {
    if (from > to) return this.draw(name, to, v1, from, v0);
    for (let i = Math.max(0, from); i <= Math.min(PLACES - 1, to); i++) {
      const v = to === from ? v1 : v0 + ((v1 - v0) * (i - from)) / (to - from);
      this.curves[name][i] = Math.min(this.top, Math.max(0, v));
    }
    this.version++;
  }

  /** @param {string} name */
  clear(name) {
    this.curves[name].fill(NaN);
    this.version++;
  }

  /** Sets the axes; what is drawn keeps its energies. @param {number} seconds @param {number} top [J] */
  span(seconds, top) {
    this.seconds = seconds;
    this.top = top;
    this.version++;
  }
}
