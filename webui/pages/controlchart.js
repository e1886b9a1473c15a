// How one standard was read over time, with the limits that a steady sensor keeps.

import { day } from './figures.js';
import { FINE } from './residualplot.js';
import { LETTER, Plot, reach } from './plot.js';
import { spread } from './stack.js';

/** Standard deviations from the mean to a limit. */
const LIMIT = 3;

/** @typedef {{at: string, deviation: number | null, u: number | null, note: string}} CheckRecord */
/** @typedef {{kind: string, what: string, standard: string, unit: string, needed: number | null, state: string, reason: string, mean: number | null, sd: number | null, rate_per_s: number | null, rate_low_per_s: number | null, rate_high_per_s: number | null, records: CheckRecord[]}} Check */

/**
 * The levels of a chart, in thousandths of the unit; those not known are left out.
 * @param {Check} check @param {{mean: string, limit: string, needed: string}} names
 */
export function levels(check, names) {
  const all = [{ at: 0, pen: 'axis', name: '' }];
  if (check.needed !== null) for (const way of [1, -1]) all.push({ at: way * check.needed * FINE, pen: 'needed', name: names.needed });
  if (check.mean !== null && check.sd !== null) {
    all.push({ at: check.mean * FINE, pen: 'mean', name: names.mean });
    for (const way of [1, -1]) all.push({ at: (check.mean + way * LIMIT * check.sd) * FINE, pen: 'limit', name: names.limit });
  }
  return all;
}

/** Whether a record lies beyond the limits. @param {Check} check @param {CheckRecord} r */
export function beyond(check, r) {
  if (check.mean === null || check.sd === null || r.deviation === null) return false;
  return Math.abs(r.deviation - check.mean) > LIMIT * check.sd;
}

/**
 * @param {Check} check @param {number} width [px] @param {number} height [px]
 * @param {{mean: string, limit: string, needed: string, deviation: string}} names
 * @returns {import('./svg.js').Shape[]}
 */
export function controlChart(check, width, height, names) {
  const records = check.records.filter((r) => r.deviation !== null);
  const lines = levels(check, names);
  const times = records.map((r) => Date.parse(r.at));
  const heights = records.flatMap((r) => [1, -1].map((way) => (Number(r.deviation) + way * Number(r.u)) * FINE));
  const room = Math.max(...lines.map((l) => l.name.length)) * 0.6 * LETTER + 12;
  const plot = new Plot(width, height, reach(times, 0.04), reach([...lines.map((l) => l.at), ...heights]), room);
  const ends = records.length ? [records[0], records[records.length - 1]] : [];
  const days = [...new Set(ends.map((r) => day(r.at)))];
  const shapes = plot.axes(names.deviation, days.map((text, i) => ({ at: times[i ? times.length - 1 : 0], text })), '');
  for (const l of lines) shapes.push(plot.level(l.at, l.pen));
  const named = lines.filter((l) => l.name).sort((a, b) => b.at - a.at);
  const places = spread(named.map((l) => plot.down(l.at)), 1.1 * LETTER);
  named.forEach((l, i) => shapes.push(plot.write(plot.right + 8, places[i] + 0.35 * LETTER, l.name)));
  records.forEach((r, i) => shapes.push(...plot.point(times[i], Number(r.deviation) * FINE, Number(r.u) * FINE, beyond(check, r))));
  return shapes;
}
