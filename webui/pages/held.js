// A page at a standstill: the record as it was at the freeze, and the instant in it
// that is looked at. Recording goes on elsewhere; from here the last minute can be
// stepped through and run again at a share of its speed.

/** Speeds of running again, in shares of the true one. */
export const SPEEDS = Object.freeze([1, 1 / 4, 1 / 10]);
/** The longest step [s] of the page's clock that runs on: a tab that slept does not leap. */
const LEAP = 0.1;

export class Held {
  /** @param {PageRecord} record a copy that nobody adds to @param {Date} at wall time of the freeze */
  constructor(record, at) {
    this.record = record;
    this.at = at;
    /** Number of the sample looked at. */
    this.cursor = record.history.end - 1;
    /** The instant [s] looked at: between two samples while it runs. */
    this.t = record.history.newest;
    /** Time [s] at the right edge of the strips. */
    this.edge = this.t;
    this.speed = 0;
    /** @type {Sample} */
    this.scratch = /** @type {any} */ ({});
    /** @type {Sample} */
    this.after = /** @type {any} */ ({});
  }

  /** @returns {Sample | null} */
  sample() {
    const { history } = this.record;
    return this.speed ? history.between(this.t, this.scratch, this.after) : history.at(this.cursor, this.scratch);
  }

  /** Looks at sample n, held to what is kept, and stands still there. @param {number} n @param {number} window [s] */
  show(n, window) {
    const { history } = this.record;
    this.speed = 0;
    this.cursor = Math.min(history.end - 1, Math.max(history.first, n));
    this.t = history.time(this.cursor);
    this.turn(window);
  }

  /** Number of the next turning point, or that of the end there. @param {1 | -1} direction */
  turning(direction) {
    const points = this.record.kept;
    const next = direction > 0 ? points.find((p) => p.n > this.cursor) : points.findLast((p) => p.n < this.cursor);
    return next ? next.n : direction > 0 ? Infinity : 0;
  }

  /** @param {number} speed @param {number} window [s] to go back by when at the end */
  play(speed, window) {
    const { history } = this.record;
    if (speed && this.cursor === history.end - 1) this.show(history.find(this.t - window), window);
    this.speed = speed;
    if (!speed) this.show(this.cursor, window);
  }

  /**
   * Runs on for some time of the page's clock.
   * @param {number} seconds
   * @param {number} window [s]
   * @returns {boolean} whether it moved
   */
  advance(seconds, window) {
    if (!this.speed || !(seconds > 0)) return false;
    const { history } = this.record;
    this.t += Math.min(seconds, LEAP) * this.speed;
    this.cursor = history.find(this.t);
    if (this.t >= history.newest) this.show(Infinity, window);
    else this.turn(window);
    return true;
  }

  /** Turns the strips over, like pages, when the instant has left them. @param {number} window [s] */
  turn(window) {
    const { newest } = this.record.history;
    if (this.t > this.edge) this.edge = Math.min(newest, this.t + 0.75 * window);
    else if (this.t < this.edge - 0.98 * window) this.edge = Math.min(newest, this.t + 0.25 * window);
  }
}
