// Lowest and highest value of each series in each pixel column of time.
//
// Columns are numbered in absolute time (number = floor(t / step)), kept up as
// readings arrive, and never recomputed for drawing: the cost of a frame does not
// depend on the number of readings, and a column does not shimmer as it travels.
// The straight line between two readings is followed through every column it
// crosses, so neighbours always touch; across a gap there is nothing.

/** The energies; each has a column `NAME_J` in the messages. */
export const SERIES = Object.freeze(['kinetic', 'elastic', 'gravitational', 'total']);

export const ENERGIES = Object.freeze(SERIES.map((name) => `${name}_J`));

export class Columns {
  /**
   * @param {readonly string[]} [fields] columns of the messages, a series each
   * @param {number} [bridge] [s] over which the line goes on though values are absent
   */
  constructor(fields = ENERGIES, bridge = 0) {
    this.fields = fields;
    this.bridge = bridge;
    this.step = 0;
    this.slots = 0;
    this.mask = 0;
    this.number = new Float64Array(0);
    /** @type {Float32Array[]} */
    this.low = [];
    /** @type {Float32Array[]} */
    this.high = [];
    /** Value with which a series entered the column, and its way [J] up and down until then. */
    /** @type {Float32Array[]} */
    this.entry = [];
    /** @type {Float64Array[]} */
    this.way = [];
    this.gone = new Float64Array(fields.length);
    this.lastEntry = new Float64Array(fields.length);
    /** Largest standard uncertainty of the total in the column. */
    this.u = new Float32Array(0);
    /** The last value of each series and when [s] it was. */
    this.last = new Float64Array(fields.length).fill(NaN);
    this.lastT = new Float64Array(fields.length).fill(NaN);
    this.end = NaN; // [s] of the refill that these columns stand for; NaN = they follow the readings
  }

  /**
   * Sets the width of a column and how many are kept, then refills from history.
   * @param {number} step [s] per column
   * @param {number} count columns wanted
   * @param {PageHistory} history
   * @param {number} [end] [s] up to which a history that stands still is wanted
   */
  shape(step, count, history, end = NaN) {
    let slots = 64;
    while (slots < count + 16) slots *= 2;
    if (step === this.step && slots === this.slots && Object.is(end, this.end)) return;
    this.step = step;
    this.slots = slots;
    this.mask = slots - 1;
    this.end = end;
    if (this.number.length !== slots) this.room(slots);
    this.clear();
    const until = Number.isNaN(end) ? history.newest : end;
    const from = history.find(until - (slots - 8) * step);
    for (let n = from; n < history.end && history.time(n) <= until; n++) this.add(history, n);
  }

  /** @param {number} slots */
  room(slots) {
    const floats = () => this.fields.map(() => new Float32Array(slots));
    this.number = new Float64Array(slots);
    this.low = floats();
    this.high = floats();
    this.entry = floats();
    this.way = this.fields.map(() => new Float64Array(slots));
    this.u = new Float32Array(slots);
  }

  clear() {
    this.number.fill(NaN);
    this.lastT.fill(NaN);
    this.last.fill(NaN);
  }

  /**
   * Takes sample n of a history.
   * @param {PageHistory} history
   * @param {number} n
   */
  add(history, n) {
    if (!this.slots) return;
    const t = history.time(n);
    const broken = history.broken[n & history.mask];
    for (let s = 0; s < this.fields.length; s++) {
      const v = history.value(this.fields[s], n);
      if (broken) this.last[s] = NaN;
      if (Number.isNaN(v)) {
        if (!(t - this.lastT[s] <= this.bridge)) this.last[s] = NaN;
        continue;
      }
      const joined = !Number.isNaN(this.last[s]) && t - this.lastT[s] < this.slots * this.step;
      if (joined) this.line(s, this.lastT[s], this.last[s], t, v);
      else this.touch(s, Math.floor(t / this.step), v);
      this.last[s] = v;
      this.lastT[s] = t;
    }
    const u = history.value('u_total_J', n);
    const c = Math.floor(t / this.step);
    if (this.number[c & this.mask] === c && u > this.u[c & this.mask]) this.u[c & this.mask] = u;
  }

  /** @param {number} s @param {number} t0 @param {number} v0 @param {number} t1 @param {number} v1 */
  line(s, t0, v0, t1, v1) {
    const from = Math.floor(t0 / this.step);
    const to = Math.floor(t1 / this.step);
    const slope = (v1 - v0) / (t1 - t0);
    for (let c = from; c <= to; c++) {
      this.touch(s, c, c === from ? v0 : v0 + slope * (c * this.step - t0));
      this.touch(s, c, c === to ? v1 : v0 + slope * ((c + 1) * this.step - t0));
    }
  }

  /** @param {number} s @param {number} c @param {number} v */
  touch(s, c, v) {
    const slot = c & this.mask;
    if (this.number[slot] !== c) {
      this.number[slot] = c;
      for (let k = 0; k < this.fields.length; k++) {
        this.low[k][slot] = Infinity;
        this.high[k][slot] = -Infinity;
      }
      this.u[slot] = 0;
    }
    if (this.low[s][slot] === Infinity) {
      this.gone[s] += Math.abs(v - this.lastEntry[s]) || 0;
      this.lastEntry[s] = v;
      this.entry[s][slot] = v;
      this.way[s][slot] = this.gone[s];
    }
    if (v < this.low[s][slot]) this.low[s][slot] = v;
    if (v > this.high[s][slot]) this.high[s][slot] = v;
  }

  /**
   * Least and greatest value per series over the columns from..to.
   * @param {number} from @param {number} to
   * @returns {{low: number, high: number}[]} Infinity, -Infinity where there is nothing
   */
  range(from, to) {
    return this.fields.map((_, s) => {
      let low = Infinity;
      let high = -Infinity;
      for (let slot = 0; slot < this.slots; slot++) {
        const c = this.number[slot];
        if (!(c >= from && c <= to)) continue; // an empty slot is NaN
        if (this.low[s][slot] < low) low = this.low[s][slot];
        if (this.high[s][slot] > high) high = this.high[s][slot];
      }
      return { low, high };
    });
  }

  /**
   * Mean standard uncertainty of the total over the columns from..to that have one.
   * @param {number} from @param {number} to
   * @returns {number} NaN when none has
   */
  meanUncertainty(from, to) {
    let sum = 0;
    let count = 0;
    for (let slot = 0; slot < this.slots; slot++) {
      if (!(this.number[slot] >= from && this.number[slot] <= to && this.u[slot] > 0)) continue;
      sum += this.u[slot];
      count++;
    }
    return sum / count;
  }
}
