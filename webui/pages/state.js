// Everything the page knows, and whether it may be shown as live.
//
// Messages go in (take), events of the socket too; views only read. Times that
// drive the page are milliseconds of performance.now(), handed in; times told to
// people are wall-clock Dates.

import { Held } from './held.js';
import { Lateness } from './lateness.js';
import { Record } from './record.js';
import { Axis } from './scale.js';

/** Readings older than this [ms] are not live. */
const STALE = 1000;
/** How often [ms] the axes are fitted. */
const FIT = 250;

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
    /** @type {Held | null} */
    this.held = null;
    this.open = false;
    this.greeted = false; // the daemon has said on this line who it is
    this.sealed = false; // results are withheld, as far as the daemon has said
    /** @type {Date | null} */
    this.closedAt = null;
    /** @type {Date | null} */
    this.readingAt = null; // wall time of the newest reading
    this.arrival = -Infinity; // [ms] of the newest reading
    this.lateness = new Lateness();
    this.ticked = NaN; // [ms] last frame
    this.walled = NaN; // [ms] wall time then
    this.missed = 0; // readings that the daemon could not send to this page
    this.refused = { malformed: 0, version: 0, unknown: 0 };
    this.axis = new Axis();
    this.axes = { extension: new Axis(), force: new Axis() };
    this.fitted = -Infinity;
    /** @type {Liveness} */
    this.liveness = { live: false, why: 'never', since: null };
    this.sampled = -1; // version for which the sample was looked up
    /** @type {Sample | null} */
    this.sampleNow = null;
    /** @type {Sample} filled anew for every frame */
    this.scratch = /** @type {any} */ ({});
  }

  /** The record that the views show. */
  get shown() {
    return this.held?.record ?? this.live;
  }

  get frozen() {
    return this.held !== null;
  }

  /** Whether values may be shown: live ones, or old ones that are called so. */
  get shows() {
    return this.frozen || this.liveness.live;
  }

  /** Turning points and slow changes in place of motion. */
  get calm() {
    return this.settings.calm;
  }

  /** What is taken off gravitational and total energy [J]. */
  get offset() {
    return this.shown.offset(this.settings.zero);
  }

  /** The level put in [J] as it counts for the sample shown; NaN when none does. */
  get level() {
    const { putIn } = this.shown;
    return this.held && this.held.t < putIn.since ? NaN : putIn.level;
  }

  /**
   * The sample to show now; the same object is filled again after the next change.
   * @returns {Sample | null}
   */
  get sample() {
    if (this.sampled !== this.version) {
      this.sampled = this.version;
      this.sampleNow = this.held ? this.held.sample() : this.newest();
    }
    return this.sampleNow;
  }

  /** @returns {Sample | null} */
  newest() {
    const { history, kept } = this.live;
    const point = this.calm ? kept.at(-1) : undefined;
    return history.at(point && point.t > history.newest - 5 ? point.n : history.end - 1, this.scratch);
  }

  /**
   * What is taken off an energy [J].
   * @param {string} name
   */
  shift(name) {
    return name === 'gravitational' || name === 'total' ? this.offset : 0;
  }

  /**
   * @param {Message} message
   * @param {number} now [ms]
   * @param {Date} wall
   */
  take(message, now, wall) {
    if (message.type !== 'hello' && !this.greeted) return; // of whichever bench it is
    this.version++;
    if (message.type === 'hello') this.takeHello(message);
    else if (message.type === 'status') this.takeStatus(message);
    else if (message.n > 0) {
      if (message.t_s[0] < this.live.history.newest) this.lateness = new Lateness(); // another base of time
      this.live.take(message);
      this.missed += message.lost;
      const late = 1000 * this.lateness.of(now / 1000, message.t_s[message.n - 1]);
      // A replay may run at another speed than time; only a device's readings age.
      this.arrival = this.status?.link === 'live' ? now - late : now;
      this.readingAt = wall;
    }
  }

  /** @param {Hello} hello */
  takeHello(hello) {
    this.greeted = true;
    if (!this.hello || this.hello.session !== hello.session) {
      this.forget();
      this.lateness = new Lateness();
      this.arrival = -Infinity;
      this.missed = 0;
    }
    this.hello = hello;
    this.live.setBench(hello);
  }

  /** Once results are sealed no energy of before may be looked up here. @param {Status} status */
  takeStatus(status) {
    if (status.sealed && !this.sealed) this.forget();
    this.sealed = status.sealed;
    this.status = status;
  }

  /** Nothing is on record. */
  forget() {
    this.live.clear();
    this.freeze(false, null);
    this.resetAxes();
  }

  /** @param {Refusal} refusal */
  refuse(refusal) {
    this.refused[refusal]++;
    this.version++;
  }

  opened() {
    this.open = true;
    this.greeted = false;
    this.version++;
  }

  /** @param {Date} wall */
  closed(wall) {
    if (this.open || !this.closedAt) this.closedAt = wall;
    this.open = false;
    this.greeted = false;
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
    if (on && wall && !this.held && this.live.history.end > 0) this.held = new Held(this.live.clone(), wall);
    else if (!on) this.held = null;
    this.version++;
  }

  /** Moves the cursor of a frozen page to sample n, held to what is kept. @param {number} n */
  show(n) {
    this.held?.show(n, this.settings.window);
    this.version++;
  }

  /** Moves the cursor to the next turning point in a direction. @param {1 | -1} direction */
  stepTurning(direction) {
    if (this.held) this.show(this.held.turning(direction));
  }

  /**
   * Runs what is frozen on from the cursor, at a share of its speed; freezes first,
   * and goes back by the strip's length, when need be. 0 stands still.
   * @param {number} speed
   * @param {Date} wall
   */
  play(speed, wall) {
    if (!this.held && speed) this.freeze(true, wall);
    this.held?.play(speed, this.settings.window);
    this.version++;
  }

  /** Counts losses from now on. */
  countFromNow() {
    this.live.restart();
    this.resetAxes();
    this.version++;
  }

  resetAxes() {
    for (const axis of [this.axis, ...Object.values(this.axes)]) axis.reset();
  }

  /**
   * Once per animation frame: liveness, slow motion and axes.
   * @param {number} now [ms]
   * @param {number} [wall] [ms] wall time
   */
  tick(now, wall = NaN) {
    // A machine that slept may have stopped one of its clocks: what came before is old.
    if (Math.abs(wall - this.walled - (now - this.ticked)) > STALE) this.arrival = Math.min(this.arrival, now - 2 * STALE);
    const passed = now - this.ticked;
    this.ticked = now;
    this.walled = wall;
    const liveness = this.judge(now);
    if (liveness.why !== this.liveness.why) this.version++;
    this.liveness = liveness;
    if (this.held?.advance(passed / 1000, this.settings.window)) this.version++;
    if (now - this.fitted >= FIT) {
      this.fitted = now;
      this.fitAxes(now);
    }
  }

  /** @param {number} now [ms] @returns {Liveness} */
  judge(now) {
    if (!this.open) return { live: false, why: 'unreachable', since: this.readingAt ?? this.closedAt };
    if (this.status?.link === 'finished') return { live: false, why: 'finished', since: this.readingAt };
    if (this.arrival === -Infinity) return { live: false, why: 'never', since: null };
    const stale = !this.greeted || now - this.arrival > STALE || (this.status && !this.status.fresh);
    if (stale) return { live: false, why: 'stopped', since: this.readingAt };
    return LIVE;
  }

  /** @param {number} now [ms] */
  fitAxes(now) {
    const { columns, extension, force, putIn, history } = this.shown;
    if (!history.end) return;
    const end = this.edge(now);
    const shift = [0, 0, this.offset, this.offset];
    const put = this.held || Number.isNaN(putIn.level) ? -Infinity : putIn.level - this.offset;
    this.fitOne(this.axis, columns, end, shift, put, now);
    this.fitOne(this.axes.extension, extension, end, [0], -Infinity, now);
    this.fitOne(this.axes.force, force, end, [0], -Infinity, now);
  }

  /**
   * @param {Axis} axis @param {Columns} columns @param {number} end [s]
   * @param {number[]} shift @param {number} high @param {number} now [ms]
   */
  fitOne(axis, columns, end, shift, high, now) {
    if (!columns.step) return;
    const right = Math.floor(end / columns.step);
    let low = 0;
    columns.range(right - Math.ceil(this.settings.window / columns.step), right).forEach((r, s) => {
      low = Math.min(low, r.low - shift[s]);
      high = Math.max(high, r.high - shift[s]);
    });
    // What stands still does not change its scale but to stay within it.
    if (!this.held || !axis.settled || high > axis.high || low < axis.low) axis.fit(low, high, now);
  }

  /**
   * Time [s] at the right edge of the strips: the newest reading, and on from there
   * while none arrives, so that a gap is seen growing, to half a window.
   * @param {number} now [ms]
   */
  edge(now) {
    if (this.held) return this.held.edge;
    const waited = (now - this.arrival) / 1000;
    return this.live.history.newest + (waited > STALE / 1000 ? Math.min(waited, this.settings.window / 2) : 0);
  }
}

/** @type {Liveness} */
const LIVE = Object.freeze({ live: true, why: 'live', since: null });
