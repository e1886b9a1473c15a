// The elements of the sketch: its controls and its chart.

import { make, pushButton } from './element.js';
import { sketchWords } from './morewords.js';

/** @param {HTMLElement} root */
export function build(root) {
  const form = document.createElement('form');
  form.id = 'sketch-desk';
  form.onsubmit = (event) => event.preventDefault();
  const choices = named(make('span', ''), 'choices');
  choices.role = 'group';
  choices.setAttribute('aria-label', sketchWords.which);
  const clear = pushButton(sketchWords.clear, () => {});
  clear.removeAttribute('aria-pressed');
  const arm = /** @type {HTMLButtonElement} */ (named(pushButton(sketchWords.arm, () => {}), 'arm'));
  const state = named(make('span', ''), 'state');
  state.role = 'status';
  const seconds = input(form, choices, 'seconds');
  const top = input(form, null, 'top');
  form.append(clear, arm, state);
  const how = named(make('p', 'unseen', sketchWords.how), 'how');
  const canvas = /** @type {HTMLCanvasElement} */ (named(document.createElement('canvas'), 'canvas'));
  canvas.tabIndex = 0;
  canvas.role = 'application';
  canvas.setAttribute('aria-label', sketchWords.name);
  canvas.setAttribute('aria-describedby', how.id);
  const place = named(make('div', ''), 'place');
  place.append(canvas);
  root.append(form, place, how);
  return { canvas, choices, clear, arm, state, seconds, top };
}

/**
 * A labelled field for a number, appended to the form after what comes before it.
 * @param {HTMLFormElement} form @param {HTMLElement | null} before @param {'seconds' | 'top'} name
 */
function input(form, before, name) {
  const label = make('label', '', `${sketchWords[name]} `);
  const field = /** @type {HTMLInputElement} */ (named(document.createElement('input'), name));
  field.type = 'text';
  field.inputMode = 'decimal';
  field.autocomplete = 'off';
  label.append(field);
  form.append(...(before ? [before] : []), label);
  return field;
}

/** @template {HTMLElement} E @param {E} element @param {string} name @returns {E} */
function named(element, name) {
  element.id = `sketch-${name}`;
  return element;
}
