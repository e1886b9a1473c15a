// One polite line for the screen reader: what happened, then the newest state; at most
// once a second.

import { set } from './element.js';

const EVERY = 1000;

export class Voice {
  /** @param {Element} line @param {{setTimeout: (f: () => void, ms: number) => unknown, now: () => number}} [around] for tests */
  constructor(line, around = { setTimeout: (f, ms) => setTimeout(f, ms), now: () => performance.now() }) {
    this.line = line;
    this.around = around;
    /** @type {string[]} */
    this.events = [];
    this.state = '';
    this.said = -Infinity;
    this.waits = false;
  }

  /** @param {string} text is said, however soon after another */
  tell(text) {
    this.events.push(text);
    this.wait();
  }

  /** @param {string} text is said unless another state comes first */
  now(text) {
    this.state = text;
    this.wait();
  }

  /** Takes back what was told, said already or not. */
  forget() {
    this.events = [];
    set(this.line, '');
  }

  wait() {
    if (this.waits) return;
    this.waits = true;
    this.around.setTimeout(() => this.say(), Math.max(0, this.said + EVERY - this.around.now()));
  }

  say() {
    this.waits = false;
    this.said = this.around.now();
    set(this.line, [...this.events, this.state].filter(Boolean).join(' '));
    this.events = [];
    this.state = '';
  }
}
