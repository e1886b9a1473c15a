// One polite line for the screen reader: events only, at most one a second.

import { haltText, spokenEvents } from './words.js';

const EVERY = 1000;
const OFTEN = 5000;

export class Speech {
  /** @param {HTMLElement} line @param {() => string} tell the energies in words */
  constructor(line, tell) {
    this.line = line;
    this.tell = tell;
    this.said = -Infinity;
    this.energies = -Infinity;
    /** @type {string[]} */
    this.waiting = [];
    this.before = { frozen: false, why: '', active: false, sealed: false };
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    this.notice(state);
    if (state.settings.speech === 'off') this.waiting = [];
    if (now - this.said < EVERY) return;
    let text = this.waiting.join(' ');
    this.waiting = [];
    if (!text && state.settings.speech === 'often' && now - this.energies >= OFTEN) {
      this.energies = now;
      text = state.liveness.live && !state.sealed ? this.tell() : '';
    }
    if (!text) return;
    this.said = now;
    this.line.textContent = text;
  }

  /** @param {State} state */
  notice(state) {
    const { before } = this;
    const { why } = state.liveness;
    const run = state.status?.run;
    if (state.frozen !== before.frozen) this.waiting.push(state.frozen ? spokenEvents.frozen : spokenEvents.runningOn);
    if (why !== before.why) this.waiting.push(why === 'live' ? spokenEvents.live : spokenEvents.halted(haltText(state).title));
    if (state.sealed !== before.sealed) this.waiting.push(state.sealed ? spokenEvents.sealed : spokenEvents.opened);
    if (run && run.active !== before.active) {
      this.waiting.push(run.active ? spokenEvents.runStarted(run.name) : spokenEvents.runSaved(run.name, run.rows));
    }
    this.before = { frozen: state.frozen, why, active: run ? run.active : before.active, sealed: state.sealed };
  }
}
