// The strip: the four energies over the last seconds, ending at now.

import { axisRoom, axisTexts, writeAxis } from './axistext.js';
import { SERIES, TOTAL } from './columns.js';
import { drawMarker, MARKS } from './marks.js';
import { decimal } from './numbers.js';
import { BELOW, row } from './paper.js';
import { edges, fill, series, word } from './pixels.js';
import { COVERAGE } from './scale.js';
import { words } from './words.js';

/** @typedef {import('./state.js').State} State */
/** @typedef {import('./paper.js').Paper} Paper */
/** @typedef {import('./paper.js').Box} Box */
/** @typedef {import('./pixels.js').Surface} Surface */

/** From the least important to the one that all else is judged against. */
const ORDER = ['gravitational', 'elastic', 'kinetic', 'total'].map((name) => SERIES.indexOf(name));

export class Strip {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper */
  constructor(canvas, paper) {
    this.paper = paper;
    this.sheet = paper.sheet(canvas, { willReadFrequently: true });
    /** @type {Box} */
    this.plot = { x: 0, y: 0, w: 0, h: 0 };
    this.columns = 0;
    this.margin = 0;
    this.image = new ImageData(1, 1);
    /** @type {Surface} */
    this.surface = { words: new Uint32Array(1), width: 1, height: 1 };
    this.blank = new Uint32Array(1);
    /** @type {Record<string, number>} */
    this.ink = {};
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    const { axis, settings } = state;
    if (this.sheet.changed(axis.version, settings.unit, settings.window, state.calm, state.frozen, axisTexts(state))) this.prepare(state);
    const { columns } = state.shown;
    const step = settings.window / this.columns;
    for (const record of [state.live, state.held]) record?.columns.shape(step, this.columns, record.history);
    const edge = Math.floor(state.edge(now) / step);
    const right = state.calm && Number.isFinite(edge) ? (Math.floor(edge / this.columns) + 1) * this.columns - 1 : edge;
    this.paint(state, columns, right);
    this.sheet.ctx.putImageData(this.image, this.plot.x, this.plot.y - this.margin);
    this.drawNow(state, step, right);
  }

  /** Lays out and draws what stands still. @param {State} state */
  prepare(state) {
    const { sheet, paper } = this;
    const { axis } = state;
    this.plot = sheet.plot(axisRoom(state, sheet), 0);
    const { x, y, w, h } = this.plot;
    this.columns = Math.max(8, w - paper.whole('marker'));
    sheet.rule(axis, this.plot);
    sheet.ctx.fillStyle = paper.colour.ground;
    sheet.ctx.fillRect(0, 0, x, sheet.canvas.height);
    writeAxis(state, sheet, this.plot);
    const below = y + h + BELOW * paper.size['axis-size'];
    const seconds = decimal(state.settings.window, 0);
    // A still frame fills from its start; a moving one ends at now.
    sheet.write(state.calm ? words.seconds('0') : words.secondsAgo(seconds), x, below, 'left', 'top');
    const end = state.calm ? words.seconds(seconds) : state.frozen ? words.freeze_time : words.now;
    sheet.write(end, x + this.columns, below, 'right', 'top');
    // Above and below there is room for half a marker.
    this.margin = Math.ceil(0.66 * paper.size.marker);
    this.image = sheet.ctx.createImageData(w, h + 2 * this.margin);
    this.surface = { words: new Uint32Array(this.image.data.buffer), width: w, height: this.image.height };
    for (const name of ['ground', 'grid', 'rule', 'lost', ...SERIES]) {
      const [r, g, b] = paper.rgb(name);
      this.ink[name] = word(r, g, b);
    }
    this.surface.words.fill(this.ink.ground);
    const hair = paper.whole('line-hair');
    for (const tick of axis.ticks()) {
      const at = Math.round(row(axis, this.plot, tick)) - (hair >> 1) - y + this.margin;
      fill(this.surface, 0, at, w, at + hair, tick === 0 ? this.ink.rule : this.ink.grid);
    }
    this.blank = this.surface.words.slice();
  }

  /** @param {State} state @param {import('./columns.js').Columns} columns @param {number} right */
  paint(state, columns, right) {
    const { surface, paper, plot, ink } = this;
    surface.words.set(this.blank);
    if (!Number.isFinite(right)) return;
    const { axis, offset } = state;
    const rows = { zero: row(axis, { ...plot, y: this.margin }, 0), perJoule: plot.h / (axis.high - axis.low) };
    const span = { right, count: this.columns };
    if (state.frozen || state.liveness.live) this.paintPutIn(state, rows, span);
    const scale = paper.whole('line-part') / 4;
    for (const s of ORDER) {
      const name = SERIES[s];
      const [on, off] = MARKS[name].dash.map((d) => Math.max(d && 2, Math.round(d * scale)));
      const pen = { word: ink[name], width: paper.whole(s === TOTAL ? 'line-total' : 'line-part'), on, off };
      const shift = name === 'gravitational' || name === 'total' ? offset : 0;
      if (s === TOTAL) edges(surface, columns, s, span, rows, pen, COVERAGE, shift);
      series(surface, columns, s, span, rows, pen, shift);
    }
  }

  /**
   * The double thin line of the level put in, from when counting began.
   * @param {State} state @param {import('./pixels.js').Rows} rows @param {{right: number, count: number}} span
   */
  paintPutIn(state, rows, span) {
    const { putIn } = state.shown;
    if (Number.isNaN(putIn.level)) return;
    const step = state.settings.window / span.count;
    const from = Math.max(0, Math.floor(putIn.since / step) - (span.right - span.count + 1));
    const y = Math.round(rows.zero - (putIn.level - state.offset) * rows.perJoule);
    const hair = this.paper.whole('line-hair');
    fill(this.surface, from, y - 2 * hair, this.surface.width, y - hair, this.ink.lost);
    fill(this.surface, from, y + hair, this.surface.width, y + 2 * hair, this.ink.lost);
  }

  /**
   * Markers at the shown instant, and the total's level on towards the gauge.
   * @param {State} state @param {number} step @param {number} right
   */
  drawNow(state, step, right) {
    const { sheet, plot, paper } = this;
    const { sample, axis, offset } = state;
    if (!sample || !(state.frozen || state.liveness.live)) return;
    const x = plot.x + this.columns - 1 - (right - Math.floor(sample.t / step));
    if (!(x >= plot.x)) return;
    const hair = paper.whole('line-hair');
    if (state.frozen) {
      sheet.ctx.fillStyle = paper.colour.ink;
      sheet.ctx.fillRect(x, plot.y, hair, plot.h);
    }
    if (!state.calm) sheet.level(axis, plot, sample.total_J - offset, 'total', x, plot.x + plot.w, hair);
    for (const s of ORDER) {
      const name = SERIES[s];
      const value = sample[`${name}_J`] - (name === 'gravitational' || name === 'total' ? offset : 0);
      if (Number.isNaN(value)) continue;
      const y = Math.min(plot.y + plot.h, Math.max(plot.y, row(axis, plot, value)));
      drawMarker(sheet.ctx, MARKS[name].marker, x, y, paper.size.marker / 2, paper.colour[name], paper.colour.ground);
    }
  }
}
