// Axes: round ends, at most three ticks, one unit; they grow at once and shrink late.

/** Coverage factor of every uncertainty that the page shows. */
export const COVERAGE = 2;

/** Round tops, as multiples of a power of ten. */
const TOPS = [1, 2, 3, 4, 5, 6, 8, 10];
/** Share of the axis kept free above the highest value. */
const HEADROOM = 0.06;
/** An axis shrinks after this long [ms] of needing less. */
const PATIENCE = 3000;

/** @param {number} x > 0 @returns {number} the least round number not below x */
export function roundUp(x) {
  const power = 10 ** Math.floor(Math.log10(x));
  const top = TOPS.find((m) => m * power >= x * (1 - 1e-9)) ?? 10;
  return Number((top * power).toPrecision(6));
}

/**
 * At most `most` round positions within low..high.
 * @param {number} low @param {number} high @param {number} most
 */
export function ticks(low, high, most) {
  const steps = [1, 2, 5];
  let power = 10 ** Math.floor(Math.log10((high - low) / most) - 1);
  for (;;) {
    for (const m of steps) {
      const step = m * power;
      const from = Math.ceil(low / step - 1e-9);
      const to = Math.floor(high / step + 1e-9);
      if (to - from + 1 <= most) {
        return Array.from({ length: Math.max(0, to - from + 1) }, (_, i) => Number(((from + i) * step).toPrecision(9)));
      }
    }
    power *= 10;
  }
}

/** The common energy axis of all pictures. */
export class Axis {
  constructor() {
    this.low = 0; // [J]
    this.high = 1; // [J]
    this.version = 0;
    this.roomy = NaN; // [ms] since when a smaller axis would do
    this.settled = false;
  }

  /**
   * Fits the axis to values from low to high.
   * @param {number} low [J] @param {number} high [J] @param {number} now [ms]
   */
  fit(low, high, now) {
    if (!(high >= low)) return;
    const span = Math.max(high - Math.min(0, low), 1e-6);
    const wantHigh = high > 0 ? roundUp(Math.max(high, span / 100) * (1 + HEADROOM)) : 0;
    const wantLow = low < -0.02 * span ? -roundUp(-low * (1 + HEADROOM)) : 0;
    const outgrown = wantHigh > this.high || wantLow < this.low;
    if (wantHigh === this.high && wantLow === this.low) {
      this.roomy = NaN;
    } else if (outgrown || !this.settled) {
      const grow = this.settled;
      this.set(grow ? Math.min(wantLow, this.low) : wantLow, grow ? Math.max(wantHigh, this.high) : wantHigh);
    } else if (Number.isNaN(this.roomy)) {
      this.roomy = now;
    } else if (now - this.roomy > PATIENCE) {
      this.set(wantLow, wantHigh);
    }
  }

  /** @param {number} low @param {number} high */
  set(low, high) {
    this.low = low;
    this.high = high;
    this.roomy = NaN;
    this.settled = true;
    this.version++;
  }

  /** Fits afresh at the next call of fit. */
  reset() {
    this.settled = false;
  }

  /** @returns {number[]} [J] ends and middle, or ends and zero */
  ticks() {
    if (this.low < 0 && this.high > 0) return [this.low, 0, this.high];
    return [this.low, (this.low + this.high) / 2, this.high];
  }
}

/** @typedef {{name: 'J' | 'mJ', factor: number}} EnergyUnit */

/**
 * The unit for every energy on the page.
 * @param {string} choice 'auto', 'J' or 'mJ'
 * @param {number} top [J] of the axis
 * @returns {EnergyUnit}
 */
export function energyUnit(choice, top) {
  const small = choice === 'mJ' || (choice !== 'J' && top < 0.5);
  return small ? { name: 'mJ', factor: 1000 } : { name: 'J', factor: 1 };
}

/**
 * Decimals that show the first digit of an expanded uncertainty, 0 to 4.
 * @param {number} expanded in the unit shown; without one (0, NaN) two decimals
 */
export function decimalsFor(expanded) {
  if (!(expanded > 0)) return 2;
  return Math.min(4, Math.max(0, Math.ceil(-Math.log10(expanded) - 1e-9)));
}

/** Decimals that tell every one of the values apart. @param {number[]} values */
export function decimalsOf(values) {
  for (let d = 0; d < 4; d++) {
    if (values.every((v) => Math.abs(v - Number(v.toFixed(d))) < 1e-9 * Math.max(1, Math.abs(v)))) return d;
  }
  return 4;
}
