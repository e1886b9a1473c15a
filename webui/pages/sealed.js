// While results are sealed: what is read, and why there is nothing else.

import { make, set } from './element.js';
import { sealedWords } from './morewords.js';
import { ABSENT, decimal } from './numbers.js';
import { words } from './words.js';

/** Least time [ms] between two changes of a digit. */
const EVERY = 250;
/** Parts of the page that show energies. */
const OF_ENERGIES = ['column', 'well', 'energies'];

/** What is read: its name, column, unit, and the decimals that its sensor is worth. */
export const READINGS = Object.freeze([
  { name: sealedWords.height, field: 'height_m', unit: words.metres, decimals: 3 },
  { name: words.extension, field: 'extension_m', unit: words.metres, decimals: 3 },
  { name: words.force, field: 'force_N', unit: words.newtons, decimals: 2 },
]);

/** The readings as text; nothing of what is not live. @param {State} state */
export const readings = ({ shows, sample }) => READINGS.map(({ field, decimals }) => (shows && sample ? decimal(sample[field], decimals) : ABSENT));

/** @param {(id: string) => any} find @param {State} _ @param {Paper} __ @param {Desk} desk */
export const open = (find, _, __, desk) => [new Sealed(find('sum'), desk)];

class Sealed {
  /** @param {HTMLElement} sum whose place the readings take @param {Desk} desk */
  constructor(sum, desk) {
    this.desk = desk;
    this.drawn = -Infinity;
    const root = make('div', '');
    root.id = 'sealed';
    root.append(make('p', '', sealedWords.why));
    this.values = READINGS.map(({ name, unit }) => {
      const cell = make('div', 'cell');
      const figure = make('div', 'figure');
      const value = make('span', 'value', ABSENT);
      figure.append(value, make('span', 'unit', unit));
      cell.append(make('div', 'head', name), figure);
      root.append(cell);
      return value;
    });
    sum.after(root);
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (!state.sealed || now - this.drawn < EVERY) return;
    this.drawn = now;
    if (OF_ENERGIES.includes(document.body.dataset.part ?? '')) this.desk.lookAt('all');
    readings(state).forEach((text, i) => set(this.values[i], text));
  }
}
