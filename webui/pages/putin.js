// The level that was put in: the total energy to count losses from.
//
// Left alone, bob and spring only lose mechanical energy. So when the running
// mean of the total rises from its lowest by more than its uncertainty allows,
// somebody has put energy in, and counting starts afresh at the level reached.
// This moves a line on the page; no measured value is touched by it.

/** Time constant [s] of the running mean. */
const MEAN = 0.3;
/** Counting starts this long [s] after the first reading. */
const SETTLE = 0.6;
/** A rise belongs to the one before when it follows within this time [s]. */
const SAME_RISE = 1;

export class PutIn {
  /** Lowest potential energy [J] that the bob can have; NaN when not known. */
  rest = NaN;
  /** The level [J] to count from; NaN before there is one. */
  level = NaN;
  /** When [s] counting began. */
  since = NaN;
  /** Running mean [J] of the total. */
  mean = NaN;
  /** Lowest running mean [J] since counting began. */
  trough = NaN;
  began = NaN; // [s] first reading
  lastT = NaN; // [s]
  rose = NaN; // [s] when the level last moved

  /** Counts from the next readings on. */
  restart() {
    Object.assign(this, new PutIn(), { rest: this.rest });
  }

  /**
   * Takes one total.
   * @param {number} t [s]
   * @param {number} total [J]
   * @param {number} u [J] its standard uncertainty
   * @returns {boolean} the level has moved
   */
  follow(t, total, u) {
    if (Number.isNaN(total)) return false;
    if (Number.isNaN(this.mean)) {
      this.mean = total;
      this.began = t;
    } else {
      this.mean += (total - this.mean) * (1 - Math.exp(-(t - this.lastT) / MEAN));
    }
    this.lastT = t;
    if (t - this.began < SETTLE) return false;
    if (Number.isNaN(this.level)) return this.raise(t);
    if (this.mean < this.trough) this.trough = this.mean;
    const rising = t - this.rose < SAME_RISE && this.mean > this.level + (u || 0) / 4;
    return (rising || this.mean > this.trough + this.margin(u)) && this.raise(t);
  }

  /** @param {number} u [J] */
  margin(u) {
    const swing = Number.isNaN(this.rest) ? 0 : Math.max(0, this.level - this.rest);
    return Math.max(3 * (u || 0), swing / 20, 1e-6);
  }

  /** @param {number} t */
  raise(t) {
    this.level = this.mean;
    this.trough = this.mean;
    this.since = t;
    this.rose = t;
    return true;
  }

  clone() {
    return Object.assign(new PutIn(), this);
  }
}
