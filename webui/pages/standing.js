// How each kind of calibration stands, as cards.

import { day, pair } from './figures.js';
import { make } from './element.js';
import { fillList, fold, table, terms } from './tables.js';
import { dateText, parts, standingText, steps, words } from './upkeepwords.js';

/** A value of the book: digits as they stand there. @param {unknown} v */
const plain = (v) => (typeof v === 'number' && v !== 0 && Math.abs(v) < 1e-4 ? pair(v).value : Array.isArray(v) ? `${v.length} values` : String(v ?? ''));

/**
 * @param {any} s one kind of GET /api/upkeep
 * @param {boolean} mayBegin a calibration of it can be begun now
 * @param {(kind: string) => void} begin
 */
export function card(s, mayBegin, begin) {
  const article = make('article', '');
  article.id = `kind-${s.kind}`;
  const { word, look, why } = standingText(s);
  article.dataset.look = String(look);
  article.append(make('h3', '', parts[s.kind]), make('p', 'state', `${look ? '\u25b2 ' : ''}${word}`));
  if (why) article.append(make('p', '', `${why[0].toUpperCase()}${why.slice(1)}`));
  if (s.entry) article.append(...entry(s));
  if (s.kind === 'timing') article.append(make('p', '', steps.timing));
  else if (mayBegin) {
    const button = /** @type {HTMLButtonElement} */ (make('button', '', `${words.begin}: ${parts[s.kind].toLowerCase()}`));
    button.type = 'button';
    button.id = `begin-${s.kind}`;
    button.onclick = () => begin(s.kind);
    article.append(button);
  }
  return article;
}

/** @param {any} s */
function entry(s) {
  const { entry: e } = s;
  const all = [terms([['done', dateText(e.date, s.age_h)], ['due', day(e.due)], ['by', e.by], ['note', e.note]])];
  if (e.warnings?.length) {
    const list = make('ul', 'doubts');
    fillList(list, e.warnings);
    all.push(fold(`Doubts: ${e.warnings.length}`, list));
  }
  const keys = [...new Set([...Object.keys(e.as_left), ...Object.keys(e.as_found ?? {})])];
  const values = table('', ['of the bench file', 'as found', 'as left'], keys.map((k) => [k, plain(e.as_found?.[k]), plain(e.as_left[k])]));
  const inside = [make('p', '', e.method), values];
  if (e.points?.length) {
    const columns = [...new Set(e.points.flatMap((/** @type {object} */ p) => Object.keys(p)))];
    inside.push(table('', ['point', ...columns], e.points.map((/** @type {any} */ p, /** @type {number} */ i) => [String(i + 1), ...columns.map((c) => plain(p[c]))])));
  }
  all.push(fold('What was done and found', ...inside));
  return all;
}
