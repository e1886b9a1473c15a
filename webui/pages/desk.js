// The controls at the desk: freeze and step, runs, settings.

import { decimal } from './numbers.js';
import { CHOICES, save, settle } from './settings.js';
import { beforeFreeze, choices, runRefused, runText, runUnreachable, words } from './words.js';

/** @typedef {import('./state.js').State} State */

const EVERY = 250;

export class Desk {
  /**
   * @param {(id: string) => any} find
   * @param {State} state
   * @param {() => void} arranged called after a setting changed
   */
  constructor(find, state, arranged) {
    this.state = state;
    this.arranged = arranged;
    this.freezeButton = find('freeze');
    this.count = find('count');
    this.stepper = find('stepper');
    this.slider = find('step');
    this.runButton = find('run');
    this.note = find('note');
    this.runLine = find('run-state');
    this.panels = [find('ledger'), find('arrange')];
    this.drawn = -Infinity;
    this.version = -1;
    this.refusal = '';
    this.reduced = matchMedia('(prefers-reduced-motion: reduce)');
    this.listen(find);
    this.buildSettings(find('settings'));
  }

  /** @param {(id: string) => any} find */
  listen(find) {
    const { state } = this;
    this.freezeButton.onclick = () => state.freeze(!state.frozen, new Date());
    this.count.onclick = () => state.countFromNow();
    find('earlier').onclick = () => state.stepTurning(-1);
    find('later').onclick = () => state.stepTurning(1);
    find('reload').onclick = () => location.reload();
    find('run-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.toggleRun();
    };
    this.slider.oninput = () => state.show(Number(this.slider.value));
    this.slider.onkeydown = (/** @type {KeyboardEvent} */ event) => {
      if (event.key !== 'PageUp' && event.key !== 'PageDown') return;
      event.preventDefault();
      state.stepTurning(event.key === 'PageUp' ? 1 : -1);
    };
    document.addEventListener('keydown', (event) => {
      if (event.key === 'Escape') this.escape();
    });
    this.reduced.addEventListener('change', () => this.choose({}));
  }

  /** Closes what is open, else lets a frozen page run on. */
  escape() {
    const open = this.panels.find((panel) => panel.open);
    if (open) {
      open.open = false;
      open.querySelector('summary').focus();
    } else {
      this.state.freeze(false, null);
    }
  }

  /** @param {HTMLElement} root */
  buildSettings(root) {
    for (const [name, allowed] of Object.entries(CHOICES)) {
      const [question, answers] = choices[name];
      const label = document.createElement('label');
      label.textContent = question;
      const select = document.createElement('select');
      select.name = name;
      for (const value of [...allowed].sort(byNumber)) select.append(new Option(answers[value], value));
      select.value = String(/** @type {any} */ (this.state.settings)[name]);
      select.onchange = () => this.choose({ [name]: select.value });
      label.append(select);
      root.append(label);
    }
  }

  /** @param {Record<string, string>} change */
  choose(change) {
    const settings = settle({ ...this.state.settings, ...change }, this.reduced.matches);
    if ('zero' in change) this.state.axis.reset();
    this.state.settings = settings;
    this.state.version++;
    save(settings);
    this.arranged();
  }

  async toggleRun() {
    const active = this.state.status?.run.active;
    this.refusal = '';
    this.runButton.disabled = true;
    try {
      const answer = await fetch(active ? '/api/run/stop' : '/api/run/start', {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify(active ? {} : { note: this.note.value }),
      });
      if (!answer.ok) {
        const problem = await answer.json().catch(() => ({}));
        this.refusal = runRefused(problem.detail || problem.title || answer.statusText);
      } else if (!active) {
        this.note.value = '';
      }
    } catch {
      this.refusal = runUnreachable;
    }
    this.runButton.disabled = false;
    this.state.version++;
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (state.version === this.version) return;
    if (!state.frozen && this.stepper.hidden && now - this.drawn < EVERY) return;
    this.drawn = now;
    this.version = state.version;
    set(this.freezeButton, state.frozen ? words.run_on : words.freeze);
    this.stepper.hidden = !state.frozen;
    this.count.hidden = state.frozen;
    if (state.held) {
      const { first, end } = state.held.history;
      this.slider.min = String(first);
      this.slider.max = String(end - 1);
      this.slider.value = String(state.cursor);
      const before = state.held.history.newest - state.held.history.time(state.cursor);
      this.slider.setAttribute('aria-valuetext', beforeFreeze(decimal(before, 2)));
    }
    const run = state.status?.run;
    set(this.runButton, run?.active ? words.run_stop : words.run_start);
    this.note.parentElement.hidden = Boolean(run?.active);
    set(this.runLine, this.refusal || runText(run));
    this.runLine.dataset.trouble = String(Boolean(this.refusal || run?.trouble || run?.lost));
  }
}

/** Numbers in order of size, words as they stand. @param {string} a @param {string} b */
const byNumber = (a, b) => Number(a) - Number(b) || 0;

/** @param {HTMLElement} e @param {string} text */
function set(e, text) {
  if (e.textContent !== text) e.textContent = text;
}
