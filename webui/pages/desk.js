// The controls at the desk: freeze and step, settings.

import { decimal } from './numbers.js';
import { CHOICES, save, settle } from './settings.js';
import { beforeFreeze, choices, words } from './words.js';

/** @typedef {import('./state.js').State} State */

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
    this.panels = [find('ledger'), find('arrange')];
    this.version = -1;
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

  /** @param {State} state */
  draw(state) {
    if (state.version === this.version) return;
    if (!state.frozen && this.stepper.hidden) return;
    this.version = state.version;
    this.freezeButton.textContent = state.frozen ? words.run_on : words.freeze;
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
  }
}

/** Numbers in order of size, words as they stand. @param {string} a @param {string} b */
const byNumber = (a, b) => Number(a) - Number(b) || 0;
