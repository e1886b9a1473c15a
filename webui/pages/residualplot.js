// How far the points of a calibration lie off what was found from them.

import { decimal } from './numbers.js';
import { decimalsOf, ticks } from './scale.js';
import { Plot, reach } from './plot.js';

/** @typedef {{point: number, at: number | null, off: number | null}} Residual */

/** Residuals are shown in thousandths of their unit. */
export const FINE = 1000;

/**
 * @param {Residual[]} residuals @param {number} width [px] @param {number} height [px]
 * @param {{off: string, at: string}} names of the axes, with their units
 * @returns {import('./svg.js').Shape[]}
 */
export function residualPlot(residuals, width, height, names) {
  const points = residuals.filter((r) => r.at !== null && r.off !== null).map((r) => ({ n: r.point + 1, x: Number(r.at), y: Number(r.off) * FINE }));
  const x = reach(points.map((p) => p.x));
  const plot = new Plot(width, height, x, reach([...points.map((p) => p.y), 0]));
  const round = ticks(x[0], x[1], 3);
  const decimals = decimalsOf(round);
  const shapes = plot.axes(names.off, round.map((at) => ({ at, text: decimal(at, decimals) })), names.at);
  shapes.push(plot.level(0, 'axis'));
  for (const p of points) {
    shapes.push({ tag: 'line', class: 'bar', at: { x1: plot.across(p.x), y1: plot.down(0), x2: plot.across(p.x), y2: plot.down(p.y) } });
    shapes.push(...plot.point(p.x, p.y, 0));
    shapes.push(plot.write(plot.across(p.x) + 9, plot.down(p.y) + 5, decimal(p.n, 0)));
  }
  return shapes;
}
