// Where things lie in the chart of a class: a row a group, its bar, the mean in its band.

import { decimal } from './numbers.js';
import { LETTER, reach } from './plot.js';
import { decimalsOf, ticks } from './scale.js';

/** Height [px] of a group: its label, and its bar below. */
const ROW = 2.6 * LETTER;
/** Room [px] for the numbers and the name of the axis. */
const FOOT = 3 * LETTER;
/** Room [px] at either side, so that the outer numbers fit. */
const SIDE = 2 * LETTER;
/** Letters of a label that fit a phone. */
const LONGEST = 44;

/** @typedef {{label: string, mean: number, U: number}} Found */

/** Height [px] of a chart of so many groups. @param {number} groups */
export const heightOf = (groups) => groups * ROW + FOOT;

/**
 * @param {Found[]} groups @param {{mean: number, U: number} | null} common null = none is to be drawn
 * @param {number} factor to the unit of the axis @param {number} width [px] @param {string} axis what it is, with its unit
 * @returns {import('./svg.js').Shape[]}
 */
export function classPlot(groups, common, factor, width, axis) {
  const [low, high] = reach([...groups, ...(common ? [common] : [])].flatMap((g) => [(g.mean - g.U) * factor, (g.mean + g.U) * factor]), 0.03);
  const across = (/** @type {number} */ v) => SIDE + ((v * factor - low) / (high - low)) * (width - 2 * SIDE);
  const bottom = groups.length * ROW;
  /** @type {import('./svg.js').Shape[]} */
  const shapes = [];
  if (common) {
    const from = across(common.mean - common.U);
    shapes.push({ tag: 'rect', class: 'band', at: { x: from, y: 0, width: across(common.mean + common.U) - from, height: bottom } });
    shapes.push({ tag: 'line', class: 'limit', at: { x1: across(common.mean), y1: 0, x2: across(common.mean), y2: bottom } });
  }
  groups.forEach((g, i) => {
    const y = i * ROW + 1.8 * LETTER;
    const label = g.label.length > LONGEST ? `${g.label.slice(0, LONGEST - 1)}\u2026` : g.label;
    shapes.push(
      { tag: 'text', class: 'letters', at: { x: 0, y: y - 0.65 * LETTER }, text: label },
      { tag: 'line', class: 'bar', at: { x1: across(g.mean - g.U), y1: y, x2: across(g.mean + g.U), y2: y } },
      { tag: 'circle', class: 'point', at: { cx: across(g.mean), cy: y, r: 4.5 } },
    );
  });
  const marks = ticks(low, high, 5).filter((v) => v >= low && v <= high);
  const decimals = decimalsOf(marks);
  shapes.push({ tag: 'line', class: 'axis', at: { x1: SIDE, y1: bottom, x2: width - SIDE, y2: bottom } });
  for (const v of marks) {
    const x = across(v / factor);
    shapes.push(
      { tag: 'line', class: 'axis', at: { x1: x, y1: bottom, x2: x, y2: bottom + 5 } },
      { tag: 'text', class: 'letters', at: { x, y: bottom + 1.4 * LETTER, 'text-anchor': 'middle' }, text: decimal(v, decimals) },
    );
  }
  shapes.push({ tag: 'text', class: 'letters', at: { x: width - SIDE, y: bottom + 2.6 * LETTER, 'text-anchor': 'end' }, text: axis });
  return shapes;
}
