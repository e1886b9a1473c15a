// The settings, each a question with its answers.

import { make } from './element.js';
import { choices } from './morewords.js';
import { CHOICES } from './settings.js';

/** @param {(id: string) => any} find @param {State} state @param {Paper} _ @param {Desk} desk */
export function open(find, state, _, desk) {
  /** @type {HTMLSelectElement[]} */
  const selects = [];
  for (const [name, allowed] of Object.entries(CHOICES)) {
    const [question, answers] = choices[name];
    const label = make('label', '', question);
    const select = document.createElement('select');
    select.name = name;
    for (const value of [...allowed].sort(byNumber)) select.append(new Option(answers[value], value));
    select.onchange = () => desk.choose({ [name]: select.value });
    selects.push(select);
    label.append(select);
    find('settings').append(label);
  }
  desk.chosen = () => {
    for (const select of selects) select.value = String(/** @type {any} */ (state.settings)[select.name]);
  };
  desk.chosen();
  return [];
}

/** Numbers in order of size, words as they stand. @param {string} a @param {string} b */
const byNumber = (a, b) => Number(a) - Number(b) || 0;
