// Starting and stopping runs, and giving the bench key where the daemon asks for it.

import { set } from './element.js';
import { runRefused, runText, runUnreachable, words } from './words.js';

const EVERY = 250;

export class Runs {
  /** @param {(id: string) => any} find @param {State} state */
  constructor(find, state) {
    this.state = state;
    this.button = find('run');
    this.note = find('note');
    this.keyForm = find('key-form');
    this.key = find('key');
    this.line = find('run-state');
    this.drawn = -Infinity;
    this.changed = true;
    this.refusal = '';
    find('run-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.toggle();
    };
    this.keyForm.onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.giveKey();
    };
  }

  async toggle() {
    const active = this.state.status?.run.active;
    this.button.disabled = true;
    const status = await this.post(`/api/run/${active ? 'stop' : 'start'}`, active ? {} : { note: this.note.value });
    this.button.disabled = false;
    const done = status >= 200 && status < 300;
    if (done && !active) this.note.value = '';
    if (status !== 401) return;
    this.keyForm.hidden = false;
    this.key.focus();
  }

  /** The daemon answers with a cookie that no script can read; then the run is tried again. */
  async giveKey() {
    const status = await this.post('/api/key', { key: this.key.value });
    this.key.value = '';
    if (status >= 300 || status === 0) return;
    this.keyForm.hidden = true;
    await this.toggle();
  }

  /**
   * @param {string} path @param {object} body
   * @returns {Promise<number>} the answer's status, 0 when there was none
   */
  async post(path, body) {
    this.refusal = '';
    this.changed = true;
    try {
      const answer = await fetch(path, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify(body),
      });
      if (!answer.ok) {
        const problem = await answer.json().catch(() => ({}));
        this.refusal = runRefused(problem.detail || problem.title || answer.statusText);
      }
      return answer.status;
    } catch {
      this.refusal = runUnreachable;
      return 0;
    } finally {
      this.changed = true;
    }
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (!this.changed && now - this.drawn < EVERY) return;
    this.drawn = now;
    this.changed = false;
    const run = state.status?.run;
    set(this.button, run?.active ? words.run_stop : words.run_start);
    this.note.hidden = Boolean(run?.active);
    set(this.line, this.refusal || runText(run));
    this.line.dataset.trouble = String(Boolean(this.refusal || run?.trouble || run?.lost));
  }
}
