// The run that is laid over a sketch: readings from the latest release on.

import { Columns } from './columns.js';
import { Release } from './release.js';

export class Overlay {
  constructor() {
    this.columns = new Columns();
    this.release = new Release();
    /** Waits for releases, a later one taking the place of an earlier. */
    this.armed = false;
    /** Instant [s] of the release; NaN before there is one. */
    this.start = NaN;
    this.seen = 0; // number of the next sample to look at
    /** Grows with every release and every reading laid over. */
    this.version = 0;
  }

  /** @param {boolean} on @param {PageHistory} history */
  arm(on, history) {
    this.armed = on;
    this.version++;
    if (on) this.forget(history);
  }

  /** Nothing is laid over; readings are looked at from here on. @param {PageHistory} history */
  forget(history) {
    this.release = new Release();
    this.start = NaN;
    this.columns.clear();
    this.seen = history.end;
  }

  /**
   * Takes the readings that have come, until the time axis is full.
   * @param {PageHistory} history
   * @param {number} seconds of the time axis
   */
  follow(history, seconds) {
    if (history.end < this.seen) { // another session, or a seal
      this.forget(history);
      this.version++;
    }
    for (let n = Math.max(this.seen, history.first); this.armed && n < history.end; n++) {
      const t = history.time(n);
      const released = this.release.push(t, history.value('height_m', n));
      if (!Number.isNaN(released)) this.begin(history, released, n);
      if (t > this.start + seconds) this.armed = false;
      else if (t >= this.start) this.columns.add(history, n);
      this.version++;
    }
    this.seen = history.end;
  }

  /** @param {PageHistory} history @param {number} start [s] @param {number} until number of a sample */
  begin(history, start, until) {
    this.start = start;
    this.columns.clear();
    for (let n = history.find(start); n < until; n++) this.columns.add(history, n);
  }

  /** @param {number} step [s] per column @param {number} count @param {PageHistory} history */
  shape(step, count, history) {
    const from = this.start;
    if (step === this.columns.step) return;
    this.columns.shape(step, count, history, -Infinity);
    if (!Number.isNaN(from)) this.begin(history, from, history.find(from + step * count) + 1);
  }
}
