// Asks before what cannot be taken back.

import { find, set } from './element.js';
import { fillList } from './tables.js';

/** @param {string} title @param {string[]} lines @param {string} yes @returns {Promise<boolean>} */
export function confirm(title, lines, yes) {
  const dialog = find('confirm');
  set(find('confirm-title'), title);
  fillList(find('confirm-lines'), lines);
  set(find('confirm-yes'), yes);
  dialog.returnValue = '';
  dialog.showModal();
  return new Promise((resolve) => {
    dialog.onclose = () => resolve(dialog.returnValue === 'yes');
  });
}
