// The statistics of groups in writing.

import { count, pair } from './figures.js';
import { decimal } from './numbers.js';
import { COVERAGE } from './scale.js';
import { unitOf } from './trialrows.js';
import { quantityNames, sentence } from './trialwords.js';

/** Less probable by scatter alone than this: said to be a trend. */
const RARE = 0.01;

export const statHeads = Object.freeze(['quantity', 'n', 'mean', 'expanded u', 'k', 'standard u', 'standard deviation', 'trend per trial', 'stands out']);

/** @param {{key: string, label: string}} c */
const nameOf = (c) => quantityNames[c.key] ?? c.label;

/** A probability, never nought. @param {number} p */
export const probability = (p) => (p < 0.001 ? `p < ${decimal(0.001, 3)}` : `p = ${decimal(p, p < 0.1 ? 3 : 2)}`);

/**
 * A column of the table as a row in writing.
 * @param {StatColumn} c @param {import('./trialrows.js').Units} units
 * @returns {string[]} one for each of statHeads
 */
export function statRow(c, units) {
  const { name, factor } = unitOf(c, units);
  const mean = pair(c.mean * factor, c.U * factor);
  const fine = (/** @type {number | undefined} */ v) => (v === undefined ? '' : pair(v * factor, v * factor).u);
  const odd = (c.outliers ?? []).map((i) => decimal(i + 1, 0));
  return [
    `${nameOf(c)}, ${name}`, decimal(c.n, 0), mean.value, mean.u, decimal(c.k, 2), fine(c.u_combined ?? c.u_mean), fine(c.sd),
    trendText(c.trend, factor), odd.length ? `trial ${odd.join(', ')}` : '',
  ];
}

/** @param {Trend | undefined} trend @param {number} factor */
export function trendText(trend, factor) {
  if (!trend) return '';
  const p = pair(trend.per_trial * factor, COVERAGE * trend.u * factor);
  const figures = `${p.value} \u00b1 ${p.u} (${probability(trend.p)})`;
  if (!(trend.p < RARE)) return figures;
  return `${trend.per_trial > 0 ? '\u2197 rises' : '\u2198 falls'}: ${figures}`;
}

/** The head of a group's rows. @param {import('./trialrows.js').Group} group */
export function groupHead({ label, stat }) {
  if (!stat) return label;
  const out = stat.left_out ? `, ${decimal(stat.left_out, 0)} left out` : '';
  return `${label}: ${count(stat.trials, 'trial')} that ${stat.trials === 1 ? 'counts' : 'count'}${out}`;
}

export const comparisonHeads = Object.freeze(['quantity', 'groups', 'difference', '95 % interval', 'p by Welch\u2019s t', 'what may be claimed']);

/** A comparison in writing. @param {Comparison} c @param {import('./trialrows.js').Units} units @returns {string[]} one for each of comparisonHeads */
export function comparisonRow(c, units) {
  const { name, factor } = unitOf(c, units);
  const half = ((c.to - c.from) / 2) * factor;
  const [difference, from, to] = [c.difference, c.from, c.to].map((v) => pair(v * factor, half).value);
  return [`${nameOf(c)}, ${name}`, `${c.a} less ${c.b}`, difference, `${from} to ${to}`, probability(c.p), sentence(c.sentence)];
}
