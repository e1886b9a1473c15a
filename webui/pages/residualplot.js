// How far the points of a calibration lie off what was found from them.

import { decimal } from './numbers.js';
import { decimalsOf, ticks } from './scale.js';
import { LETTER, Plot, reach } from './plot.js';

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
  const across = reach(points.map((p) => p.x));
  const plot = new Plot(width, height, across, reach([...points.map((p) => p.y), 0]));
  const round = ticks(across[0], across[1], 5);
  const decimals = decimalsOf(round);
  const shapes = plot.axes(names.off, round.map((at) => ({ at, text: decimal(at, decimals) })), names.at);
  shapes.push(plot.level(0, 'axis'));
  /** @type {{x: number, y: number, text: string}[]} points that lie together share one */
  const labels = [];
  for (const p of points) {
    shapes.push({ tag: 'line', class: 'bar', at: { x1: plot.across(p.x), y1: plot.down(0), x2: plot.across(p.x), y2: plot.down(p.y) } });
    shapes.push(...plot.point(p.x, p.y, 0));
    const [x, y] = [plot.across(p.x), plot.down(p.y)];
    const near = labels.find((l) => Math.abs(l.x - x) < LETTER && Math.abs(l.y - y) < LETTER);
    if (near) near.text += `, ${decimal(p.n, 0)}`;
    else labels.push({ x, y, text: decimal(p.n, 0) });
  }
  for (const l of labels) shapes.push(plot.write(l.x + 9, l.y + 5, l.text));
  return shapes;
}
