// What is on record: readings, their columns, turning points, the level put in.
//
// The page has one record that grows and, while frozen, a copy that stands still.

import { Columns } from './columns.js';
import { History } from './history.js';
import { between, bottom } from './potential.js';
import { PutIn } from './putin.js';
import { TurningPoints } from './turning.js';

/** Time without readings [s] from which it counts as a gap, whatever the daemon flags. */
const GAP = 0.5;
/** Extension and force do not come with every reading: their lines go on for so long [s]. */
const BRIDGE = 0.25;
/** Turning points kept. */
const POINTS = 200;

/** @typedef {'floor' | 'lowest'} Zero where gravitational energy is counted from */

export class Record {
  constructor() {
    this.history = new History();
    this.columns = new Columns();
    this.extension = new Columns(['extension_m'], BRIDGE);
    this.force = new Columns(['force_N'], BRIDGE);
    /** What every reading goes into. */
    this.strips = [this.columns, this.extension, this.force];
    this.turning = new TurningPoints();
    this.putIn = new PutIn();
    /** @type {TurningPoint[]} */
    this.points = [];
    this.flags = '';
    /** @type {Hello | null} */
    this.hello = null;
    /** Gravitational energy [J] above the floor at the lowest height within reach. */
    this.foot = NaN;
    this.pending = true; // readings are missing before the next one
  }

  /** Counts losses, and finds the lowest height, from the next readings on. */
  restart() {
    this.putIn.restart();
    this.foot = NaN;
  }

  /** A gap follows: the next reading is not joined to the last. */
  interrupt() {
    this.pending = true;
    this.turning.restart();
  }

  clear() {
    this.history.clear();
    for (const columns of this.strips) columns.clear();
    this.points = [];
    this.interrupt();
    this.restart();
  }

  /** @param {Hello} hello */
  setBench(hello) {
    this.hello = hello;
    this.putIn.rest = hello.well ? Math.min(...hello.well.potential_J) : NaN;
  }

  /** @param {Frames} message */
  take(message) {
    if (message.lost > 0) this.pending = true;
    for (let i = 0; i < message.n; i++) {
      const t = message.t_s[i];
      const before = this.history.newest;
      if (t < before) this.clear();
      else if (t === before) continue;
      const flags = message.flags ? message.flags[i] : '';
      const broken = this.pending || t - before > GAP || /\b(gap|new-epoch)\b/.test(flags);
      if (broken) this.turning.restart();
      this.pending = false;
      this.flags = flags;
      this.history.append(message, i, broken);
      this.follow(this.history.end - 1, t);
    }
  }

  /** @param {number} n @param {number} t [s] */
  follow(n, t) {
    const { history } = this;
    for (let s = 0; s < this.strips.length; s++) this.strips[s].add(history, n);
    const height = history.value('height_m', n);
    const point = this.turning.push(n, t, height);
    if (point) this.points.push(point);
    if (this.points.length > POINTS) this.points.shift();
    const total = history.value('total_J', n);
    const moved = this.putIn.follow(t, total, history.value('u_total_J', n));
    if (!moved && !Number.isNaN(this.foot)) return;
    const level = Number.isNaN(this.putIn.level) ? total : this.putIn.level;
    this.findFoot(height, history.value('gravitational_J', n), level);
  }

  /**
   * The lowest height within reach is where the level put in meets the well. It is
   * only a zero to count from, so that it may lean on the model.
   * @param {number} height [m] @param {number} gravitational [J] there @param {number} level [J]
   */
  findFoot(height, gravitational, level) {
    if (!this.hello?.well || Number.isNaN(level)) return;
    const { well, weight_N } = this.hello;
    const lowest = between(well, level)?.[0] ?? well.height_m[bottom(well)];
    this.foot = gravitational - weight_N * (height - lowest);
  }

  /**
   * What to take off gravitational and total energy [J] to count them from zero.
   * @param {Zero} zero
   */
  offset(zero) {
    return zero === 'lowest' ? this.foot || 0 : 0;
  }

  /** Turning points that are still in the history, oldest first. */
  get kept() {
    return this.points.filter((p) => p.n >= this.history.first);
  }

  clone() {
    const copy = new Record();
    copy.history = this.history.clone();
    copy.putIn = this.putIn.clone();
    copy.points = this.points.slice();
    copy.flags = this.flags;
    copy.hello = this.hello;
    copy.foot = this.foot;
    const end = copy.history.newest;
    copy.strips.forEach((c, i) => this.strips[i].slots && c.shape(this.strips[i].step, this.strips[i].slots - 16, copy.history, end));
    return copy;
  }
}
