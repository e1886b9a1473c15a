// The Balance page: readings of two states, and what they come to.

import { ask, command } from './ask.js';
import { follow, lineText, NOTHING, silence } from './benchline.js';
import {
  budgetHead, budgetRow, energyHead, energyRows, fieldOf, GROUPS, labelOf, oldText, readingsOf, unitFor, words,
} from './balancewords.js';
import { fillPages, fillWords, find, make, set } from './element.js';
import { PAGES } from './nav.js';
import { tellOfWhat } from './ofwhat.js';
import { picture } from './svg.js';
import { fillList, fillTable } from './tables.js';

/** Length and height [px] of the bar of a share. */
const BAR = [160, 16];

/** @typedef {import('./balancewords.js').Field} Field */

class Page {
  constructor() {
    /** @type {Field[]} */
    this.fields = [];
    /** @type {Map<string, {input: HTMLInputElement, refusal: HTMLElement}>} */
    this.inputs = new Map();
    /** When the bench's readings were taken from it. @type {Date | null} */
    this.taken = null;
    this.heard = NOTHING;
    find('form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.compare();
    };
    find('again').onclick = () => this.fill();
  }

  async open() {
    const fields = await ask('/api/balance');
    set(find('refusal'), fields.refusal);
    if (fields.data) this.taken = new Date();
    this.fields = fields.data?.fields ?? [];
    for (const group of GROUPS) {
      const set = make('fieldset', group.title.toLowerCase());
      set.append(make('legend', '', group.title));
      for (const f of this.fields) if (group.holds(f.name)) set.append(this.field(f));
      find('groups').append(set);
    }
    this.fill();
    this.mark();
    follow((heard) => this.hear(heard));
  }

  /** @param {import('./benchline.js').Heard} heard */
  hear(heard) {
    const back = !silence(heard) && silence(this.heard) && this.heard !== NOTHING;
    this.heard = heard;
    set(find('bench'), heard.bench ? `${heard.bench}: balance` : 'Balance');
    find('virtual').hidden = !heard.virtual;
    set(find('link'), lineText(heard));
    find('link').dataset.live = String(!silence(heard));
    if (back) this.renew();
    else this.mark();
  }

  /** Takes the bench's readings anew; what was typed over them stays. */
  async renew() {
    const { data } = await ask('/api/balance');
    if (data) {
      this.taken = new Date();
      for (const f of this.fields) {
        const { input } = this.input(f.name);
        const now = data.fields.find((/** @type {Field} */ other) => other.name === f.name)?.reading ?? '';
        if (input.value === f.reading) input.value = now;
        f.reading = now;
      }
    }
    this.mark();
  }

  /** Marks what came from the bench as old while nothing comes from it. */
  mark() {
    const why = this.heard.bench ? silence(this.heard) : '';
    find('old').hidden = !why;
    set(find('old'), why && oldText(why, this.taken));
    find('groups').dataset.old = String(Boolean(why));
    for (const f of this.fields) {
      const { input } = this.input(f.name);
      input.dataset.bench = String(f.reading !== '' && input.value === f.reading);
    }
  }

  /** @param {Field} f */
  field(f) {
    const place = make('p', 'field');
    const input = document.createElement('input');
    input.type = 'text';
    input.id = `reading-${f.name}`;
    input.autocomplete = 'off';
    const label = make('label', '', labelOf(f));
    label.setAttribute('for', input.id);
    const help = make('small', '', f.help);
    help.id = `help-${f.name}`;
    const refusal = make('span', 'refusal');
    refusal.id = `refusal-${f.name}`;
    input.setAttribute('aria-describedby', `${refusal.id} ${help.id}`);
    this.inputs.set(f.name, { input, refusal });
    place.append(label, input, refusal, help);
    return place;
  }

  /** Sets the bench's readings; what was typed for the states stays. */
  fill() {
    for (const f of this.fields) {
      const { input } = this.input(f.name);
      if (f.reading || !/^(start|end)-/.test(f.name)) input.value = f.reading;
    }
  }

  /** @param {string} name */
  input(name) {
    const found = this.inputs.get(name);
    if (!found) throw new Error(`the form has no field ${name}`);
    return found;
  }

  async compare() {
    const typed = Object.fromEntries([...this.inputs].map(([name, { input }]) => [name, input.value]));
    const answer = await command('/api/balance', { readings: readingsOf(this.fields, typed), swinging: find('swinging').checked });
    const at = answer.refusal ? fieldOf(answer.refusal, this.fields) : '';
    for (const [name, { input, refusal }] of this.inputs) {
      input.setAttribute('aria-invalid', String(name === at));
      set(refusal, name === at ? answer.refusal : '');
    }
    set(find('refusal'), at ? '' : answer.refusal);
    find('result').hidden = Boolean(answer.refusal);
    if (at) this.input(at).input.focus();
    if (!answer.refusal) this.show(answer.data);
  }

  /** @param {any} report */
  show(report) {
    set(find('verdict'), sentence(report.verdict));
    fillList(find('contradictions'), report.contradictions);
    find('against').hidden = !report.contradictions.length;
    const unit = unitFor(report.energies);
    fillTable(find('energies'), '', energyHead(unit.name), energyRows(report.energies, unit));
    const largest = Math.max(...report.budget.map((/** @type {any} */ s) => s.share));
    fillTable(find('budget'), '', budgetHead, report.budget.filter((/** @type {any} */ s) => s.share > 0).map((/** @type {any} */ s) => [...budgetRow(s), bar(s.share / largest)]));
    set(find('advice'), sentence(report.advice));
    fillList(find('notes'), report.notes);
    find('verdict').focus();
    find('result').scrollIntoView();
  }
}

/** @param {string} text */
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** A bar; the figure stands beside it, so it is nothing to a screen reader. @param {number} share of the longest */
function bar(share) {
  const [width, height] = BAR;
  const svg = picture([
    { tag: 'rect', class: 'room', at: { x: 0.5, y: 0.5, width: width - 1, height: height - 1 } },
    { tag: 'rect', class: 'share', at: { x: 0, y: 0, width: share * width, height } },
  ], width, height, '');
  svg.setAttribute('aria-hidden', 'true');
  return svg;
}

fillWords(words);
fillPages(find('pages'), PAGES);
tellOfWhat();
new Page().open();
