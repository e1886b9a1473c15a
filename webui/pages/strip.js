// A strip: quantities over the last seconds, ending at now or at the page turned to.

import { axisRoom, writeAxis } from './axistext.js';
import { drawMarker } from './marks.js';
import { decimal } from './numbers.js';
import { BELOW, row } from './paper.js';
import { edges, fill, series, word } from './pixels.js';
import { COVERAGE } from './scale.js';
import { words } from './words.js';

const INKS = ['ink', 'lost', 'kinetic', 'elastic', 'gravitational', 'total'];

export class Strip {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper @param {Chart} chart */
  constructor(canvas, paper, chart) {
    this.paper = paper;
    this.chart = chart;
    this.energies = chart.traces.length > 1;
    this.sheet = paper.sheet(canvas, { willReadFrequently: true });
    /** @type {Box} */
    this.plot = { x: 0, y: 0, w: 0, h: 0 };
    this.columns = 0;
    this.margin = 0;
    this.image = new ImageData(1, 1);
    /** @type {Surface} */
    this.surface = { words: new Uint32Array(1), width: 1, height: 1 };
    this.blank = new Uint32Array(1);
    this.rows = { zero: 0, perJoule: 0 };
    this.span = { right: 0, count: 0 };
    this.pens = chart.traces.map(() => ({ word: 0, width: 1, on: 0, off: 0 }));
    /** @type {Record<string, number>} */
    this.ink = {};
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (this.sheet.away) return;
    const { settings, held } = state;
    const { axis } = this.chart.scale(state);
    if (this.sheet.changed(axis.version, settings.unit, settings.window, state.calm, held?.edge ?? NaN)) this.prepare(state);
    const step = settings.window / this.columns;
    this.chart.columns(state.live).shape(step, this.columns, state.live.history);
    if (held) this.chart.columns(held.record).shape(step, this.columns, held.record.history, held.edge);
    const edge = Math.floor(state.edge(now) / step);
    const still = state.calm && Number.isFinite(edge);
    this.span.right = still ? (Math.floor(edge / this.columns) + 1) * this.columns - 1 : edge;
    this.span.count = this.columns;
    this.paint(state);
    this.sheet.ctx.putImageData(this.image, this.plot.x, this.plot.y - this.margin);
    this.drawNow(state, step);
  }

  /** Lays out and draws what stands still. @param {State} state */
  prepare(state) {
    const { sheet, paper, chart } = this;
    const scale = chart.scale(state);
    const { axis } = scale;
    // Below the energies, which tell the times, only the title is written: over the plot.
    const brief = !this.energies && !sheet.alone;
    // Strips below one another begin at the same place, whatever their numbers.
    const room = Math.max(axisRoom(scale, sheet), sheet.alone ? sheet.measure(['0.000 m']) : 0);
    this.plot = brief ? sheet.plot(room, 0, 0.95, 0.6) : sheet.plot(room, 0);
    const { x, y, w, h } = this.plot;
    this.columns = Math.max(8, w - paper.whole('marker'));
    sheet.rule(axis, this.plot);
    sheet.wipe(x);
    writeAxis(scale, sheet, this.plot);
    if (brief) sheet.write(chart.title, x, 0, 'left', 'top');
    else this.writeTimes(state);
    // Above and below there is room for half a marker.
    this.margin = Math.ceil(0.66 * paper.size.marker);
    this.image = sheet.ctx.createImageData(w, h + 2 * this.margin);
    this.surface = { words: new Uint32Array(this.image.data.buffer), width: w, height: this.image.height };
    for (const name of INKS) {
      const [r, g, b] = paper.rgb(name);
      this.ink[name] = word(r, g, b);
    }
    const part = paper.whole('line-part') / 4;
    chart.traces.forEach(({ name, pen, dash }, i) => {
      const [on, off] = dash.map((d) => Math.max(d && 2, Math.round(d * part)));
      this.pens[i] = { word: this.ink[name], width: paper.whole(pen), on, off };
    });
    const ground = sheet.ctx.getImageData(x, y - this.margin, w, this.image.height);
    this.blank = new Uint32Array(ground.data.buffer);
  }

  /** The times at both ends, between them the title. @param {State} state */
  writeTimes(state) {
    const { sheet, paper, plot, chart } = this;
    const { window } = state.settings;
    const below = plot.y + plot.h + BELOW * paper.size['axis-size'];
    const seconds = decimal(window, 0);
    const back = state.held ? state.held.record.history.newest - state.held.edge : 0;
    // A still frame fills from its start; a moving one ends at now.
    let [from, to] = state.calm ? [words.seconds('0'), words.seconds(seconds)] : [words.secondsAgo(seconds), words.now];
    if (state.held && !state.calm) {
      from = words.seconds(decimal(-window - back, back ? 1 : 0));
      to = back ? words.seconds(decimal(-back, 1)) : words.freeze_time;
    }
    sheet.write(from, plot.x, below, 'left', 'top');
    sheet.write(to, plot.x + this.columns, below, 'right', 'top');
    const free = this.columns - sheet.measure([from]) - sheet.measure([to]);
    if (sheet.measure([chart.title]) < 0.9 * free) sheet.write(chart.title, plot.x + sheet.measure([from]) + free / 2, below, 'center', 'top');
  }

  /** @param {State} state */
  paint(state) {
    const { surface, plot, rows, span, chart } = this;
    surface.words.set(this.blank);
    if (!Number.isFinite(span.right)) return;
    const { axis } = chart.scale(state);
    rows.perJoule = plot.h / (axis.high - axis.low);
    rows.zero = this.margin + axis.high * rows.perJoule;
    if (this.energies && state.shows) this.paintPutIn(state);
    const columns = chart.columns(state.shown);
    chart.traces.forEach(({ s, name }, i) => {
      const shift = state.shift(name);
      if (name === 'total') edges(surface, columns, s, span, rows, this.pens[i], COVERAGE, shift);
      series(surface, columns, s, span, rows, this.pens[i], shift);
    });
  }

  /** The double thin line of the level put in, from when counting began. @param {State} state */
  paintPutIn(state) {
    const { putIn } = state.shown;
    if (Number.isNaN(putIn.level)) return;
    const { rows, span } = this;
    const step = state.settings.window / span.count;
    const from = Math.max(0, Math.floor(putIn.since / step) - (span.right - span.count + 1));
    const y = Math.round(rows.zero - (putIn.level - state.offset) * rows.perJoule);
    const hair = this.paper.whole('line-hair');
    fill(this.surface, from, y - 2 * hair, this.surface.width, y - hair, this.ink.lost);
    fill(this.surface, from, y + hair, this.surface.width, y + 2 * hair, this.ink.lost);
  }

  /**
   * Markers at the shown instant, and the total's level on towards the column.
   * @param {State} state @param {number} step
   */
  drawNow(state, step) {
    const { sheet, plot, paper, chart } = this;
    const { sample } = state;
    if (!sample || !state.shows) return;
    const { axis } = chart.scale(state);
    const x = plot.x + this.columns - 1 - (this.span.right - Math.floor(sample.t / step));
    if (!(x >= plot.x)) return;
    const hair = paper.whole('line-hair');
    if (state.frozen) {
      sheet.ctx.fillStyle = paper.colour.ink;
      sheet.ctx.fillRect(x, plot.y, hair, plot.h);
    }
    if (this.energies && !state.calm) sheet.level(axis, plot, sample.total_J - state.offset, 'total', x, plot.x + plot.w, hair);
    for (const { name, field, marker } of chart.traces) {
      const value = sample[field] - state.shift(name);
      if (Number.isNaN(value)) continue;
      const y = Math.min(plot.y + plot.h, Math.max(plot.y, row(axis, plot, value)));
      drawMarker(sheet.ctx, marker, x, y, paper.size.marker / 2, paper.colour[name], paper.colour.ground);
    }
  }
}
