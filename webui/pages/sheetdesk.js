// The worksheet of a trial: what is on it, its key, its seal.

import { ask } from './ask.js';
import { confirm } from './confirm.js';
import { find, make, set } from './element.js';
import { decimal } from './numbers.js';
import { askOpen, digitsNeeded, nothingAsked, openedNow, sealedNow, sheetWords, trialName } from './sheetwords.js';
import { keyOf } from './trialrows.js';
import { timeText } from './trialwords.js';

/** Significant digits that can be asked for. */
const DIGITS = [2, 3, 4, 5, 6];
/** Trials that a list offers, the newest. */
const OFFERED = 200;

/** @typedef {(name: string, body: object, done: string, refusal: HTMLElement) => Promise<any>} Act answers with what came back, or null */
/** @typedef {{id: string, label: string, unit: string}} Item */
/** @typedef {{readings: Item[], results: Item[]}} Sheet */

/**
 * Where the sheet of a trial is. What is not said of it is as it was sealed; empty lists
 * are everything there is.
 * @param {{run: string, index: number}} trial @param {{print?: string[], ask?: string[], digits?: number, key?: number, form?: string}} [more]
 */
export function sheetPath(trial, more = {}) {
  const query = new URLSearchParams({ run: trial.run, index: String(trial.index) });
  for (const [name, value] of Object.entries(more)) query.set(name, String(value));
  return `/api/trials/sheet?${query}`;
}

/** What was chosen of a list; all of it is said by nothing. @param {string[]} checked @param {Item[]} list */
export const chosen = (checked, list) => (checked.length === list.length ? [] : checked);

/** The newest trials to choose from, the newest first. @param {Trial[]} trials @param {string[]} labels of their groups @returns {[string, string][]} keys and names */
export function offer(trials, labels) {
  const first = Math.max(0, trials.length - OFFERED);
  return trials.slice(first).map((t, i) => /** @type {[string, string]} */ ([
    keyOf(t), trialName(decimal(first + i + 1, 0), timeText(t, new Date()), labels[first + i]),
  ])).reverse();
}

/**
 * Fills a list anew only where it differs; what was chosen stays.
 * @param {HTMLSelectElement} select @param {[string, string][]} options @param {boolean} follow who had the first has the new first
 */
export function fillSelect(select, options, follow) {
  if (options.map(([, name]) => name).join('\n') === [...select.options].map((o) => o.text).join('\n')) return;
  const { value, selectedIndex } = select;
  select.replaceChildren(...options.map(([key, name]) => new Option(name, key)));
  if (!(follow && selectedIndex <= 0) && options.some(([key]) => key === value)) select.value = value;
}

export class SheetDesk {
  /** @param {Act} act */
  constructor(act) {
    this.act = act;
    /** @type {Trial[]} */
    this.trials = [];
    this.sealed = false;
    /** @type {Sheet | null} all that the trial's sheet can hold */
    this.whole = null;
    this.of = ''; // the trial it is of
    this.asked = 0;
    this.shown = ''; // what the links are of
    find('digits').append(new Option(digitsNeeded, '0'), ...DIGITS.map((n) => new Option(decimal(n, 0), String(n))));
    find('sheet-form').onchange = () => this.choose();
    find('sheet-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.seal();
    };
    find('open').onclick = () => this.open();
  }

  /** @param {TrialsAnswer} t @param {string[]} labels of the trials' groups */
  draw(t, labels) {
    this.trials = t.trials;
    this.sealed = t.sealed;
    fillSelect(find('sheet-trial'), offer(t.trials, labels), true);
    find('key-sealed').hidden = find('open').hidden = !t.sealed;
    find('seal').hidden = t.sealed;
    this.choose();
  }

  trial() {
    return this.trials.find((t) => keyOf(t) === find('sheet-trial').value);
  }

  choice() {
    const { readings = [], results = [] } = this.whole ?? {};
    return { print: chosen(checked(find('print')), readings), ask: chosen(checked(find('ask')), results), digits: Number(find('digits').value) };
  }

  /** Shows what the choice comes to: the sheet and its key, or why there can be none. */
  async choose() {
    const trial = this.trial();
    const n = ++this.asked;
    find('choice').hidden = !trial;
    if (!trial) return this.links(null, '');
    if (this.of !== keyOf(trial)) {
      const { data, refusal } = await ask(sheetPath(trial, { print: [], ask: [], form: 'json' }));
      if (n !== this.asked) return;
      if (refusal) return this.links(null, refusal);
      this.of = keyOf(trial);
      this.whole = data;
      checks(find('print'), data.readings);
      checks(find('ask'), data.results);
    }
    if (!checked(find('ask')).length) return this.links(null, nothingAsked);
    const path = sheetPath(trial, this.choice());
    if (path === this.shown) return this.links(trial, '');
    const { refusal } = await ask(`${path}&form=json`);
    if (n !== this.asked) return;
    this.shown = refusal ? '' : path;
    this.links(refusal ? null : trial, refusal);
  }

  /** @param {Trial | null} trial none = there is no such sheet @param {string} refusal */
  links(trial, refusal) {
    set(find('sheet-refusal'), refusal);
    find('sheet-link').hidden = !trial;
    find('key-link').hidden = !trial || this.sealed;
    find('seal').disabled = Boolean(refusal);
    if (!trial) return;
    find('sheet-link').href = sheetPath(trial, this.choice());
    find('key-link').href = sheetPath(trial, { ...this.choice(), key: 1 });
  }

  seal() {
    return this.act('seal', this.choice(), sealedNow, find('sheet-refusal'));
  }

  async open() {
    if (await confirm(askOpen.title, askOpen.lines, sheetWords.yes_open)) await this.act('open', {}, openedNow, find('sheet-refusal'));
  }
}

/** Boxes for a list; what was unchecked stays so. @param {HTMLElement} place @param {Item[]} list */
function checks(place, list) {
  const off = new Set([...place.querySelectorAll('input')].filter((e) => !e.checked).map((e) => e.value));
  place.replaceChildren(...list.map(({ id, label }) => {
    const box = document.createElement('input');
    box.type = 'checkbox';
    box.value = id;
    box.checked = !off.has(id);
    const line = make('label', 'check');
    line.append(box, make('span', '', label));
    return line;
  }));
}

/** @param {HTMLElement} place @returns {string[]} */
const checked = (place) => [...place.querySelectorAll('input')].filter((e) => e.checked).map((e) => e.value);
