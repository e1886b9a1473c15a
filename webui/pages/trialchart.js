// The chart of a quantity over the numbers of the trials.

import { decimal } from './numbers.js';
import { ticks } from './scale.js';
import { marker } from './markers.js';
import { LETTER, Plot, reach } from './plot.js';
import { spread } from './stack.js';

/** @typedef {import('./svg.js').Shape} Shape */
/** @typedef {import('./trialrows.js').Mark} Mark */

/** Radius of a marker [px]: less where many stand side by side. */
const [LARGE, SMALL] = [6, 2.2];

/**
 * Shapes that stand still, and for each trial those of its point, in order of the trials.
 * @typedef {{still: Shape[], points: {mark: Mark, slot: number, label: string, shapes: Shape[]}[]}} Chart
 */

/**
 * @param {import('./trialrows.js').Series[]} series @param {number} count of all trials
 * @param {number} width [px] @param {number} height [px] @param {{up: string, along: string}} names of the axes, with units
 * @returns {Chart}
 */
export function trialChart(series, count, width, height, names) {
  const known = series.filter((s) => s.marks.length);
  const several = series.length > 1;
  const room = several ? Math.min(0.3 * width, Math.max(...known.map((s) => s.label.length), 1) * 0.55 * LETTER + 34) : LETTER;
  const heights = known.flatMap((s) => [...s.marks.flatMap((m) => [m.value - m.U, m.value + m.U]), s.mean - s.U, s.mean + s.U]);
  const across = /** @type {[number, number]} */ ([0.4, Math.max(count, 1) + 0.6]);
  const plot = new Plot(width, height, across, reach(heights), room);
  const whole = ticks(1, Math.max(count, 2), Math.max(2, Math.min(8, Math.floor((plot.right - plot.left) / 60)))).filter((v) => v === Math.round(v) && v <= count);
  const still = plot.axes(names.up, whole.map((at) => ({ at, text: decimal(at, 0) })), names.along);
  const r = Math.max(SMALL, Math.min(LARGE, (0.35 * (plot.right - plot.left)) / Math.max(count, 1)));
  for (const s of known) still.push(...meanOf(plot, s));
  if (several) still.push(...namesOf(plot, known, width));
  const points = known.flatMap((s) => s.marks.map((mark) => ({ mark, slot: s.slot, label: s.label, shapes: pointOf(plot, mark, s.slot, r) })));
  return { still, points: points.sort((a, b) => a.mark.at - b.mark.at) };
}

/** Mean and band of a group, as wide as its trials. @param {Plot} plot @param {import('./trialrows.js').Series} s @returns {Shape[]} */
function meanOf(plot, s) {
  if (!Number.isFinite(s.mean)) return [];
  const counted = s.marks.filter((m) => m.counts);
  if (!counted.length) return [];
  const [x1, x2] = [plot.across(counted[0].at + 0.6), plot.across(counted[counted.length - 1].at + 1.4)];
  /** @type {Shape[]} */
  const shapes = [];
  if (Number.isFinite(s.U)) {
    const [top, bottom] = [plot.down(s.mean + s.U), plot.down(s.mean - s.U)];
    shapes.push({ tag: 'rect', class: 'band', at: { x: x1, y: top, width: x2 - x1, height: bottom - top } });
    for (const y of [top, bottom]) shapes.push({ tag: 'line', class: 'edge', at: { x1, y1: y, x2, y2: y } });
  }
  shapes.push({ tag: 'line', class: 'group-mean', at: { x1, y1: plot.down(s.mean), x2, y2: plot.down(s.mean) } });
  return shapes;
}

/** Labels of the groups at the right, as high as their means lie. @param {Plot} plot @param {import('./trialrows.js').Series[]} known @param {number} width [px] @returns {Shape[]} */
function namesOf(plot, known, width) {
  const level = (/** @type {import('./trialrows.js').Series} */ s) => (Number.isFinite(s.mean) ? s.mean : s.marks[s.marks.length - 1].value);
  const sorted = [...known].sort((a, b) => level(b) - level(a));
  const places = spread(sorted.map((s) => plot.down(level(s))), 1.3 * LETTER);
  const fits = Math.max(3, Math.floor((width - plot.right - 30) / (0.5 * LETTER)));
  return sorted.flatMap((s, i) => [
    marker(s.slot, plot.right + 14, places[i], LARGE, 'point'),
    plot.write(plot.right + 26, places[i] + 0.35 * LETTER, s.label.length > fits ? `${s.label.slice(0, fits - 1)}\u2026` : s.label),
  ]);
}

/** @param {Plot} plot @param {Mark} m @param {number} slot @param {number} r [px] @returns {Shape[]} */
function pointOf(plot, m, slot, r) {
  const [x, y] = [plot.across(m.at + 1), plot.down(m.value)];
  /** @type {Shape[]} */
  const shapes = [];
  if (m.U > 0) shapes.push({ tag: 'line', class: m.counts ? 'bar' : 'bar out', at: { x1: x, y1: plot.down(m.value - m.U), x2: x, y2: plot.down(m.value + m.U) } });
  shapes.push(marker(slot, x, y, r, m.counts ? 'point' : 'hollow'));
  if (m.odd) shapes.push({ tag: 'circle', class: 'ring', at: { cx: x, cy: y, r: 1.4 * r + 4 } });
  return shapes;
}
