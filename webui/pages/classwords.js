// Every word on the Class page, and what is made of the answer of /api/class.

import { count, pair, percent } from './figures.js';
import { decimal } from './numbers.js';

export const words = Object.freeze({
  pages: 'Pages',
  title: 'Class: what all groups found',
  benches: 'Benches',
  about: 'Read from the folders named when this page was started. A bench whose results are sealed shows none until its group has handed in, or they are opened there.',
  again: 'Look again',
  csv: 'One row a group, as CSV for the mark book',
  notes: 'What must be known',
});

/** @typedef {{name: string, sealed: boolean, runs: number, unjudged: number, troubles: string[]}} Bench */
/** @typedef {{label: string, bench: string, n: number, mean: number, u_own: number, u_shared: number, U: number, weight: number}} Found */
/**
 * One quantity over the groups, as /api/class tells it.
 * @typedef {{key: string, label: string, unit: string, chosen: boolean, groups: Found[], scatter: number, mean: number | null, U: number, k: number,
 *   u_own: number, u_shared: number, birge: number, chi_squared: number, spare: number, p: number, sentence: string}} Quantity
 */

export const benchHead = ['bench', 'results', 'runs judged', 'runs not judged'];

/** @param {Bench} b @returns {string[]} */
export const benchRow = (b) => [b.name, b.sealed ? 'sealed' : 'shown', decimal(b.runs, 0), decimal(b.unjudged, 0)];

/** What is wrong in the folders, and what to do. @param {Bench[]} benches @returns {string[]} */
export const troublesOf = (benches) => benches.flatMap((b) => [
  ...b.troubles.map((t) => `${b.name}: ${t}`),
  ...(b.unjudged ? [`${b.name}: nothing is kept of ${count(b.unjudged, 'run')}: joulewell trials --keep on that folder judges them`] : []),
]);

/** The unit in which a quantity is written. @param {Quantity} q */
export function unitOf(q) {
  const top = Math.max(...q.groups.map((g) => Math.abs(g.mean) + g.U));
  return (q.unit === 'J' || q.unit === 'm') && top < 0.5 ? { name: `m${q.unit}`, factor: 1000 } : { name: q.unit, factor: 1 };
}

/** An uncertainty by itself, to two digits. @param {number} u */
const small = (u) => (u > 0 ? pair(u, u).u : decimal(0, 0));

/** @param {string} unit */
export const groupHead = (unit) => ['group', 'trials', `mean, ${unit}`, 'U (95 %)', 'u by scatter', 'u shared', 'weight'];

/** @param {Found} g @param {number} factor @param {boolean} weighed @returns {string[]} */
export function groupRow(g, factor, weighed) {
  const p = pair(g.mean * factor, g.U * factor);
  return [g.label, decimal(g.n, 0), p.value, p.u, small(g.u_own * factor), small(g.u_shared * factor), weighed ? percent(g.weight) : ''];
}

/** The mean of all, with what it rests on. @param {Quantity} q @param {number} factor @returns {[string, string][]} */
export function meanTerms(q, factor) {
  if (q.mean === null) return [];
  const p = pair(q.mean * factor, q.U * factor);
  const [own, shared] = [q.u_own, q.u_shared].map((u) => small(u * factor));
  return [
    ['weighted mean', `${p.value} \u00b1 ${p.u} (k = ${decimal(q.k, 2)})`],
    ['u of it', `${own} by what is each group\u2019s own, ${shared} by what all share`],
    ['Birge ratio', decimal(q.birge, 2)],
    ['chi-squared', `${decimal(q.chi_squared, 2)} with ${decimal(q.spare, 0)} to spare, p = ${q.p < 1e-4 ? 'less than 0.0001' : decimal(q.p, 4)}`],
  ];
}

/** The chart in words. @param {Quantity} q */
export const chartName = (q) => `${q.label} of ${count(q.groups.length, 'group')} with 95 % bars; the table beside it holds the numbers`;
