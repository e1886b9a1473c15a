// Where things lie in a plot of points over an axis.

import { decimal } from './numbers.js';
import { decimalsOf, ticks } from './scale.js';

/** @typedef {import('./svg.js').Shape} Shape */
/** @typedef {[number, number]} Range */

/** The size of the letters [px], by which room at the edges is kept. */
export const LETTER = 15;

/**
 * A range that holds all values, with some room; a single value gets some as well.
 * @param {number[]} values those that are no numbers are left out
 * @param {number} [room] share of the range at either end
 * @returns {Range}
 */
export function reach(values, room = 0.08) {
  const known = values.filter(Number.isFinite);
  if (!known.length) return [-1, 1];
  const [low, high] = [Math.min(...known), Math.max(...known)];
  const edge = room * (high - low) || Math.abs(high) / 10 || 1;
  return [low - edge, high + edge];
}

export class Plot {
  /**
   * @param {number} width [px] @param {number} height [px] @param {Range} x @param {Range} y
   * @param {number} right [px] kept free for what is written there
   */
  constructor(width, height, x, y, right = LETTER) {
    this.x = x;
    this.y = y;
    this.marks = ticks(y[0], y[1], 5);
    const decimals = decimalsOf(this.marks);
    this.numbers = this.marks.map((v) => decimal(v, decimals));
    const left = (Math.max(...this.numbers.map((t) => t.length), 1) + 1) * 0.62 * LETTER;
    this.left = left;
    this.right = Math.max(left + 1, width - right);
    this.top = 1.8 * LETTER;
    this.bottom = Math.max(this.top + 1, height - 2 * LETTER);
  }

  /** @param {number} v */
  across(v) {
    return this.left + ((v - this.x[0]) / (this.x[1] - this.x[0])) * (this.right - this.left);
  }

  /** @param {number} v */
  down(v) {
    return this.bottom - ((v - this.y[0]) / (this.y[1] - this.y[0])) * (this.bottom - this.top);
  }

  /** A line from edge to edge. @param {number} v @param {string} pen @returns {Shape} */
  level(v, pen) {
    return { tag: 'line', class: pen, at: { x1: this.left, y1: this.down(v), x2: this.right, y2: this.down(v) } };
  }

  /** A point with its bar. @param {number} x @param {number} y @param {number} half of the bar; 0 = none @returns {Shape[]} */
  point(x, y, half, odd = false) {
    const [px, py] = [this.across(x), this.down(y)];
    /** @type {Shape[]} */
    const shapes = [];
    if (half > 0) shapes.push({ tag: 'line', class: 'bar', at: { x1: px, y1: this.down(y - half), x2: px, y2: this.down(y + half) } });
    shapes.push(odd
      ? { tag: 'rect', class: 'odd', at: { x: px - 6, y: py - 6, width: 12, height: 12 } }
      : { tag: 'circle', class: 'point', at: { cx: px, cy: py, r: 4.5 } });
    return shapes;
  }

  /** @param {number} x [px] @param {number} y [px] @param {string} text @param {string} [anchor] @returns {Shape} */
  write(x, y, text, anchor = 'start') {
    return { tag: 'text', class: 'letters', at: { x, y, 'text-anchor': anchor }, text };
  }

  /**
   * Grid, numbers, and what is measured on either axis.
   * @param {string} title of the upright axis, with its unit
   * @param {{at: number, text: string}[]} below numbers of the other axis
   * @param {string} along what that axis is, with its unit
   * @returns {Shape[]}
   */
  axes(title, below, along) {
    const shapes = [this.write(0, LETTER, title)];
    this.marks.forEach((v, i) => {
      shapes.push(this.level(v, 'grid'), this.write(this.left - 6, this.down(v) + 0.35 * LETTER, this.numbers[i], 'end'));
    });
    for (const { at, text } of below) {
      const half = 0.3 * LETTER * text.length;
      const x = Math.min(Math.max(this.across(at), this.left + half), this.right - half);
      shapes.push(this.write(x, this.bottom + 1.3 * LETTER, text, 'middle'));
    }
    if (along) shapes.push(this.write(this.right, LETTER, along, 'end'));
    return shapes;
  }
}
