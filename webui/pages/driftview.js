// How the standards were read over time, and what the watch of the idle bench says.

import { controlChart } from './controlchart.js';
import { day, pair } from './figures.js';
import { make } from './element.js';
import { picture } from './svg.js';
import { fold, table, terms } from './tables.js';
import { chartNames, checkTitle, rateText } from './upkeepwords.js';

/**
 * @param {import('./controlchart.js').Check} check
 * @param {number} width [px] of the chart
 */
export function driftCard(check, width) {
  const article = make('article', '');
  article.dataset.state = check.state;
  const names = chartNames(check.unit);
  const title = checkTitle(check);
  article.append(make('h3', '', title));
  if (check.state) article.append(make('p', 'state', check.state));
  article.append(make('p', '', check.state ? check.reason.replace(`${check.state}: `, '') : check.reason));
  article.append(picture(controlChart(check, width, Math.round(Math.min(320, 0.6 * width)), names), width, Math.round(Math.min(320, 0.6 * width)), `${title}, ${names.deviation}: ${check.state || check.reason}`));
  const [unit, fine] = [`m${check.unit}`, (/** @type {number | null} */ v) => (v === null ? null : 1000 * v)];
  const mean = pair(fine(check.mean), fine(check.sd));
  article.append(terms([
    ['mean', check.mean === null ? '' : `${mean.value} ${unit}, one record scatters by ${mean.u} ${unit}`],
    ['needed', check.needed === null ? '' : `within ${pair(fine(check.needed)).value} ${unit}`], ['trend', rateText(check)],
  ]));
  article.append(fold('Records', table('', ['when', `deviation, ${unit}`, `u, ${unit}`, 'note'], check.records.map((r) => {
    const p = pair(fine(r.deviation), fine(r.u));
    return [`${day(r.at)} ${r.at.slice(11, 16)}`, p.value, p.u, r.note];
  }))));
  return article;
}
