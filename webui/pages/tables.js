// Tables, lists and pairs of terms, filled anew only where they differ.

import { make } from './element.js';

/** A cell: a text, or an element. @typedef {string | Element} Cell */

/** @param {HTMLTableElement} table @param {string} caption @param {string[]} head @param {Cell[][]} rows */
export function fillTable(table, caption, head, rows) {
  const top = make('thead', '');
  const line = make('tr', '');
  for (const text of head) {
    const th = make('th', '', text);
    th.setAttribute('scope', 'col');
    line.append(th);
  }
  top.append(line);
  const body = make('tbody', '');
  for (const row of rows) {
    const tr = make('tr', '');
    row.forEach((cell, i) => {
      const td = make(i ? 'td' : 'th', '');
      if (!i) td.setAttribute('scope', 'row');
      td.append(cell);
      tr.append(td);
    });
    body.append(tr);
  }
  table.replaceChildren(...(caption ? [make('caption', '', caption)] : []), top, body);
}

/** @param {string} caption @param {string[]} head @param {Cell[][]} rows */
export function table(caption, head, rows) {
  const t = /** @type {HTMLTableElement} */ (make('table', ''));
  fillTable(t, caption, head, rows);
  const place = make('div', 'scroll');
  place.append(t);
  return place;
}

/** @param {HTMLElement} list @param {string[]} texts */
export function fillList(list, texts) {
  list.replaceChildren(...texts.map((text) => make('li', '', text)));
  list.hidden = texts.length === 0;
}

/** Terms with what they are; those of which nothing is known are left out. @param {[string, string][]} pairs */
export function terms(pairs) {
  const dl = make('dl', '');
  for (const [term, text] of pairs) if (text) dl.append(make('dt', '', term), make('dd', '', text));
  return dl;
}

/** @param {string} title @param {...Element} inside */
export function fold(title, ...inside) {
  const details = make('details', '');
  const body = make('div', 'folded');
  body.append(...inside);
  details.append(make('summary', '', title), body);
  return details;
}
