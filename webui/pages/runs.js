// Starting and stopping runs. What gives commands is loaded with the first one: most who
// look at the page give none.

import { unreachable } from './commonwords.js';
import { set } from './element.js';
import { runText, words } from './words.js';

const EVERY = 250;

export class Runs {
  /** @param {(id: string) => any} find @param {State} state */
  constructor(find, state) {
    this.state = state;
    this.button = find('run');
    this.note = find('note');
    this.line = find('run-state');
    this.drawn = -Infinity;
    this.refusal = '';
    /** @type {import('./ask.js').Commander | null} */
    this.commander = null;
    find('run-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.toggle(find);
    };
  }

  /** @param {(id: string) => any} find */
  async toggle(find) {
    const active = this.state.status?.run.active;
    this.button.disabled = true;
    try {
      const { Commander } = await import('./ask.js');
      this.commander ??= new Commander(find, (refusal) => this.tell(refusal));
      await this.commander.order(`/api/run/${active ? 'stop' : 'start'}`, active ? {} : { note: this.note.value }, ({ refusal }) => {
        this.tell(refusal);
        if (!refusal && !active) this.note.value = '';
      });
    } catch {
      this.tell(unreachable);
    }
    this.button.disabled = false;
  }

  /** @param {string} refusal why a command was not obeyed; empty when it was */
  tell(refusal) {
    this.refusal = refusal;
    this.drawn = -Infinity;
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (now - this.drawn < EVERY) return;
    this.drawn = now;
    const run = state.status?.run;
    set(this.button, run?.active ? words.run_stop : words.run_start);
    this.note.hidden = Boolean(run?.active);
    set(this.line, this.refusal || runText(run));
    this.line.dataset.trouble = String(Boolean(this.refusal || run?.trouble || run?.lost));
  }
}
