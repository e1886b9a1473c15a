// The chart on which the room sketches, and on which the run is then laid over.
//
// The sketch is a broad pale stroke, the run a crisp line on it: their difference is
// what there is to talk about.

import { axisRoom, writeAxis } from './axistext.js';
import { energies } from './chart.js';
import { drawMarker, MARKS } from './marks.js';
import { sketchWords } from './morewords.js';
import { decimal } from './numbers.js';
import { Overlay } from './overlay.js';
import { BELOW, row } from './paper.js';
import { series, word } from './pixels.js';
import { Axis } from './scale.js';
import { PLACES, Sketch } from './sketch.js';
import { words } from './words.js';

export class SketchView {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper */
  constructor(canvas, paper) {
    this.paper = paper;
    this.sheet = paper.sheet(canvas, { willReadFrequently: true });
    this.sketch = new Sketch();
    this.overlay = new Overlay();
    this.axis = new Axis();
    /** @type {Box} */
    this.plot = { x: 0, y: 0, w: 1, h: 1 };
    this.blank = new ImageData(1, 1);
    this.image = new ImageData(1, 1);
    /** Where the pencil is, while it is moved by keys. @type {{place: number, value: number, name: string} | null} */
    this.pencil = null;
    this.standing = ''; // what the picture without the run was made from
  }

  /** @param {State} state */
  draw(state) {
    const { sketch, overlay, sheet, pencil } = this;
    overlay.follow(state.live.history, sketch.seconds);
    if (sheet.away) return;
    this.axis.low = 0;
    this.axis.high = sketch.top;
    const standing = [this.paper.version, sketch.version, pencil?.place, pencil?.value, pencil?.name].join();
    if (!sheet.changed(standing, overlay.version, state.settings.zero)) return;
    if (standing !== this.standing) this.prepare();
    this.standing = standing;
    overlay.shape(sketch.seconds / this.plot.w, this.plot.w, state.live.history);
    this.paint(state);
  }

  /** Axes and sketch. */
  prepare() {
    const { sheet, paper, sketch, axis } = this;
    const { ctx } = sheet;
    const scale = { axis, name: sketchWords.joules, factor: 1 };
    this.plot = sheet.plot(axisRoom(scale, sheet), paper.size.marker / 2);
    const { x, y, w, h } = this.plot;
    sheet.rule(axis, this.plot);
    sheet.wipe(x);
    writeAxis(scale, sheet, this.plot);
    const below = y + h + BELOW * paper.size['axis-size'];
    sheet.write(sketchWords.release, x, below, 'left', 'top');
    sheet.write(words.seconds(decimal(sketch.seconds, sketch.seconds % 1 ? 1 : 0)), x + w, below, 'right', 'top');
    for (const { name } of energies.traces) {
      const places = this.stroke(name);
      const { marker } = MARKS[name];
      // The marker stands at the end of each drawn piece.
      for (const i of places) drawMarker(ctx, marker, this.across(i), this.row(sketch.curves[name][i]), paper.size.marker / 2, paper.colour[name], paper.colour.ground);
    }
    if (this.pencil) this.crosshair(this.pencil);
    this.blank = ctx.getImageData(x, 0, sheet.canvas.width - x, sheet.canvas.height);
    this.image = ctx.createImageData(this.blank);
  }

  /** Draws one curve and returns the last place of each of its pieces. @param {string} name */
  stroke(name) {
    const { ctx } = this.sheet;
    const curve = this.sketch.curves[name];
    const ends = [];
    ctx.beginPath();
    for (let i = 0; i < PLACES; i++) {
      if (Number.isNaN(curve[i])) continue;
      if (i && !Number.isNaN(curve[i - 1])) ctx.lineTo(this.across(i), this.row(curve[i]));
      else ctx.moveTo(this.across(i), this.row(curve[i]));
      if (!(curve[i + 1] >= 0)) ends.push(i);
    }
    ctx.lineWidth = 3 * this.paper.whole('line-total');
    ctx.lineJoin = 'round';
    ctx.strokeStyle = this.paper.colour[name];
    ctx.globalAlpha = 0.35;
    ctx.stroke();
    ctx.globalAlpha = 1;
    return ends;
  }

  /** @param {{place: number, value: number, name: string}} pencil */
  crosshair({ place, value, name }) {
    const { sheet, plot, paper } = this;
    const hair = paper.whole('line-hair');
    sheet.ctx.fillStyle = paper.colour.ink;
    sheet.ctx.fillRect(this.across(place), plot.y, hair, plot.h);
    sheet.ctx.fillRect(plot.x, this.row(value), plot.w, hair);
    drawMarker(sheet.ctx, MARKS[name].marker, this.across(place), this.row(value), paper.size.marker / 3, paper.colour[name], paper.colour.ground);
  }

  /** The run over the sketch. @param {State} state */
  paint(state) {
    const { plot, sheet, paper, overlay, axis } = this;
    this.image.data.set(this.blank.data);
    const { width, height } = this.image;
    const surface = { words: new Uint32Array(this.image.data.buffer), width, height };
    const perJoule = plot.h / axis.high;
    const rows = { zero: plot.y + plot.h, perJoule };
    const { step } = overlay.columns;
    const right = Math.floor(overlay.start / step) + plot.w - 1;
    for (const { s, name, pen, dash } of Number.isFinite(right) ? energies.traces : []) {
      const [r, g, b] = paper.rgb(name);
      const [on, off] = dash.map((d) => Math.round((d * paper.whole('line-part')) / 4));
      const nib = { word: word(r, g, b), width: paper.whole(pen), on, off };
      series(surface, overlay.columns, s, { right, count: plot.w }, rows, nib, state.shift(name));
    }
    sheet.ctx.putImageData(this.image, plot.x, 0);
  }

  /** @param {number} place */
  across(place) {
    return Math.round(this.plot.x + (place / (PLACES - 1)) * this.plot.w);
  }

  /** @param {number} joules */
  row(joules) {
    return Math.round(row(this.axis, this.plot, joules));
  }

  /** Place and energy under a pointer. @param {PointerEvent} event */
  under(event) {
    const { plot, sheet, axis } = this;
    const box = sheet.canvas.getBoundingClientRect();
    const x = ((event.clientX - box.left) * sheet.canvas.width) / box.width;
    const y = ((event.clientY - box.top) * sheet.canvas.height) / box.height;
    return { place: Math.round(((x - plot.x) / plot.w) * (PLACES - 1)), value: ((plot.y + plot.h - y) / plot.h) * axis.high };
  }
}
