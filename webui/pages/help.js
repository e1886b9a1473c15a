// The list of keys, made from the commands.

import { COMMANDS } from './commands.js';
import { make } from './element.js';
import { commandWords, keyNames, partAlone } from './morewords.js';
import { partNames } from './words.js';

/**
 * Fills the list; nothing in it changes.
 * @param {(id: string) => any} find
 */
export function open(find) {
  const table = /** @type {HTMLTableElement} */ (find('help-keys'));
  for (const word of new Set(COMMANDS.map((c) => c.word))) {
    const row = table.insertRow();
    const keys = row.insertCell();
    for (const { key } of COMMANDS.filter((c) => c.word === word)) keys.append(make('kbd', '', keyNames[key] ?? key.toUpperCase()), ' ');
    row.insertCell().textContent = commandWords[word] ?? partAlone(partNames[word]);
  }
  return [];
}
