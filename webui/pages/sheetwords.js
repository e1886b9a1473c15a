// Every word about the worksheet on the Trials page: choosing, sealing, handing in.

import { decimal } from './numbers.js';

export const sheetWords = Object.freeze({
  sheet: 'Worksheet',
  sheet_about: 'A sheet of one trial, to be worked out by hand. Choose what is printed on it and what is asked for.',
  sheet_trial: 'Of trial',
  print: 'Readings that students get',
  ask: 'Results that they work out',
  digits: 'Significant digits to keep on the way',
  digits_help: 'Honest rounding to as many is right.',
  open_sheet: 'Worksheet (new tab)',
  open_key: 'Its key (new tab)',
  key_sealed: 'The key is withheld while the results are sealed.',
  seal: 'Seal the results',
  open: 'Open the results\u2026',
  seal_help: 'Sealed, this bench shows what is read, heights, force and extension (unless the sheet asks for it), and no energy or loss, on every page, until a group has filled in the whole sheet or somebody opens the results.',
  hand_in: 'Hand in',
  hand_trial: 'Your trial',
  hand_about: 'Figures with their units, as in 0.42 J or 37,5 cm. What comes back says which are right and where to look again; it gives no answers.',
  hand_group: 'Group',
  hand: 'Hand in',
  slips: 'What your figures say',
  yes_open: 'Open',
});

export const digitsNeeded = 'as the loss needs';

/** @typedef {Map<string, string>} Labels of the blanks, by their ids */

/** @param {string} id @param {Labels} labels */
const labelOf = (id, labels) => labels.get(id) ?? id.replaceAll('_', ' ');

/** What is said of a figure. @type {Record<string, string>} */
const verdicts = {
  right: 'right', follows: 'follows from an earlier figure', coarse: 'right as far as it goes, with too few digits',
  slipped: 'look again: see the hints', undecided: 'look again: several slips would give it', off: 'look again: no known slip gives it',
  blank: 'not answered', words: 'for your instructor to read',
};
/** A sign that tells right from wrong without colour. @type {Record<string, string>} */
const signs = { right: '\u2713', follows: '\u2713', coarse: '\u2248', slipped: '\u2715', undecided: '\u2715', off: '\u2715' };

/** @typedef {{id: string, verdict: string, from?: string[]}} SlipMark */

export const markHeads = Object.freeze(['result', 'your figure', 'verdict']);

/** @param {SlipMark} m @param {Record<string, string>} figures as handed in @param {Labels} labels @returns {string[]} */
export function markRow(m, figures, labels) {
  const from = m.from?.length ? `: ${[...new Set(m.from.map((id) => labelOf(id, labels)))].join(', ')}` : '';
  return [labelOf(m.id, labels), figures[m.id] ?? '', `${signs[m.verdict] ?? '\u2013'} ${verdicts[m.verdict] ?? m.verdict}${from}`];
}

/** A hint, with the blanks that show its slip. @param {{hint: string, at: string[]}} f @param {Labels} labels */
export const hintText = (f, labels) => `${f.hint.charAt(0).toUpperCase()}${f.hint.slice(1)} (${f.at.map((id) => labelOf(id, labels)).join(', ')})`;

export const sealedNow = 'Sealed: this bench shows readings only.';
export const openedNow = 'Opened: the results are shown.';
/** @param {number} right @param {number} all */
export const handedIn = (right, all) => `Handed in: ${decimal(right, 0)} of ${decimal(all, 0)} stand`;
export const nothingFilled = 'Fill in one figure at least, with its unit.';
export const nothingAsked = 'Choose one result at least that is to be worked out.';
export const askOpen = Object.freeze({ title: 'Open the results?', lines: ['Energies and losses are shown again, on every page of this bench.', 'Groups that have not handed in will see them.'] });
/** @param {string} label @param {string} unit */
export const blankLabel = (label, unit) => (unit ? `${label}, in ${unit}` : label);
/** @param {string} number @param {string} time @param {string} group */
export const trialName = (number, time, group) => [number, time, group].filter(Boolean).join(', ');
