// What the pictures are drawn on: colours and sizes from the style sheet, canvases
// of whole device pixels, and the axis that all pictures share.

import { pattern } from './marks.js';

/** @typedef {{x: number, y: number, w: number, h: number}} Box */

/** Device pixels in all canvases together, at most: drawing costs by area. */
const MOST_PIXELS = 2e6;

const COLOURS = ['ground', 'soft', 'grid', 'rule', 'ink', 'grey', 'kinetic', 'elastic', 'gravitational', 'total', 'lost'];
const SIZES = ['axis-size', 'line-part', 'line-total', 'line-hair', 'cap', 'marker', 'bob'];

export class Paper {
  /** @param {HTMLElement} probe an element out of sight that resolves CSS values */
  constructor(probe) {
    this.probe = probe;
    this.version = 0;
    /** @type {Record<string, string>} */
    this.colour = {};
    /** @type {Record<string, number>} sizes in device pixels */
    this.size = {};
    this.stacked = false;
    this.font = '';
    this.pixelRatio = 1;
    /** @type {Sheet[]} */
    this.sheets = [];
    this.observer = new ResizeObserver(() => this.refresh());
  }

  /** @param {HTMLCanvasElement} canvas @param {CanvasRenderingContext2DSettings} [options] */
  sheet(canvas, options) {
    const sheet = new Sheet(canvas, this, options);
    this.sheets.push(sheet);
    this.observer.observe(canvas);
    return sheet;
  }

  /** Reads colours and sizes again and refits the canvases; every view redraws. */
  refresh() {
    const style = getComputedStyle(this.probe);
    const boxes = this.sheets.map(({ canvas }) => canvas.getBoundingClientRect());
    const area = boxes.reduce((sum, b) => sum + b.width * b.height, 1);
    this.pixelRatio = Math.min(devicePixelRatio || 1, Math.sqrt(MOST_PIXELS / area));
    for (const name of COLOURS) {
      this.probe.style.color = `var(--${name})`;
      this.colour[name] = style.color;
    }
    for (const name of SIZES) {
      this.probe.style.width = `var(--${name})`;
      this.size[name] = parseFloat(style.width) * this.pixelRatio;
    }
    this.stacked = style.getPropertyValue('--stacked').trim() === '1';
    this.font = `600 ${Math.round(this.size['axis-size'])}px ${style.fontFamily}`;
    this.sheets.forEach((sheet, i) => sheet.resize(boxes[i], this.pixelRatio));
    this.version++;
  }

  /** A size in whole device pixels, at least 1. @param {string} name */
  whole(name) {
    return Math.max(1, Math.round(this.size[name]));
  }

  /** Red, green and blue of a colour. @param {string} name @returns {number[]} */
  rgb(name) {
    return (this.colour[name].match(/[\d.]+/g) ?? ['0', '0', '0']).slice(0, 3).map(Number);
  }
}

/** One canvas of the paper. */
export class Sheet {
  /** @param {HTMLCanvasElement} canvas @param {Paper} paper @param {CanvasRenderingContext2DSettings} [options] */
  constructor(canvas, paper, options) {
    this.canvas = canvas;
    this.paper = paper;
    this.ctx = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d', { alpha: false, ...options }));
    this.drawn = '';
    this.kept = ''; // what the ground stands for
    this.ground = document.createElement('canvas');
    this.hatchVersion = -1;
    /** @type {Record<string, CanvasPattern>} */
    this.hatches = {};
  }

  /** @param {DOMRect} box @param {number} ratio */
  resize(box, ratio) {
    const width = Math.max(1, Math.round(box.width * ratio));
    const height = Math.max(1, Math.round(box.height * ratio));
    if (this.canvas.width !== width) this.canvas.width = width;
    if (this.canvas.height !== height) this.canvas.height = height;
  }

  /** Has no picture at its left whose axis it shares. */
  get alone() {
    return this.paper.stacked || this.canvas.width > 0.6 * innerWidth * this.paper.pixelRatio;
  }

  /** Nobody sees it: another part fills the page. */
  get away() {
    return this.canvas.width < 2;
  }

  /** Tells once whether what is drawn differs from what a key stands for. @param {unknown[]} parts */
  changed(...parts) {
    const key = `${this.paper.version},${parts.join()}`;
    const changed = key !== this.drawn;
    this.drawn = key;
    return changed;
  }

  /**
   * Begins a frame with what stands still: drawn anew when the key differs, else as kept.
   * @param {string} key what it depends on @param {() => void} draw
   */
  begin(key, draw) {
    const { canvas, ctx, ground } = this;
    if (key === this.kept) {
      ctx.drawImage(ground, 0, 0);
      return;
    }
    this.kept = key;
    draw();
    ground.width = canvas.width;
    ground.height = canvas.height;
    ground.getContext('2d', { alpha: false })?.drawImage(canvas, 0, 0);
  }

  /**
   * Where the values go; above and below is room for the axis text, the same in
   * every picture, so that pictures side by side share one scale.
   * @param {number} left [px] @param {number} right [px] kept free at the sides
   * @param {number} [above] @param {number} [below] kept free, in text sizes
   * @returns {Box}
   */
  plot(left, right, above = 0.85, below = 1.95) {
    const text = this.paper.size['axis-size'];
    const y = Math.round(above * text);
    const h = Math.max(8, this.canvas.height - y - Math.round(below * text));
    return { x: Math.round(left), y, w: Math.max(8, this.canvas.width - Math.round(left) - Math.round(right)), h };
  }

  /** @param {Hatch} hatch @param {string} colour name of the colour */
  hatch(hatch, colour) {
    if (this.hatchVersion !== this.paper.version) {
      this.hatches = {};
      this.hatchVersion = this.paper.version;
    }
    const line = Math.max(1, Math.round(this.paper.size['line-part'] / 2));
    const key = hatch + colour;
    return (this.hatches[key] ??= pattern(this.ctx, hatch, line, this.paper.colour[colour]));
  }

  /** Empties the canvas and rules the axis positions across it. @param {Axis} axis @param {Box} plot */
  rule(axis, plot) {
    this.wipe(this.canvas.width);
    const { canvas } = this;
    for (const tick of axis.ticks()) this.level(axis, plot, tick, tick === 0 ? 'rule' : 'grid', 0, canvas.width);
  }

  /** Empties the canvas from its left edge on. @param {number} width [px] */
  wipe(width) {
    this.ctx.fillStyle = this.paper.colour.ground;
    this.ctx.fillRect(0, 0, width, this.canvas.height);
  }

  /**
   * One level line, a hair or as thick as told.
   * @param {Axis} axis @param {Box} plot @param {number} joules @param {string} colour
   * @param {number} x0 @param {number} x1 @param {number} [thick] [px]
   */
  level(axis, plot, joules, colour, x0, x1, thick = this.paper.whole('line-hair')) {
    this.ctx.fillStyle = this.paper.colour[colour];
    this.ctx.fillRect(x0, Math.round(row(axis, plot, joules)) - (thick >> 1), x1 - x0, thick);
  }

  /**
   * The double thin line of the level put in.
   * @param {Axis} axis @param {Box} plot @param {number} joules @param {number} x0 @param {number} x1
   */
  doubleLine(axis, plot, joules, x0, x1) {
    if (Number.isNaN(joules)) return;
    const hair = this.paper.whole('line-hair');
    const y = Math.round(row(axis, plot, joules));
    this.ctx.fillStyle = this.paper.colour.lost;
    this.ctx.fillRect(x0, y - 2 * hair, x1 - x0, hair);
    this.ctx.fillRect(x0, y + hair, x1 - x0, hair);
  }

  /**
   * Axis text.
   * @param {string} text @param {number} x @param {number} y
   * @param {CanvasTextAlign} align @param {CanvasTextBaseline} baseline
   */
  write(text, x, y, align, baseline) {
    const { ctx, paper } = this;
    ctx.font = paper.font;
    ctx.textAlign = align;
    ctx.textBaseline = baseline;
    // Clear of any line that runs behind it.
    ctx.lineWidth = 0.25 * paper.size['axis-size'];
    ctx.lineJoin = 'bevel';
    ctx.strokeStyle = paper.colour.ground;
    ctx.strokeText(text, x, y);
    ctx.fillStyle = paper.colour.grey;
    ctx.fillText(text, x, y);
  }

  /** Width of axis text [px]. @param {string[]} texts */
  measure(texts) {
    this.ctx.font = this.paper.font;
    return Math.max(0, ...texts.map((t) => this.ctx.measureText(t).width));
  }
}

/** From the plot down to the text below it, in text sizes: clear of a marker at zero. */
export const BELOW = 0.75;

/** Row [px] of an energy. @param {Axis} axis @param {Box} plot @param {number} joules */
export function row(axis, plot, joules) {
  return plot.y + ((axis.high - joules) / (axis.high - axis.low)) * plot.h;
}
