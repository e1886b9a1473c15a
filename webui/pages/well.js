// The well: potential energy over height, the bob rolling in it, and the total as
// a level line. What is between the bob and the line is kinetic.

import { axisRoom, energyScale, writeAxis } from './axistext.js';
import { decimal } from './numbers.js';
import { BELOW, row } from './paper.js';
import { between, potential } from './potential.js';
import { decimalsOf, ticks } from './scale.js';
import { words } from './words.js';

export class WellView {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper */
  constructor(canvas, paper) {
    this.paper = paper;
    this.sheet = paper.sheet(canvas);
    /** @type {Box} */
    this.plot = { x: 0, y: 0, w: 1, h: 1 };
    /** @type {[number, number]} heights at the ends of the plot */
    this.ends = [0, 1];
  }

  /** @param {State} state */
  draw(state) {
    if (this.sheet.away) return;
    const { axis, hello, offset, settings, shows } = state;
    if (!this.sheet.changed(state.version, axis.version, shows, settings.unit, settings.zero)) return;
    const well = hello?.well ?? null;
    this.sheet.begin(`${this.paper.version},${axis.version},${offset},${hello?.session},${settings.unit}`, () => this.prepare(state, well));
    const { sample } = state;
    if (!shows || !sample) return;
    this.levels(state, well, sample.total_J - offset);
    if (well && !Number.isNaN(sample.height_m)) this.bob(state, well, sample);
  }

  /** Draws what stands still. @param {State} state @param {Well | null} well */
  prepare(state, well) {
    const { sheet, paper } = this;
    const { axis, offset } = state;
    const side = paper.size.bob;
    const scale = energyScale(state);
    const own = sheet.alone;
    this.plot = sheet.plot((own ? axisRoom(scale, sheet) : 0) + side, side);
    sheet.rule(axis, this.plot);
    if (own) {
      sheet.wipe(this.plot.x - side);
      writeAxis(scale, sheet, { ...this.plot, x: this.plot.x - side });
    }
    if (well) {
      this.ends = between(well, axis.high + offset) ?? [well.height_m[0], /** @type {number} */ (well.height_m.at(-1))];
      this.curve(state, well);
      this.heights();
    }
  }

  /** @param {number} height [m] */
  across(height) {
    const [from, to] = this.ends;
    return this.plot.x + ((height - from) / (to - from)) * this.plot.w;
  }

  /** @param {State} state @param {Well} well */
  curve(state, well) {
    const { plot, paper } = this;
    const { ctx } = this.sheet;
    const bottom = plot.y + plot.h;
    const steps = Math.min(160, plot.w);
    const line = new Path2D();
    for (let i = 0; i <= steps; i++) {
      const height = this.ends[0] + ((this.ends[1] - this.ends[0]) * i) / steps;
      const y = row(state.axis, plot, potential(well, height) - state.offset);
      line.lineTo(this.across(height), Math.max(plot.y, Math.min(bottom, y)));
    }
    const below = new Path2D(line);
    below.lineTo(plot.x + plot.w, bottom);
    below.lineTo(plot.x, bottom);
    ctx.fillStyle = paper.colour.soft;
    ctx.fill(below);
    ctx.lineWidth = paper.whole('line-part');
    ctx.lineJoin = 'bevel';
    ctx.strokeStyle = paper.colour.grey;
    ctx.stroke(line);
    this.sheet.level(state.axis, plot, 0, 'rule', plot.x - paper.size.bob, this.sheet.canvas.width);
  }

  /** Writes at most three heights, from the right, as far as they keep apart; the unit once. */
  heights() {
    const { plot, paper, sheet } = this;
    const text = paper.size['axis-size'];
    const bottom = plot.y + plot.h;
    const values = ticks(this.ends[0], this.ends[1], 3).reverse();
    let free = sheet.canvas.width;
    values.forEach((v, i) => {
      const label = i ? decimal(v, decimalsOf(values)) : words.high(decimal(v, decimalsOf(values)));
      const half = sheet.measure([label]) / 2;
      const x = Math.min(this.across(v), free - half);
      if (x - half < plot.x - paper.size.bob || x < this.across(v) - half) return;
      sheet.write(label, x, bottom + BELOW * text, 'center', 'top');
      free = x - half - text / 2;
      sheet.ctx.fillStyle = paper.colour.rule;
      sheet.ctx.fillRect(Math.round(this.across(v)), bottom, paper.whole('line-hair'), 0.3 * text);
    });
  }

  /** @param {State} state @param {Well | null} well @param {number} total [J] */
  levels(state, well, total) {
    const { sheet, plot, paper } = this;
    const { axis, offset } = state;
    const from = sheet.alone ? plot.x - paper.size.bob : 0;
    sheet.doubleLine(axis, plot, state.level - offset, from, sheet.canvas.width);
    if (Number.isNaN(total)) return;
    sheet.level(axis, plot, total, 'total', from, sheet.canvas.width);
    const meet = well && between(well, total + offset);
    if (!meet) return;
    const left = this.across(meet[0]);
    const right = this.across(meet[1]);
    const y = row(axis, plot, total);
    sheet.level(axis, plot, total, 'total', left, right, paper.whole('line-total'));
    this.turningPoint(left, y);
    this.turningPoint(right, y);
  }

  /** Where the level meets the curve the bob turns: a ring there, and a line down to its height. @param {number} x @param {number} y */
  turningPoint(x, y) {
    const { plot, paper } = this;
    const { ctx } = this.sheet;
    const part = paper.whole('line-part');
    ctx.fillStyle = paper.colour.rule;
    for (let down = y; down < plot.y + plot.h; down += 4 * part) ctx.fillRect(Math.round(x) - 1, down, paper.whole('line-hair'), 2 * part);
    ctx.beginPath();
    ctx.arc(x, y, 2.2 * part, 0, 2 * Math.PI);
    ctx.fillStyle = paper.colour.ground;
    ctx.fill();
    ctx.lineWidth = part;
    ctx.strokeStyle = paper.colour.total;
    ctx.stroke();
  }

  /** @param {State} state @param {Well} well @param {Sample} sample */
  bob(state, well, sample) {
    const { plot, paper, sheet } = this;
    const { ctx } = sheet;
    const { axis, offset } = state;
    const height = Math.min(this.ends[1], Math.max(this.ends[0], sample.height_m));
    const x = this.across(height);
    const y = row(axis, plot, potential(well, height) - offset);
    const r = paper.size.bob;
    this.kinetic(x, y, row(axis, plot, sample.total_J - offset));
    // The disc's centre is at the bob's height and the disc touches the curve.
    const reach = (this.ends[1] - this.ends[0]) / 200;
    const [left, right] = [Math.max(height - reach, this.ends[0]), Math.min(height + reach, this.ends[1])];
    const rise = row(axis, plot, potential(well, right)) - row(axis, plot, potential(well, left));
    const slope = rise / (this.across(right) - this.across(left));
    const cy = y - r * Math.hypot(1, slope);
    const [dx, dy] = [0.55 * r * Math.cos((x - plot.x) / r), 0.55 * r * Math.sin((x - plot.x) / r)];
    ctx.beginPath();
    ctx.arc(x, cy, r - paper.whole('line-part') / 2, 0, 2 * Math.PI);
    ctx.fillStyle = paper.colour.ground;
    ctx.fill();
    ctx.lineWidth = paper.whole('line-part');
    ctx.strokeStyle = paper.colour.ink;
    ctx.moveTo(x - dx, cy - dy);
    ctx.lineTo(x + dx, cy + dy);
    ctx.stroke();
  }

  /** The kinetic share, from the curve up to the level. @param {number} x @param {number} y @param {number} level [px] */
  kinetic(x, y, level) {
    if (!(level < y)) return;
    const { sheet, paper } = this;
    const half = Math.round(paper.size.bob);
    const thick = paper.whole('line-part');
    sheet.ctx.fillStyle = sheet.hatch('upright', 'kinetic');
    sheet.ctx.fillRect(x - half, level, 2 * half, y - level);
    sheet.ctx.fillStyle = paper.colour.kinetic;
    sheet.ctx.fillRect(x - half, level, thick, y - level);
    sheet.ctx.fillRect(x + half - thick, level, thick, y - level);
  }
}
