// The ledger column: gravitational, elastic and kinetic energy set one on the other
// up to the total, and hatched above it what has left. Its full height stays what was
// put in.
//
// Outlines, hatches and thick caps in place of solid fills keep fast motion from
// flashing.

import { axisRoom, energyScale, writeAxis } from './axistext.js';
import { drawMarker, MARKS } from './marks.js';
import { row } from './paper.js';
import { COVERAGE } from './scale.js';
import { ORDER, spread, stack } from './stack.js';
import { words } from './words.js';

/** Width of the column in shares of its picture, and at most in axis text sizes. */
export const BREADTH = 0.36;
export const BROADEST = 6;
/** Uncertainty marks stand beside the column, in lanes of this many marker sizes. */
const LANE = 0.5;

export class ColumnView {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper */
  constructor(canvas, paper) {
    this.paper = paper;
    this.sheet = paper.sheet(canvas);
    this.values = [0, 0, 0]; // [J] in ORDER
    /** @type {Segment[]} */
    this.segments = [];
    /** @type {Box} */
    this.plot = { x: 0, y: 0, w: 1, h: 1 };
    this.x = 0; // [px] of the column
    this.w = 0;
  }

  /** @param {State} state */
  draw(state) {
    if (this.sheet.away) return;
    const { axis, settings } = state;
    if (!this.sheet.changed(state.version, axis.version, state.shows, settings.unit, settings.zero)) return;
    const { sample, offset } = state;
    const level = state.shows ? state.level - offset : NaN;
    const { sheet, paper } = this;
    sheet.begin(`${paper.version},${axis.version},${level},${settings.unit}`, () => this.prepare(state, level));
    if (!state.shows || !sample) return;
    const { plot } = this;
    const total = sample.total_J - offset;
    sheet.level(axis, plot, total, 'total', plot.x, sheet.canvas.width);
    if (Number.isNaN(total)) return;
    for (let i = 0; i < ORDER.length; i++) this.values[i] = sample[`${ORDER[i]}_J`] - state.shift(ORDER[i]);
    stack(this.values, this.segments);
    this.lost(state, total, level);
    for (let i = 0; i < this.segments.length; i++) {
      const { name, from, to } = this.segments[i];
      this.part(state, name, from, to);
      this.doubt(state, name, to, COVERAGE * sample[`u_${name}_J`], this.x - (i + 0.7) * LANE * paper.size.marker);
    }
    this.cap(state, total);
    this.doubt(state, 'total', total, COVERAGE * sample.u_total_J, this.x + this.w + LANE * paper.size.marker);
    this.label(state, total, level);
  }

  /** Draws what stands still. @param {State} state @param {number} level [J] put in */
  prepare(state, level) {
    const { sheet, paper } = this;
    const scale = energyScale(state);
    const own = sheet.alone;
    this.plot = sheet.plot(own ? axisRoom(scale, sheet) : 0, 0);
    const { plot } = this;
    sheet.rule(scale.axis, plot);
    if (own) {
      sheet.wipe(plot.x);
      writeAxis(scale, sheet, plot);
    }
    this.w = Math.round(Math.min(BREADTH * plot.w, BROADEST * paper.size['axis-size']));
    this.x = Math.round(plot.x + 0.58 * plot.w - this.w / 2);
    if (Number.isNaN(level)) return;
    sheet.write(words.put_in, plot.x + plot.w, row(scale.axis, plot, level) - 2 * paper.whole('line-hair'), 'right', 'bottom');
    sheet.doubleLine(scale.axis, plot, level, plot.x, sheet.canvas.width);
  }

  /**
   * One part: hatched, outlined, capped. A negative one runs down and is half as wide.
   * @param {State} state @param {string} name @param {number} from [J] @param {number} to [J]
   */
  part(state, name, from, to) {
    const { sheet, paper, plot } = this;
    const { ctx } = sheet;
    const inset = paper.whole('line-total') + 2;
    const w = Math.round((this.w - 2 * inset) / (to < from ? 2 : 1));
    const x = this.x + inset;
    const y0 = Math.round(row(state.axis, plot, Math.max(from, to)));
    const y1 = Math.round(row(state.axis, plot, Math.min(from, to)));
    ctx.fillStyle = sheet.hatch(/** @type {Hatch} */ (MARKS[name].hatch), name);
    ctx.fillRect(x, y0, w, y1 - y0);
    const thick = paper.whole('line-part');
    ctx.fillStyle = paper.colour[name];
    ctx.fillRect(x, y0, thick, y1 - y0);
    ctx.fillRect(x + w - thick, y0, thick, y1 - y0);
    const cap = Math.min(paper.whole('cap'), Math.max(thick, y1 - y0 - 2));
    ctx.fillRect(x, y0 + 1, w, cap);
  }

  /** The total: a frame in ink around the parts, and a thick cap. @param {State} state @param {number} total [J] */
  cap(state, total) {
    const { paper, plot } = this;
    const { ctx } = this.sheet;
    const y = Math.round(row(state.axis, plot, total));
    const zero = Math.round(row(state.axis, plot, 0));
    const thick = paper.whole('line-total');
    const cap = paper.whole('cap');
    ctx.fillStyle = paper.colour.total;
    ctx.fillRect(this.x, Math.min(y, zero), thick, Math.abs(zero - y));
    ctx.fillRect(this.x + this.w - thick, Math.min(y, zero), thick, Math.abs(zero - y));
    ctx.fillRect(this.x - cap, y - (cap >> 1), this.w + 2 * cap, cap);
  }

  /** What has left, from the total up to the level put in. @param {State} state @param {number} total [J] @param {number} level [J] */
  lost(state, total, level) {
    if (!(level > total)) return;
    const { paper, plot } = this;
    const { ctx } = this.sheet;
    const top = Math.round(row(state.axis, plot, level));
    const bottom = Math.round(row(state.axis, plot, total));
    const thin = paper.whole('line-hair');
    ctx.fillStyle = this.sheet.hatch('crossed', 'lost');
    ctx.fillRect(this.x, top, this.w, bottom - top);
    ctx.fillStyle = paper.colour.lost;
    ctx.fillRect(this.x, top, thin, bottom - top);
    ctx.fillRect(this.x + this.w - thin, top, thin, bottom - top);
  }

  /**
   * The expanded uncertainty of a part, at its upper end: two edges, a tint between.
   * @param {State} state @param {string} name @param {number} at [J] @param {number} expanded [J] @param {number} x [px]
   */
  doubt(state, name, at, expanded, x) {
    if (!(expanded > 0)) return;
    const { ctx } = this.sheet;
    const half = Math.round(0.2 * this.paper.size.marker);
    const hair = this.paper.whole('line-hair');
    const y0 = Math.round(row(state.axis, this.plot, at + expanded));
    const y1 = Math.round(row(state.axis, this.plot, at - expanded));
    ctx.fillStyle = this.paper.colour[name];
    ctx.globalAlpha = 0.25;
    ctx.fillRect(x - half, y0, 2 * half, y1 - y0);
    ctx.globalAlpha = 1;
    ctx.fillRect(x - half, y0 - (hair >> 1), 2 * half, hair);
    ctx.fillRect(x - half, y1 - (hair >> 1), 2 * half, hair);
    ctx.fillRect(x - (hair >> 1), y0, hair, y1 - y0);
  }

  /** Markers beside the parts, and names where there is room. @param {State} state @param {number} total [J] @param {number} level [J] */
  label(state, total, level) {
    const { sheet, paper, plot } = this;
    const { axis } = state;
    const size = paper.size.marker;
    const named = this.segments.map(({ name, from, to }) => ({ name, at: (from + to) / 2 }));
    if (level > total) named.push({ name: 'lost', at: (level + total) / 2 });
    const rows = named.map(({ name, at }) => ({ name, y: row(axis, plot, at) })).sort((a, b) => a.y - b.y);
    const places = spread(rows.map((r) => r.y), 1.05 * size);
    const x = this.x - 3 * LANE * size - 0.75 * size;
    const texts = rows.map(({ name }) => words[/** @type {'total'} */ (name)]);
    const roomy = x - size > plot.x + sheet.measure([...texts, words.gravitational]);
    rows.forEach(({ name }, i) => {
      drawMarker(sheet.ctx, MARKS[name].marker, x, places[i], size / 2, paper.colour[name], paper.colour.ground);
      if (roomy) sheet.write(texts[i], x - 0.75 * size, places[i], 'right', 'middle');
    });
  }
}
