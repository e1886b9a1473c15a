// Against what a loss is held: a note to unfold, for the pages on which losses stand.

import { ofWhat } from './commonwords.js';
import { find, make } from './element.js';
import { fillList, fold } from './tables.js';

/** Puts the note in its place on the page. */
export function tellOfWhat() {
  const list = make('ul', '');
  fillList(list, ofWhat.each);
  find('of-what').replaceChildren(fold(ofWhat.title, list, make('p', '', ofWhat.same)));
}
