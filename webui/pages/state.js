// Everything the page knows, and whether it may be shown as live.
//
// Messages go in (take), events of the socket too; views only read. Times that
// drive the page are milliseconds of performance.now(), handed in; times told to
// people are wall-clock Dates.

import { Record } from './record.js';
import { Axis } from './scale.js';

/** @typedef {import('./protocol.js').Message} Message */
/** @typedef {import('./protocol.js').Hello} Hello */
/** @typedef {import('./protocol.js').Status} Status */
/** @typedef {import('./history.js').Sample} Sample */
/** @typedef {import('./settings.js').Settings} Settings */

/** Readings older than this [ms] are not live. */
const STALE = 1000;
/** How often [ms] the axis is fitted. */
const FIT = 250;

/**
 * Whether values may be shown as live; when not, why, and since when.
 * @typedef {{live: boolean, why: 'live' | 'unreachable' | 'never' | 'finished' | 'stopped',
 *   since: Date | null}} Liveness
 */

export class State {
  /** @param {Settings} settings */
  constructor(settings) {
    this.settings = settings;
    /** Grows with every change that a view may show. */
    this.version = 0;
    /** @type {Hello | null} */
    this.hello = null;
    /** @type {Status | null} */
    this.status = null;
    this.live = new Record();
    /** @type {Record | null} */
    this.held = null;
    /** @type {Date | null} */
    this.heldAt = null; // wall time of the freeze
    this.cursor = 0; // number of the held sample that is shown
    this.open = false;
    /** @type {Date | null} */
    this.closedAt = null;
    /** @type {Date | null} */
    this.readingAt = null; // wall time of the newest reading
    this.arrival = -Infinity; // [ms] of the newest reading
    this.missed = 0; // readings that the daemon could not send to this page
    this.refused = { malformed: 0, version: 0, unknown: 0 };
    this.axis = new Axis();
    this.fitted = -Infinity;
    /** @type {Liveness} */
    this.liveness = { live: false, why: 'never', since: null };
  }

  /** The record that the views show. */
  get shown() {
    return this.held ?? this.live;
  }

  get frozen() {
    return this.held !== null;
  }

  /** Turning points and slow changes in place of motion. */
  get calm() {
    return this.settings.calm;
  }

  /** What is taken off gravitational and total energy [J]. */
  get offset() {
    return this.shown.offset(this.settings.zero);
  }

  /**
   * The sample to show now.
   * @returns {Sample | null}
   */
  get sample() {
    const { history, kept } = this.shown;
    if (this.held) return history.at(this.cursor);
    const point = this.calm ? kept.at(-1) : undefined;
    return history.at(point && point.t > history.newest - 5 ? point.n : history.end - 1);
  }

  /**
   * Least and greatest value of an energy over the last whole cycle.
   * @param {string} name
   */
  cycleRange(name) {
    const { history, kept } = this.shown;
    const [from, to] = [kept.at(-3), kept.at(-1)];
    let [low, high] = [Infinity, -Infinity];
    for (let n = from?.n ?? 0; from && to && n <= to.n; n++) {
      const v = history.value(`${name}_J`, n);
      low = Math.min(low, Number.isNaN(v) ? low : v);
      high = Math.max(high, Number.isNaN(v) ? high : v);
    }
    return { low, high };
  }

  /**
   * @param {Message} message
   * @param {number} now [ms]
   * @param {Date} wall
   */
  take(message, now, wall) {
    this.version++;
    if (message.type === 'hello') this.takeHello(message);
    else if (message.type === 'status') this.status = message;
    else if (message.n > 0) {
      this.live.take(message);
      this.missed += message.lost;
      this.arrival = now;
      this.readingAt = wall;
    }
  }

  /** @param {Hello} hello */
  takeHello(hello) {
    if (!this.hello || this.hello.session !== hello.session) {
      this.live.clear();
      this.freeze(false, null);
      this.axis.reset();
      this.missed = 0;
    }
    this.hello = hello;
    this.live.setBench(hello);
  }

  /** @param {import('./protocol.js').Refusal} refusal */
  refuse(refusal) {
    this.refused[refusal]++;
    this.version++;
  }

  opened() {
    this.open = true;
    this.version++;
  }

  /** @param {Date} wall */
  closed(wall) {
    if (this.open || !this.closedAt) this.closedAt = wall;
    this.open = false;
    this.status = null;
    this.live.interrupt();
    this.version++;
  }

  /**
   * Freezes the page at the newest sample, or lets it run again.
   * @param {boolean} on
   * @param {Date | null} wall
   */
  freeze(on, wall) {
    if (on && !this.held && this.live.history.end > 0) {
      this.held = this.live.clone();
      this.cursor = this.held.history.end - 1;
      this.heldAt = wall;
    } else if (!on) {
      this.held = null;
      this.heldAt = null;
    }
    this.version++;
  }

  /** Moves the cursor of a frozen page to sample n, held to what is kept. @param {number} n */
  show(n) {
    if (!this.held) return;
    const { first, end } = this.held.history;
    this.cursor = Math.min(end - 1, Math.max(first, n));
    this.version++;
  }

  /** Moves the cursor to the next turning point in a direction. @param {1 | -1} direction */
  stepTurning(direction) {
    if (!this.held) return;
    const points = this.held.kept;
    const next = direction > 0 ? points.find((p) => p.n > this.cursor) : points.findLast((p) => p.n < this.cursor);
    this.show(next ? next.n : direction > 0 ? Infinity : 0);
  }

  /** Counts losses from now on. */
  countFromNow() {
    this.live.restart();
    this.axis.reset();
    this.version++;
  }

  /**
   * Once per animation frame: liveness and axis.
   * @param {number} now [ms]
   */
  tick(now) {
    const liveness = this.judge(now);
    if (liveness.why !== this.liveness.why) this.version++;
    this.liveness = liveness;
    if (!this.held && now - this.fitted >= FIT) {
      this.fitted = now;
      this.fitAxis(now);
    }
  }

  /** @param {number} now [ms] @returns {Liveness} */
  judge(now) {
    if (!this.open) return { live: false, why: 'unreachable', since: this.readingAt ?? this.closedAt };
    if (this.status?.link === 'finished') return { live: false, why: 'finished', since: this.readingAt };
    if (this.arrival === -Infinity) return { live: false, why: 'never', since: null };
    const stale = now - this.arrival > STALE || (this.status && !this.status.fresh);
    if (stale) return { live: false, why: 'stopped', since: this.readingAt };
    return { live: true, why: 'live', since: null };
  }

  /** @param {number} now [ms] */
  fitAxis(now) {
    const { columns, putIn, history } = this.live;
    if (!columns.step || !history.end) return;
    const right = Math.floor(history.newest / columns.step);
    const ranges = columns.range(right - Math.ceil(this.settings.window / columns.step), right);
    const offset = this.live.offset(this.settings.zero);
    const shift = [0, 0, offset, offset];
    let low = 0;
    let high = Number.isNaN(putIn.level) ? -Infinity : putIn.level - offset;
    ranges.forEach((r, s) => {
      low = Math.min(low, r.low - shift[s]);
      high = Math.max(high, r.high - shift[s]);
    });
    this.axis.fit(low, high, now);
  }

  /**
   * Time [s] at the right edge of the strip: the newest reading, and on from there
   * while none arrives, so that a gap is seen growing, to half a window.
   * @param {number} now [ms]
   */
  edge(now) {
    const { newest } = this.shown.history;
    if (this.held) return newest;
    const waited = (now - this.arrival) / 1000;
    return newest + (waited > STALE / 1000 ? Math.min(waited, this.settings.window / 2) : 0);
  }
}
