// Every word on the Balance page, and what is made of what is typed.

import { pair, percent, unitName } from './figures.js';
import { timeOfDay } from './numbers.js';
import { energyUnit } from './scale.js';

export const words = Object.freeze({
  pages: 'Pages',
  virtual: 'virtual bench: simulated',
  title: 'Balance: was energy lost between two states?',
  about: 'Give the start and the end of a motion as read with the rule: the height of the bob\u2019s lowest point, or the length of the spring. The bench is filled in from its calibration; better it where you know better.',
  how: 'A reading carries its unit, and its uncertainty where you know it: 71,2 cm (known to its last digit), 712 mm +- 0.5 mm (standard uncertainty), 71.2 cm read to 5 mm (division of the scale).',
  safety: 'A stretched spring and a falling bob can hurt: keep eyes and feet clear, and follow your institution\u2019s rules.',
  swinging: 'The start is a turning point of a swing under way, not a release',
  compare: 'Compare',
  as_bench: 'Fill in from the bench',
  contradictions: 'What does not go together',
  states: 'Both states',
  budget: 'Where the doubt about the loss comes from',
  advice: 'What to measure better',
  notes: 'What was taken for granted',
});

/** Said while nothing comes from the bench. @param {string} why @param {Date | null} taken when the bench was last asked */
export const oldText = (why, taken) => `${why[0].toUpperCase()}${why.slice(1)}. The dashed readings of the bench are old${taken ? `, of ${timeOfDay(taken)}` : ''}.`;

/** The parts of the form, in order, with the fields of each by their names. */
export const GROUPS = Object.freeze([
  { title: 'Start', holds: (/** @type {string} */ name) => name.startsWith('start-') },
  { title: 'End', holds: (/** @type {string} */ name) => name.startsWith('end-') },
  { title: 'Bench', holds: (/** @type {string} */ name) => !/^(start|end)-/.test(name) },
]);

/** @typedef {{name: string, kind: string, unit: string, help: string, reading: string}} Field */

/** @param {Field} field */
export function labelOf(field) {
  const text = field.name.replace(/^(start|end)-/, '').replaceAll('-', ' ');
  return text[0].toUpperCase() + text.slice(1);
}

/**
 * What is sent: only what differs from what the bench stated, which may be more exact
 * than it is written. An empty text takes the bench's away.
 * @param {Field[]} fields @param {Record<string, string>} typed by name
 */
export function readingsOf(fields, typed) {
  /** @type {Record<string, string>} */
  const readings = {};
  for (const f of fields) {
    const text = (typed[f.name] ?? '').trim();
    if (text !== f.reading) readings[f.name] = text;
  }
  return readings;
}

/**
 * The field that a refusal is about; empty when it is about none, or about several.
 * @param {string} detail @param {Field[]} fields
 */
export function fieldOf(detail, fields) {
  const text = detail.toLowerCase().replace(/^reading /, '');
  const named = fields.filter((f) => text.startsWith(f.name) || text.startsWith(f.name.replaceAll('-', ' ')));
  if (named.length) return named.sort((a, b) => b.name.length - a.name.length)[0].name;
  const state = text.match(/^(start|end):/)?.[1];
  return fields.find((f) => state && f.name === `${state}-height`)?.name ?? '';
}

/** @param {{start_J: number, end_J: number}[]} energies */
export const unitFor = (energies) => energyUnit('auto', Math.max(...energies.flatMap((e) => [e.start_J, e.end_J].map(Math.abs))));

/** Both states line by line. @param {any[]} energies @param {{name: string, factor: number}} unit @returns {string[][]} */
export const energyRows = (energies, { factor }) => energies.map((e) => [e.name, ...['start', 'end', 'change'].flatMap((when) => {
  const p = pair(e[`${when}_J`] * factor, e[`${when}_u_J`] * factor);
  return [p.value, p.u];
})]);

/** @param {string} unit */
export const energyHead = (unit) => ['energy', `start, ${unit}`, 'u', `end, ${unit}`, 'u', `change, ${unit}`, 'u'];

/** One reading of the budget: name, value, u, how it is known, its share. @param {any} s @returns {string[]} */
export function budgetRow(s) {
  const p = pair(s.value, s.u);
  const unit = s.unit ? ` ${unitName(s.unit)}` : '';
  return [s.name, `${p.value}${unit}`, `${p.u}${unit}`, s.how, percent(s.share)];
}
export const budgetHead = ['reading', 'value', 'u', 'known from', 'share of the variance', ''];
