// The newest readings, as many as fit: a ring of typed arrays.
//
// Samples carry absolute numbers that only grow: `first` is the oldest one kept,
// `end` the one to come. A quantity that a reading did not bring is NaN.

import { CHANNELS } from './protocol.js';

/** @typedef {{t: number} & Record<string, number>} Sample */

/** One minute at 1000 readings a second fits. */
const CAPACITY = 1 << 16;

/** How long [s] a quantity may be held when the newest reading lacks it. */
const HOLD = 0.25;

export class History {
  /** @param {number} [capacity] a power of two */
  constructor(capacity = CAPACITY) {
    if ((capacity & (capacity - 1)) !== 0) throw new RangeError('the capacity of a history is a power of two');
    this.capacity = capacity;
    this.mask = capacity - 1;
    this.end = 0;
    this.t = new Float64Array(capacity);
    /** 1 where readings are missing before the sample. */
    this.broken = new Uint8Array(capacity);
    /** @type {Record<string, Float32Array>} */
    this.values = {};
    for (const name of CHANNELS) this.values[name] = new Float32Array(capacity);
  }

  get first() {
    return Math.max(0, this.end - this.capacity);
  }

  /** Time [s] of the newest sample, NaN when there is none. */
  get newest() {
    return this.end ? this.t[(this.end - 1) & this.mask] : NaN;
  }

  /**
   * Keeps row i of a message.
   * @param {Frames} message
   * @param {number} i
   * @param {boolean} broken readings are missing before this one
   */
  append(message, i, broken) {
    const slot = this.end & this.mask;
    this.t[slot] = message.t_s[i];
    this.broken[slot] = broken ? 1 : 0;
    for (let k = 0; k < CHANNELS.length; k++) this.values[CHANNELS[k]][slot] = message.columns[CHANNELS[k]]?.[i] ?? NaN;
    this.end++;
  }

  /** @param {string} name @param {number} n number of a kept sample */
  value(name, n) {
    return this.values[name][n & this.mask];
  }

  /** @param {number} n */
  time(n) {
    return this.t[n & this.mask];
  }

  /**
   * The sample to show for number n: n itself or, when its total is absent, the
   * nearest earlier one not older than a quarter second; the force likewise.
   * @param {number} n
   * @param {Sample} [sample] one to fill, so that a frame needs no new one
   * @returns {Sample | null} null when n is not kept
   */
  at(n, sample = /** @type {any} */ ({})) {
    if (n < this.first || n >= this.end) return null;
    const known = this.lastKnown('total_J', n);
    sample.t = this.time(n);
    sample.n = n;
    for (const name of CHANNELS) sample[name] = this.value(name, known);
    sample.force_N = this.value('force_N', this.lastKnown('force_N', n));
    return sample;
  }

  /**
   * The sample at time t, on straight lines between the readings before and after;
   * what one of them lacks, or a gap parts, is as in the reading before.
   * @param {number} t [s]
   * @param {Sample} sample to fill
   * @param {Sample} after a second one, for the reading after
   * @returns {Sample | null}
   */
  between(t, sample, after) {
    const n = this.find(t);
    if (!this.at(n, sample)) return null;
    const apart = this.time(n + 1) - sample.t;
    const open = n + 1 < this.end && !this.broken[(n + 1) & this.mask] && apart > 0 && t > sample.t;
    if (!open || !this.at(n + 1, after)) return sample;
    const share = Math.min(1, (t - sample.t) / apart);
    for (const name of CHANNELS) {
      if (!Number.isNaN(after[name])) sample[name] += (after[name] - sample[name]) * share;
    }
    sample.t = t;
    return sample;
  }

  /** @param {string} name @param {number} n */
  lastKnown(name, n) {
    const oldest = this.time(n) - HOLD;
    for (let k = n; k >= this.first && this.time(k) >= oldest; k--) {
      if (!Number.isNaN(this.value(name, k))) return k;
      if (this.broken[k & this.mask]) break;
    }
    return n;
  }

  /**
   * Number of the newest sample not later than t, held to what is kept.
   * @param {number} t [s]
   */
  find(t) {
    let low = this.first;
    let high = this.end - 1;
    while (low < high) {
      const middle = Math.ceil((low + high) / 2);
      if (this.time(middle) <= t) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  clear() {
    this.end = 0;
  }

  clone() {
    const copy = new History(this.capacity);
    copy.end = this.end;
    copy.t.set(this.t);
    copy.broken.set(this.broken);
    for (const name of CHANNELS) copy.values[name].set(this.values[name]);
    return copy;
  }
}
