// What trials come to: their quantities, their groups, their verdicts. Nothing is drawn here.

import { pair } from './figures.js';
import { COVERAGE, energyUnit } from './scale.js';

/** @typedef {{key: string, unit: 'J' | 'm' | 's', of: (row: TrialRow) => Estimate | undefined}} Quantity */

/** What can be charted, in the order in which it is offered. @type {readonly Quantity[]} */
export const QUANTITIES = Object.freeze([
  { key: 'first_fall_loss_J', unit: 'J', of: (row) => row.first_fall_loss_J },
  { key: 'loss_per_cycle_J', unit: 'J', of: (row) => row.loss_per_cycle_J },
  { key: 'amplitude_m', unit: 'm', of: (row) => row.amplitude_m },
  { key: 'period_s', unit: 's', of: (row) => row.period_s },
]);

/** Quantities that may be seen: sealed results hold no energy. @param {boolean} sealed */
export const offered = (sealed) => QUANTITIES.filter((q) => !sealed || q.unit !== 'J');

/** What tells a trial from all others. @param {{run: string, index: number}} t */
export const keyOf = (t) => `${t.run}#${t.index}`;

/** @typedef {{label: string, slot: number, stat: StatGroup | null, members: number[]}} Group members are positions among all trials */

/**
 * Trials of one label, bench, spring and bob are a group, in order of its first trial; the
 * statistics are those of the table, which keeps the same order.
 * @param {Trial[]} trials @param {TrialsTable} [table]
 * @returns {Group[]}
 */
export function groupsOf(trials, table) {
  /** @type {Map<string, Group>} */
  const groups = new Map();
  trials.forEach((t, i) => {
    const label = t.group || t.row.bench;
    const key = JSON.stringify([label, t.row.bench, t.row.spring, t.row.bob]);
    let g = groups.get(key);
    if (!g) groups.set(key, g = { label, slot: groups.size, stat: null, members: [] });
    g.members.push(i);
  });
  const all = [...groups.values()];
  const same = table && table.groups.length === all.length;
  if (same) for (const g of all) [g.stat, g.label] = [table.groups[g.slot], table.groups[g.slot].label];
  return all;
}

/** A statistic of a group; none where its trials lack the quantity. @param {Group} group @param {string} key */
export const columnOf = (group, key) => group.stat?.columns?.find((c) => c.key === key) ?? null;

/** Keys of the quantities in which each trial stands out. @param {Group[]} groups @returns {Map<number, string[]>} by its place among all trials */
export function suspects(groups) {
  /** @type {Map<number, string[]>} */
  const found = new Map();
  for (const g of groups) {
    for (const c of g.stat?.columns ?? []) {
      for (const i of c.outliers ?? []) found.set(i, [...(found.get(i) ?? []), c.key]);
    }
  }
  return found;
}

/**
 * @typedef {{at: number, value: number, U: number, counts: boolean, odd: boolean}} Mark at: position among all trials; U: expanded
 * @typedef {{label: string, slot: number, marks: Mark[], mean: number, U: number}} Series mean is NaN where there is none
 */

/**
 * What a chart shows of one quantity, group by group, in units of 1/factor.
 * @param {Trial[]} trials @param {Group[]} groups @param {Quantity} quantity @param {number} factor
 * @returns {Series[]}
 */
export function seriesOf(trials, groups, quantity, factor) {
  return groups.map((g) => {
    const column = columnOf(g, quantity.key);
    const odd = new Set(column?.outliers);
    /** @type {Mark[]} */
    const marks = [];
    for (const i of g.members) {
      const e = quantity.of(trials[i].row);
      if (!e || !Number.isFinite(e.value)) continue;
      marks.push({ at: i, value: e.value * factor, U: COVERAGE * e.u * factor, counts: trials[i].row.counts, odd: odd.has(i) });
    }
    return { label: g.label, slot: g.slot, marks, mean: (column?.mean ?? NaN) * factor, U: (column?.U ?? NaN) * factor };
  });
}

/** @typedef {import('./scale.js').EnergyUnit} EnergyUnit */

/**
 * The units on the page of energies, and of what was lost of them, which is small beside
 * them: each as its largest one has it. @param {string} choice 'auto', 'J' or 'mJ' @param {Trial[]} trials
 */
export function unitsFor(choice, trials) {
  const top = (/** @type {(row: TrialRow) => (Estimate | undefined)[]} */ of) => trials.reduce((most, { row }) => Math.max(most, ...of(row).map((e) => Math.abs(e?.value ?? 0))), 0);
  return {
    total: energyUnit(choice, top((row) => [row.start?.total_J, row.lowest?.total_J])),
    lost: energyUnit(choice, top((row) => [row.first_fall_loss_J, row.loss_per_cycle_J])),
  };
}

/** @typedef {ReturnType<typeof unitsFor>} Units */

/**
 * The unit a quantity is written in.
 * @param {{key: string, unit: string}} quantity its unit: SI @param {Units} units @returns {{name: string, factor: number}}
 */
export function unitOf({ key, unit }, { lost, total }) {
  if (unit !== 'J') return { name: unit, factor: 1 };
  return key.includes('loss') ? lost : total;
}

/** A value with its expanded uncertainty, the same last digit. @param {Estimate | undefined} e @param {number} [factor] */
export function measured(e, factor = 1) {
  const { value, u } = pair(e ? e.value * factor : null, e ? COVERAGE * e.u * factor : null);
  return { value, U: u };
}
