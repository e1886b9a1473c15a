// What the trials say together, on the page: a table with the rows of each group, and
// what may be claimed of the differences.

import { find, make, set } from './element.js';
import { comparisonHeads, comparisonRow, groupHead, statHeads, statRow } from './statwords.js';
import { fillList, fillTable } from './tables.js';
import { sentence, words } from './trialwords.js';

/** @param {TrialsAnswer} t @param {import('./trialrows.js').Group[]} groups @param {import('./trialrows.js').Units} units */
export function drawStatistics(t, groups, units) {
  const known = groups.filter((g) => g.stat?.columns?.length);
  set(find('no-statistics'), t.sealed ? words.statistics_sealed : known.length ? '' : words.statistics_none);
  find('statistics-box').hidden = !known.length;
  find('statistics').replaceChildren(head(), ...known.map((g) => body(g, units)));
  const compared = t.table?.comparisons ?? [];
  find('compared').hidden = !compared.length;
  fillTable(find('comparisons'), '', [...comparisonHeads], compared.map((c) => comparisonRow(c, units)));
  const notes = (t.table?.notes ?? []).map(sentence);
  find('notes-box').hidden = !notes.length;
  fillList(find('notes'), notes);
}

function head() {
  const top = make('thead', '');
  const line = make('tr', '');
  for (const text of statHeads) line.append(cell('th', text, 'col'));
  top.append(line);
  return top;
}

/** @param {import('./trialrows.js').Group} group @param {import('./trialrows.js').Units} units */
function body(group, units) {
  const rows = make('tbody', '');
  const title = make('tr', 'group');
  const name = cell('th', groupHead(group), 'rowgroup');
  name.setAttribute('colspan', String(statHeads.length));
  title.append(name);
  rows.append(title, ...(group.stat?.columns ?? []).map((c) => {
    const line = make('tr', '');
    line.append(...statRow(c, units).map((text, i) => cell(i ? 'td' : 'th', text, i ? '' : 'row')));
    return line;
  }));
  return rows;
}

/** @param {string} tag @param {string} text @param {string} scope */
function cell(tag, text, scope) {
  const e = make(tag, '', text);
  if (scope) e.setAttribute('scope', scope);
  return e;
}
