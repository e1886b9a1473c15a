// Turning points of the bob: where its height stops growing or falling.
//
// Only the measured height is used. A reversal counts once the bob has come back
// by REVERSAL or by a twentieth of the swing before, whichever is more, so that
// noise at rest makes no turning points.

/** Least way back [m] that makes a turning point. */
const REVERSAL = 0.003;

/** @typedef {{n: number, t: number, height: number, high: boolean}} TurningPoint */

export class TurningPoints {
  direction = 0; // 1 = rising
  /** @type {TurningPoint | null} */
  highest = null;
  /** @type {TurningPoint | null} */
  lowest = null;
  swing = 0; // [m] between the last two turning points

  /** Forgets the motion so far: after a gap, or at the start. */
  restart() {
    Object.assign(this, new TurningPoints());
  }

  /**
   * Takes one height; returns the turning point that it completes, if any.
   * @param {number} n number of the sample
   * @param {number} t [s]
   * @param {number} height [m]
   * @returns {TurningPoint | null}
   */
  push(n, t, height) {
    if (Number.isNaN(height)) return null;
    const here = { n, t, height, high: false };
    if (!this.highest || height > this.highest.height) this.highest = { ...here, high: true };
    if (!this.lowest || height < this.lowest.height) this.lowest = here;
    const back = Math.max(REVERSAL, this.swing / 20);
    if (this.direction >= 0 && this.highest.height - height > back) return this.turn(this.highest, here, -1);
    if (this.direction <= 0 && height - this.lowest.height > back) return this.turn(this.lowest, here, 1);
    return null;
  }

  /** @param {TurningPoint} point @param {TurningPoint} here @param {number} direction */
  turn(point, here, direction) {
    const first = this.direction === 0;
    if (this.highest && this.lowest && !first) this.swing = this.highest.height - this.lowest.height;
    this.direction = direction;
    // The extreme just passed stays; the other one is sought anew from here.
    if (direction < 0) this.lowest = here;
    else this.highest = { ...here, high: true };
    return first ? null : point;
  }
}
