// What the trials come to, beside and below their table: chart, statistics, the desks for
// sheets. It is loaded when the first rows are seen.

import { find } from './element.js';
import { HandDesk } from './handdesk.js';
import { SheetDesk } from './sheetdesk.js';
import { drawStatistics } from './statview.js';
import { keyOf, offered, seriesOf, unitOf } from './trialrows.js';
import { TrialChartView } from './trialchartview.js';
import { chartName, heads, quantityNames, words } from './trialwords.js';

/** @typedef {{answer: TrialsAnswer, groups: import('./trialrows.js').Group[], labels: string[], units: import('./trialrows.js').Units}} Drawn labels: of the groups, trial by trial */

export class Rest {
  /** @param {import('./sheetdesk.js').Act} act @param {(key: string) => void} goTo opens a trial in the table */
  constructor(act, goTo) {
    /** @type {Drawn | null} */
    this.drawn = null;
    this.desks = [new SheetDesk(act), new HandDesk(act)];
    this.chart = new TrialChartView(find('chart'), (at) => this.drawn && goTo(keyOf(this.drawn.answer.trials[at])));
    find('quantity').onchange = () => this.drawChart();
    new ResizeObserver(() => this.chart.width !== find('chart').clientWidth && this.drawChart()).observe(find('chart'));
  }

  /** @param {Drawn} drawn */
  draw(drawn) {
    this.drawn = drawn;
    const { answer, groups, labels, units } = drawn;
    drawStatistics(answer, groups, units);
    for (const desk of this.desks) desk.draw(answer, labels);
    this.offer();
    this.drawChart();
  }

  /** Offers what may be seen of the quantities. */
  offer() {
    const select = find('quantity');
    const names = offered(this.drawn?.answer.sealed ?? true).map((q) => q.key);
    if (names.join() === [...select.options].map((o) => o.value).join()) return;
    const { value } = select;
    select.replaceChildren(...names.map((key) => new Option(quantityNames[key], key)));
    if (names.includes(value)) select.value = value;
  }

  drawChart() {
    if (!this.drawn) return;
    const { answer: { trials, sealed }, groups, units } = this.drawn;
    const q = offered(sealed).find((o) => o.key === find('quantity').value);
    if (!q) return;
    const { name, factor } = unitOf(q, units);
    const what = quantityNames[q.key];
    this.chart.draw(seriesOf(trials, groups, q, factor), trials.length, { what, unit: name, along: heads.number, name: chartName(what), none: words.no_chart });
  }
}
