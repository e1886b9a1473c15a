// Every word on the Trials page, but those of its worksheet.

import { ABSENT, decimal, timeOfDay } from './numbers.js';
import { count, pair } from './figures.js';
import { COVERAGE } from './scale.js';
import { measured } from './trialrows.js';

export const words = Object.freeze({
  pages: 'Pages',
  virtual: 'virtual bench: simulated',
  round: 'Round of trials',
  sealed: 'sealed: readings only',
  key: 'Bench key',
  give_key: 'Give key',
  safety: 'A stretched spring and a falling bob can hurt: keep eyes and feet clear, pad the floor, and follow your institution\u2019s rules.',
  rule: 'A trial is over',
  rule_also: 'It is over, too, when the bob rests again or is taken in hand.',
  cycles: 'after cycles',
  seconds: 'after seconds',
  floor: 'when the bob touches the floor',
  next_group: 'Group of the next trials',
  set_group: 'Set the group',
  run_group: 'Group of the trials of this run',
  arm: 'Arm',
  disarm: 'Disarm',
  chart: 'Trial by trial',
  quantity: 'Show',
  chart_how: 'Arrow keys go from trial to trial, Enter opens it in the table. Hollow: does not count. Ringed: stands out in its group. Bars and bands are expanded uncertainties; the line is the group\u2019s mean.',
  no_chart: 'No trial has it yet.',
  trials: 'Trials',
  no_trials: 'No trial yet: arm, hold the bob still, let it go.',
  unit: 'Energies in',
  csv: 'All trials as CSV',
  csv_sealed: 'The CSV is withheld while the results are sealed.',
  files_sealed: 'Files and reports of runs are withheld while the results are sealed.',
  sealed_about: 'The results are sealed: what was read is shown, what is to be worked out is not. They open when a group has handed in every figure, or below.',
  statistics: 'What the trials say together',
  statistics_sealed: 'Means and comparisons are withheld while the results are sealed.',
  statistics_none: 'Nothing to sum up yet.',
  comparisons: 'Groups compared',
  notes: 'To know when reading it',
  back: 'Back',
  leave_out: 'leave out',
  count: 'count it',
});

/** The unit's choices, as on Show. @type {Record<string, string>} */
export const units = { auto: 'J or mJ, as fits', J: 'J', mJ: 'mJ' };

/** Quantities by their keys. @type {Record<string, string>} */
export const quantityNames = {
  first_fall_loss_J: 'loss of the first fall',
  loss_per_cycle_J: 'loss per cycle',
  swing_energy_J: 'energy of the swing',
  amplitude_m: 'amplitude',
  period_s: 'period',
  release_speed_m_s: 'speed at the release',
  release_excess_m: 'excess at the release',
};

/** @typedef {{word: string, sign: string, look: string, what: string}} RoundState look: of the frame around it */

/**
 * The state of the round in a big word, its sign, and what to do.
 * @param {{armed: boolean, state: string, recording: string}} t @param {string} silent why nothing is known; empty = readings arrive
 * @returns {RoundState}
 */
export function roundState({ armed, state, recording }, silent) {
  if (silent) return { word: 'no signal', sign: '\u2013', look: 'off', what: silent };
  if (!armed) return { word: 'not armed', sign: '\u25cb', look: 'off', what: 'Trials begin by themselves once the round is armed.' };
  const saved = recording ? `Recording ${recording}.` : '';
  switch (state) {
    case 'held': return { word: 'ready', sign: '\u25a0', look: 'ready', what: 'The bob is held still: let it go.' };
    case 'let go': return { word: 'let go', sign: '\u25bd', look: 'under-way', what: saved || 'It has left its place.' };
    case 'swinging': return { word: recording ? 'recording' : 'swinging', sign: '\u25cf', look: 'under-way', what: saved || 'It swings by itself.' };
    default: return { word: recording ? 'recording' : 'waiting', sign: recording ? '\u25cf' : '\u2026', look: recording ? 'under-way' : 'waiting', what: saved || 'Hold the bob still where it is to start.' };
  }
}

/** What the screen reader hears of it. @param {RoundState} s */
export const roundSpoken = (s) => `${s.word[0].toUpperCase()}${s.word.slice(1)}.`;

/** @param {Trial[]} trials */
export function tally(trials) {
  const counting = trials.filter((t) => t.row.counts).length;
  return trials.length ? `${count(trials.length, 'trial')}, ${decimal(counting, 0)} of them ${counting === 1 ? 'counts' : 'count'}` : '';
}

const otherDay = new Intl.DateTimeFormat(undefined, { day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });

/** When a trial was: the release in a run begun at another instant. @param {Trial} t @param {Date} now */
export function timeText(t, now) {
  const at = new Date(Date.parse(t.created) + 1000 * t.row.release_s);
  if (Number.isNaN(at.getTime())) return ABSENT;
  return at.toDateString() === now.toDateString() ? timeOfDay(at) : otherDay.format(at);
}

/** @param {string} text */
export function sentence(text) {
  const whole = text.charAt(0).toUpperCase() + text.slice(1);
  return !whole || /[.!?]$/.test(whole) ? whole : `${whole}.`;
}

/**
 * Whether a trial counts, in a word, and by whose word.
 * @param {TrialRow} row
 */
export function verdictText(row) {
  if (row.overruled) return row.counts ? 'counts, by your word' : 'left out, by your word';
  return row.counts ? 'counts' : 'does not count';
}

/** Reasons of the verdict, those that void a trial first; then in what it stands out. @param {TrialRow} row @param {string[]} suspected keys @param {boolean} [simulated] among trials of a real bench */
export function reasons(row, suspected, simulated = false) {
  const found = [...(row.findings ?? [])].sort((a, b) => Number(b.voids) - Number(a.voids)).map((f) => sentence(f.sentence));
  if (suspected.length) found.push(`Stands out in its group (Grubbs\u2019 test): ${suspected.map((k) => quantityNames[k] ?? k).join(', ')}.`);
  if (simulated) found.push('Simulated: made on the virtual bench.');
  return found;
}

/** @type {Record<string, string>} */
const longUnits = { J: 'joules', mJ: 'millijoules', m: 'metres', s: 'seconds' };

/** A point of the chart as speech. @param {import('./trialrows.js').Mark} m @param {string} what @param {string} unit @param {string} group empty = the only one */
export function pointSpoken(m, what, unit, group) {
  const p = pair(m.value, m.U);
  const parts = [`Trial ${decimal(m.at + 1, 0)}${group ? `, ${group}` : ''}: ${what} ${p.value} ${longUnits[unit] ?? unit}, plus or minus ${p.u}`];
  if (!m.counts) parts.push('does not count');
  if (m.odd) parts.push('stands out');
  return parts.join('; ');
}

/** A finished trial as speech. @param {number} n @param {TrialRow} row @param {{name: string, factor: number}} unit */
export function trialSpoken(n, row, unit) {
  const lost = row.first_fall_loss_J;
  const p = measured(lost, unit.factor);
  const loss = lost ? ` Loss of the first fall: ${p.value} ${longUnits[unit.name]}, plus or minus ${p.U}.` : '';
  return `Trial ${decimal(n, 0)} ${verdictText(row)}.${loss}`;
}

/** Heads of the table; a part's columns share one above them. */
export const heads = Object.freeze({
  number: 'trial', time: 'time', group: 'group', start: 'start', lowest: 'lowest point', end: 'end', lost: 'loss', swing: 'swing',
  height: 'height', extension: 'extension', total: 'total', first: 'first fall', cycle: 'per cycle', decay: 'decay', amplitude: 'amplitude', period: 'period', cycles: 'cycles',
  verdict: 'verdict', elastic: 'elastic', gravitational: 'gravitational', at: 'at',
});

/** Rows of a trial's states. @type {Record<string, string>} */
export const placeNames = { start: 'start: held', lowest: 'lowest point', end: 'end' };

/** @param {number} n */
export const openName = (n) => `Trial ${decimal(n, 0)}`;
/** @param {number} n @param {boolean} counts */
export const overruleName = (n, counts) => `${counts ? words.leave_out : words.count}: trial ${decimal(n, 0)}`;
/** @param {number} n @param {boolean} counts */
export const overruled = (n, counts) => `Trial ${decimal(n, 0)} ${counts ? 'counts now' : 'is left out now'}, by your word.`;
/** @param {string} group */
export const groupSet = (group) => (group ? `The next trials go to ${group}.` : 'The next trials go to no group of their own.');
/** @param {string} group */
export const regrouped = (group) => (group ? `The trials of this run are of ${group} now.` : 'The trials of this run are of no group of their own now.');
export const armed = 'Armed: trials begin and end by themselves.';
export const disarmed = 'Disarmed.';
export const ruleWrong = { cycles: 'Cycles: a whole number such as 10, or nothing.', seconds: 'Seconds: a number such as 20 or 7,5, or nothing.' };

/** The foot of the table: how its figures are meant. @param {boolean} sealed */
export const footnote = (sealed) => (sealed ? `\u00b1 expanded uncertainty, k = ${COVERAGE}` : `\u00b1 expanded uncertainty, k = ${COVERAGE}; gravitational energy from the floor; energies of the bob at rest at each point`);

/** Names of the links of one trial. */
export const links = { run: 'Run as CSV', report: 'Report of the run' };
/** @param {string} over @param {number} cycles */
export const overText = (over, cycles) => `Over: ${over || 'not known why'}, ${count(cycles, 'whole swing')}.`;
/** @param {string} what */
export const chartName = (what) => `${what[0].toUpperCase()}${what.slice(1)}, trial by trial: the table lists the same`;
