// How the standards were read over time, and what the watch of the idle bench says.

import { controlChart } from './controlchart.js';
import { day, pair } from './figures.js';
import { make } from './element.js';
import { picture } from './svg.js';
import { fold, table, terms } from './tables.js';
import { chartNames, checkTitle, rateText, reasonText } from './upkeepwords.js';

/** Least and largest width, and largest height, of a chart [px]. */
const [NARROW, BROAD, HIGH] = [260, 720, 320];

/**
 * A card with an empty place for its chart: how much room that has shows on the page.
 * @param {import('./controlchart.js').Check} check
 */
export function driftCard(check) {
  const article = make('article', '');
  article.dataset.state = check.state;
  article.append(make('h3', '', checkTitle(check)));
  if (check.state) article.append(make('p', 'state', check.state));
  article.append(make('p', '', reasonText(check)), make('div', 'chart'));
  const [unit, fine] = [`m${check.unit}`, (/** @type {number | null} */ v) => (v === null ? null : 1000 * v)];
  const mean = pair(fine(check.mean), fine(check.sd));
  article.append(terms([
    ['mean', check.mean === null ? '' : `${mean.value} ${unit}, one record scatters by ${mean.u} ${unit}`],
    ['needed', check.needed === null ? '' : `within ${pair(fine(check.needed)).value} ${unit}`], ['drift a month', rateText(check)],
  ]));
  article.append(fold('Records', table('', ['when', `deviation, ${unit}`, `u, ${unit}`, 'note'], check.records.map((r) => {
    const p = pair(fine(r.deviation), fine(r.u));
    return [`${day(r.at)} ${r.at.slice(11, 16)}`, p.value, p.u, r.note];
  }))));
  return article;
}

/** Draws the chart of a card in the room that it has there. @param {Element} card @param {import('./controlchart.js').Check} check */
export function drawChart(card, check) {
  const place = /** @type {HTMLElement} */ (card.querySelector('.chart'));
  const width = Math.round(Math.max(NARROW, Math.min(BROAD, place.clientWidth)));
  const height = Math.round(Math.min(HIGH, 0.6 * width));
  const names = chartNames(check.unit);
  const name = `${checkTitle(check)}, ${names.deviation}: ${check.state || reasonText(check)}`;
  place.replaceChildren(picture(controlChart(check, width, height, names), width, height, name));
}
