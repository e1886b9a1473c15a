// One trial in full: the bob's states with all their energies, and what was noted.

import { make } from './element.js';
import { ABSENT, decimal } from './numbers.js';
import { fillList, table } from './tables.js';
import { measured } from './trialrows.js';
import { heads, links, openName, overText, placeNames, sentence, timeText, words } from './trialwords.js';

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

/** @param {import('./trialtable.js').Line} line @param {(group: string) => void} regroup */
export function detailOf({ n, trial, group, units, sealed }, regroup) {
  const { row } = trial;
  const about = [timeText(trial, new Date()), ...new Set([group, row.bench, row.spring, row.bob])].filter(Boolean).join(', ');
  const notes = make('ul', '');
  fillList(notes, [overText(row.over, row.cycles), ...(row.notes ?? []).map(sentence)]);
  const places = table('', placeHead(units.total, sealed), placeRows(row, units.total, sealed));
  places.tabIndex = 0; // it may be wider than the window
  places.setAttribute('role', 'group');
  places.setAttribute('aria-label', openName(n));
  return [
    make('p', 'about', `${about}${trial.virtual ? `; ${words.virtual}` : ''}`),
    places, notes, sealed ? make('p', '', words.files_sealed) : files(trial.run), groupForm(n, trial.group, regroup),
  ];
}

/** Where the run of a trial can be had. @param {string} run */
function files(run) {
  const line = make('p', 'files');
  for (const [text, path] of [[links.run, `/api/runs/${run}.csv`], [links.report, `/api/runs/${run}/report`]]) {
    const a = /** @type {HTMLAnchorElement} */ (make('a', '', text));
    a.href = path;
    line.append(a, ' ');
  }
  return line;
}

/** @param {number} n @param {string} group @param {(group: string) => void} regroup */
function groupForm(n, group, regroup) {
  const form = /** @type {HTMLFormElement} */ (make('form', ''));
  const input = document.createElement('input');
  input.type = 'text';
  input.id = `group-${n}`;
  input.maxLength = 60;
  input.value = group;
  const label = make('label', '', words.run_group);
  label.setAttribute('for', input.id);
  form.append(label, ' ', input, ' ', make('button', '', words.set_group));
  form.onsubmit = (event) => {
    event.preventDefault();
    regroup(input.value.trim());
  };
  return form;
}
