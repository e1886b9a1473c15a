// One trial in full: the bob's states with all their energies, and what was noted.

import { make } from './element.js';
import { decimal } from './numbers.js';
import { ABSENT } from './numbers.js';
import { fillList, table } from './tables.js';
import { measured } from './trialrows.js';
import { heads, overText, placeNames, sentence, words } from './trialwords.js';

/** @param {Estimate | undefined} e @param {number} [factor] */
function written(e, factor = 1) {
  const { value, U } = measured(e, factor);
  return U === ABSENT ? value : `${value} \u00b1 ${U}`;
}

/** Rows of the states of a trial. @param {TrialRow} row @param {{factor: number}} unit @param {boolean} sealed @returns {string[][]} */
export function placeRows(row, { factor }, sealed) {
  /** @type {['start' | 'lowest' | 'end', Place | undefined][]} */
  const places = [['start', row.start], ['lowest', row.lowest], ['end', row.end]];
  return places.flatMap(([name, p]) => (p ? [[
    placeNames[name], decimal(p.time_s - row.release_s, 2), written(p.height_m), written(p.extension_m),
    ...(sealed ? [] : [p.elastic_J, p.gravitational_J, p.total_J].map((e) => written(e, factor))),
  ]] : []));
}

/** @param {{name: string}} unit @param {boolean} sealed */
export const placeHead = ({ name }, sealed) => ['', `${heads.at}, s`, `${heads.height}, m`, `${heads.extension}, m`, ...(sealed ? [] : [heads.elastic, heads.gravitational, heads.total].map((h) => `${h}, ${name}`))];

/** @param {import('./trialtable.js').Line} line @param {Element[]} links */
export function detailOf({ trial, unit, sealed }, links) {
  const { row } = trial;
  const about = [row.bench, row.spring, row.bob].filter(Boolean).join(', ');
  const notes = make('ul', '');
  fillList(notes, [overText(row.over, row.cycles), ...(row.notes ?? []).map(sentence)]);
  const where = make('p', '');
  where.append(...links.flatMap((e) => [e, ' ']));
  return [
    make('p', 'about', `${about}${trial.virtual ? `; ${words.virtual}` : ''}`),
    table('', placeHead(unit, sealed), placeRows(row, unit, sealed)), notes, where,
  ];
}
