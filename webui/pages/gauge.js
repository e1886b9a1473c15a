// The gauge: the four energies as columns on one scale, and what has been lost.
//
// The total's column keeps the height that was put in: what is missing at its top
// is hatched. Outline, hatch and a thick cap in place of solid fills keep fast
// motion from flashing.

import { axisRoom, writeAxis } from './axistext.js';
import { drawMarker, MARKS } from './marks.js';
import { BELOW, row } from './paper.js';
import { COVERAGE } from './scale.js';
import { words } from './words.js';

/** @typedef {import('./state.js').State} State */
/** @typedef {import('./paper.js').Paper} Paper */
/** @typedef {import('./paper.js').Box} Box */

const NAMES = ['kinetic', 'elastic', 'gravitational', 'total'];
/** Width of a column, in shares of its place. */
export const BREADTH = 0.5;

export class Gauge {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper */
  constructor(canvas, paper) {
    this.paper = paper;
    this.sheet = paper.sheet(canvas);
  }

  /** @param {State} state */
  draw(state) {
    const { axis, frozen, liveness, settings } = state;
    const shownNow = frozen || liveness.live;
    if (!this.sheet.changed(state.version, axis.version, shownNow, settings.unit, settings.zero)) return;
    const { sheet, paper } = this;
    const plot = sheet.plot(paper.stacked ? axisRoom(state, sheet) : 0, 0);
    sheet.rule(axis, plot);
    if (paper.stacked) this.clearAxis(state, plot);
    const { sample, offset } = state;
    const level = state.shown.putIn.level - offset;
    if (shownNow) {
      if (!Number.isNaN(level)) sheet.write(words.put_in, plot.x, row(axis, plot, level) - 2 * paper.whole('line-hair'), 'left', 'bottom');
      sheet.doubleLine(axis, plot, level, plot.x, sheet.canvas.width);
      if (sample) sheet.level(axis, plot, sample.total_J - offset, 'total', plot.x, sheet.canvas.width);
    }
    NAMES.forEach((name, i) => {
      const middle = plot.x + ((i + 0.5) * plot.w) / NAMES.length;
      const radius = paper.size.marker / 2;
      const y = plot.y + plot.h + (BELOW + 0.38) * paper.size['axis-size'];
      drawMarker(sheet.ctx, MARKS[name].marker, middle, y, radius, paper.colour[name], paper.colour.ground);
      if (!shownNow || !sample || Number.isNaN(sample[`${name}_J`])) return;
      const shift = name === 'gravitational' || name === 'total' ? offset : 0;
      const half = Math.round((BREADTH * plot.w) / NAMES.length / 2);
      const at = { x: Math.round(middle) - half, w: 2 * half, plot, axis };
      if (name === 'total') this.lost(at, sample.total_J - shift, level);
      this.column(at, name, sample[`${name}_J`] - shift, COVERAGE * sample[`u_${name}_J`]);
      if (state.calm) this.range(at, name, state.cycleRange(name), shift);
    });
  }

  /** @param {State} state @param {Box} plot */
  clearAxis(state, plot) {
    const { ctx, canvas } = this.sheet;
    ctx.fillStyle = this.paper.colour.ground;
    ctx.fillRect(0, 0, plot.x, canvas.height);
    writeAxis(state, this.sheet, plot);
  }

  /**
   * @typedef {{x: number, w: number, plot: Box, axis: import('./scale.js').Axis}} Place
   * @param {Place} at @param {string} name @param {number} value [J] @param {number} expanded [J]
   */
  column(at, name, value, expanded) {
    const { sheet, paper } = this;
    const { ctx } = sheet;
    const zero = Math.round(row(at.axis, at.plot, 0));
    const y = Math.round(row(at.axis, at.plot, value));
    const top = Math.min(zero, y);
    const height = Math.abs(zero - y);
    const { hatch } = MARKS[name];
    if (hatch) {
      ctx.fillStyle = sheet.hatch(hatch, name);
      ctx.fillRect(at.x, top, at.w, height);
    }
    const thick = paper.whole(name === 'total' ? 'line-total' : 'line-part');
    ctx.fillStyle = paper.colour[name];
    ctx.fillRect(at.x, top, thick, height);
    ctx.fillRect(at.x + at.w - thick, top, thick, height);
    this.band(at, name, value, expanded);
    const cap = paper.whole('cap');
    ctx.fillRect(at.x - cap, y - (cap >> 1), at.w + 2 * cap, cap);
  }

  /**
   * The uncertainty: two edges, a tint between them, wider than the cap.
   * @param {Place} at @param {string} name @param {number} value [J] @param {number} expanded [J]
   */
  band(at, name, value, expanded) {
    if (!(expanded > 0)) return;
    const { ctx } = this.sheet;
    const reach = Math.round(2.2 * this.paper.whole('cap'));
    const hair = this.paper.whole('line-hair');
    const y0 = Math.round(row(at.axis, at.plot, value + expanded));
    const y1 = Math.round(row(at.axis, at.plot, value - expanded));
    ctx.fillStyle = this.paper.colour[name];
    ctx.globalAlpha = 0.25;
    ctx.fillRect(at.x - reach, y0, at.w + 2 * reach, y1 - y0);
    ctx.globalAlpha = 1;
    ctx.fillRect(at.x - reach, y0 - (hair >> 1), at.w + 2 * reach, hair);
    ctx.fillRect(at.x - reach, y1 - (hair >> 1), at.w + 2 * reach, hair);
  }

  /** @param {Place} at @param {number} total [J] @param {number} level [J] */
  lost(at, total, level) {
    if (!(level > total)) return;
    const { ctx } = this.sheet;
    const top = Math.round(row(at.axis, at.plot, level));
    const bottom = Math.round(row(at.axis, at.plot, total));
    const thin = this.paper.whole('line-hair');
    ctx.fillStyle = this.sheet.hatch('crossed', 'lost');
    ctx.fillRect(at.x, top, at.w, bottom - top);
    ctx.fillStyle = this.paper.colour.lost;
    ctx.fillRect(at.x, top, thin, bottom - top);
    ctx.fillRect(at.x + at.w - thin, top, thin, bottom - top);
  }

  /**
   * Least and greatest value over the last cycle, as a bracket beside the column.
   * @param {Place} at @param {string} name @param {{low: number, high: number}} range @param {number} shift
   */
  range(at, name, range, shift) {
    if (!(range.high >= range.low)) return;
    const { ctx } = this.sheet;
    const thin = this.paper.whole('line-part');
    const x = at.x + at.w + 3 * thin;
    const y0 = Math.round(row(at.axis, at.plot, range.high - shift));
    const y1 = Math.round(row(at.axis, at.plot, range.low - shift));
    ctx.fillStyle = this.paper.colour[name];
    ctx.fillRect(x, y0, thin, y1 - y0);
    ctx.fillRect(x - 2 * thin, y0, 3 * thin, thin);
    ctx.fillRect(x - 2 * thin, y1, 3 * thin, thin);
  }
}
