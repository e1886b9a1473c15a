// What the room must know besides the numbers: which bench, whether it is real,
// whether it is live, and the small print.

import { set } from './element.js';
import { calibrationText, haltText, linkText, notes } from './words.js';

const EVERY = 250;

export class Banner {
  /** @param {(id: string) => HTMLElement} find */
  constructor(find) {
    this.bench = find('bench');
    this.virtual = find('virtual');
    this.link = find('link');
    this.calibrated = find('calibrated');
    this.halt = find('halt');
    this.haltTitle = find('halt-title');
    this.haltDetail = find('halt-detail');
    this.older = find('older');
    this.notes = find('notes');
    this.drawn = -Infinity;
    this.why = '';
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    const { why, live } = state.liveness;
    if (why === this.why && now - this.drawn < EVERY) return;
    this.drawn = now;
    this.why = why;
    const name = state.hello?.bench ?? '';
    set(this.bench, name);
    document.title = name ? `${name} · joulewell` : 'joulewell';
    this.virtual.hidden = !(state.status?.virtual ?? state.hello?.virtual);
    set(this.link, linkText(state));
    set(this.calibrated, state.hello ? calibrationText(state.hello.calibrated, Date.now()) : '');
    this.link.dataset.live = String(live);
    this.older.hidden = state.refused.malformed + state.refused.version === 0;
    // A frozen page shows old values on purpose and says so; they are not struck out.
    document.body.dataset.values = state.shows ? 'good' : 'stale';
    document.body.dataset.frozen = String(state.frozen);
    document.body.dataset.sealed = String(state.sealed);
    this.halt.hidden = state.shows || document.body.dataset.part === 'sketch';
    const { title, detail } = haltText(state);
    set(this.haltTitle, title);
    set(this.haltDetail, detail);
    this.drawNotes(notes(state));
  }

  /** @param {string[]} parts */
  drawNotes(parts) {
    while (this.notes.childElementCount < parts.length) this.notes.append(document.createElement('li'));
    while (this.notes.childElementCount > parts.length) this.notes.lastElementChild?.remove();
    parts.forEach((text, i) => set(this.notes.children[i], text));
  }
}
