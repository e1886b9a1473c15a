// What a group hands in of a trial, and what is said of it: hints, no answers.

import { ask } from './ask.js';
import { find, make, set } from './element.js';
import { fillSelect, offer, sheetPath } from './sheetdesk.js';
import { blankLabel, handedIn, hintText, markHeads, markRow, nothingFilled } from './sheetwords.js';
import { fillList, fillTable } from './tables.js';
import { keyOf } from './trialrows.js';

/** @typedef {{marks: import('./sheetwords.js').SlipMark[], findings: {hint: string, at: string[]}[] | null}} Report */

/** The figures that are filled in. @param {Record<string, string>} typed by result */
export const filled = (typed) => Object.fromEntries(Object.entries(typed).map(([id, text]) => [id, text.trim()]).filter(([, text]) => text));

export class HandDesk {
  /** @param {import('./sheetdesk.js').Act} act */
  constructor(act) {
    this.act = act;
    /** @type {Trial[]} */
    this.trials = [];
    /** @type {Map<string, string>} labels of the blanks */
    this.labels = new Map();
    this.of = ''; // the sheet that the blanks are of
    this.asked = '';
    this.chosen = false; // the trial, by a person
    find('hand-trial').onchange = () => {
      this.chosen = true;
      this.blanks();
    };
    find('hand-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.hand();
    };
  }

  /** @param {TrialsAnswer} t @param {string[]} labels of the trials' groups */
  draw(t, labels) {
    this.trials = t.trials;
    this.asked = JSON.stringify(t.asked ?? null);
    const begun = this.chosen || find('hand-group').value.trim() || Object.keys(filled(this.typed())).length;
    fillSelect(find('hand-trial'), offer(t.trials, labels), !begun);
    const of = t.asked?.run ? keyOf(t.asked) : '';
    if (t.sealed && of) find('hand-trial').value = of;
    this.blanks();
  }

  trial() {
    return this.trials.find((t) => keyOf(t) === find('hand-trial').value);
  }

  /** The blanks of the sheet that was sealed; what was typed in one stays. */
  async blanks() {
    const trial = this.trial();
    find('hand').disabled = !trial;
    const of = trial ? `${keyOf(trial)} ${this.asked}` : '';
    if (of === this.of) return;
    this.of = of;
    const { data, refusal } = trial ? await ask(sheetPath(trial, { form: 'json' })) : { data: { results: [] }, refusal: '' };
    if (of !== this.of) return;
    set(find('hand-refusal'), refusal);
    find('hand').disabled = !trial || Boolean(refusal);
    const results = /** @type {import('./sheetdesk.js').Item[]} */ (data?.results ?? []);
    const typed = this.typed();
    this.labels = new Map(results.map(({ id, label }) => [id, label]));
    find('blanks').replaceChildren(...results.map((item) => blank(item, typed[item.id] ?? '')));
  }

  /** @returns {Record<string, string>} */
  typed() {
    return Object.fromEntries([...find('blanks').querySelectorAll('input, textarea')].map((/** @type {HTMLInputElement} */ e) => [e.name, e.value]));
  }

  async hand() {
    const trial = this.trial();
    const refusal = find('hand-refusal');
    const figures = filled(this.typed());
    if (!trial || !Object.keys(figures).length) return set(refusal, nothingFilled);
    const report = await this.act('hand-in', { run: trial.run, index: trial.index, group: find('hand-group').value.trim(), figures }, '', refusal);
    if (report) this.report(report, figures);
  }

  /** @param {Report} report @param {Record<string, string>} figures */
  report(report, figures) {
    const right = report.marks.filter((m) => m.verdict === 'right' || m.verdict === 'follows').length;
    find('slips').hidden = false;
    fillTable(find('marks'), handedIn(right, report.marks.length), [...markHeads], report.marks.map((m) => markRow(m, figures, this.labels)));
    fillList(find('hints'), (report.findings ?? []).map((f) => hintText(f, this.labels)));
    find('slips-title').focus();
  }
}

/** @param {import('./sheetdesk.js').Item} item @param {string} typed */
function blank({ id, label, unit }, typed) {
  const input = /** @type {HTMLInputElement} */ (document.createElement(unit ? 'input' : 'textarea'));
  if (unit) input.type = 'text';
  input.id = `blank-${id}`;
  input.name = id;
  input.autocomplete = 'off';
  input.value = typed;
  const text = make('label', '', blankLabel(label, unit));
  text.setAttribute('for', input.id);
  const line = make('p', '');
  line.append(text, input);
  return line;
}
