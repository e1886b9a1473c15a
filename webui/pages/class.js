// The Class page: what the groups of several benches found, beside each other.

import { ask } from './ask.js';
import { classPlot, heightOf } from './classplot.js';
import { benchHead, benchRow, chartName, groupHead, groupRow, meanTerms, troublesOf, unitOf, words } from './classwords.js';
import { fillPages, fillWords, find, make, set } from './element.js';
import { PAGES } from './nav.js';
import { tellOfWhat } from './ofwhat.js';
import { picture } from './svg.js';
import { fillList, fillTable, table, terms } from './tables.js';

/** Width [px] in which a chart is reckoned; it is shown as wide as there is room. */
const WIDTH = 460;
/** What the daemon answers where no folders were named at its start: there is nothing to show then. */
const NO_FOLDERS = 404;
/** How often [ms] the folders are looked at while the page is seen. */
const EVERY = 20_000;

/** @typedef {import('./classwords.js').Quantity} Quantity */

/** What is shown; where nothing has changed nothing is made anew, and who reads stays where they are. */
let shown = '';

async function look() {
  const answer = await ask('/api/class');
  set(find('refusal'), answer.refusal);
  find('csv').hidden = Boolean(answer.refusal);
  for (const part of document.querySelectorAll('main > section')) part.toggleAttribute('hidden', answer.status === NO_FOLDERS);
  const text = answer.refusal ? '' : JSON.stringify(answer.data);
  if (text === shown) return;
  shown = text;
  if (answer.refusal) { // what was read before may be sealed now
    for (const id of ['benches', 'troubles', 'quantities', 'notes']) find(id).replaceChildren();
    return;
  }
  const { benches, quantities, notes } = answer.data;
  fillTable(find('benches'), '', benchHead, benches.map(benchRow));
  fillList(find('troubles'), troublesOf(benches));
  find('quantities').replaceChildren(...quantities.map(section));
  fillList(find('notes'), notes);
}

/** @param {Quantity} q */
function section(q) {
  const place = make('section', '');
  const title = make('h2', '', q.label[0].toUpperCase() + q.label.slice(1));
  title.id = `title-${q.key}`;
  place.setAttribute('aria-labelledby', title.id);
  const { name, factor } = unitOf(q);
  const common = q.mean === null || q.chosen ? null : { mean: q.mean, U: q.U };
  const chart = picture(classPlot(q.groups, common, factor, WIDTH, `${q.label} / ${name}`), WIDTH, heightOf(q.groups.length), chartName(q));
  const rows = table('', groupHead(name), q.groups.map((g) => groupRow(g, factor, q.mean !== null)));
  rows.tabIndex = 0; // on a phone it is scrolled, by keys too
  rows.setAttribute('role', 'region');
  rows.setAttribute('aria-labelledby', title.id);
  const numbers = make('div', '');
  numbers.append(rows, terms(meanTerms(q, factor)));
  const beside = make('div', 'beside');
  beside.append(chart, numbers);
  place.append(title, ...(q.sentence ? [make('p', 'says', q.sentence[0].toUpperCase() + q.sentence.slice(1))] : []), beside);
  return place;
}

fillWords(words);
fillPages(find('pages'), PAGES);
tellOfWhat();
find('csv').href = '/api/class.csv';
find('again').onclick = look;
setInterval(() => {
  if (!document.hidden) look();
}, EVERY);
look();
