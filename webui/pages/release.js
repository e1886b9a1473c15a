// Finds the release: the instant at which a bob that was held at rest begins to move.

/** A bob is at rest while its height stays within this [m]: more than the noise of a distance. */
const REST = 0.004;
/** It must have rested so long [s]: longer than a swing dwells at its turning points. */
const HELD = 0.5;

export class Release {
  height = NaN; // [m] at which it began to rest
  since = NaN; // [s]
  still = NaN; // [s] last time at rest

  /**
   * Takes one height; returns the instant [s] of the release that it shows, else NaN.
   * @param {number} t [s]
   * @param {number} height [m]
   */
  push(t, height) {
    if (Number.isNaN(height)) return NaN;
    if (Math.abs(height - this.height) <= REST) {
      this.still = t;
      return NaN;
    }
    const released = this.still - this.since >= HELD ? this.still : NaN;
    this.height = height;
    this.since = t;
    this.still = t;
    return released;
  }
}
