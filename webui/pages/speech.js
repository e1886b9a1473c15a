// One polite line for the screen reader: events only, at most one a second.

import { unitOf } from './axistext.js';
import { decimal, uncertainty } from './numbers.js';
import { COVERAGE, decimalsFor } from './scale.js';
import { haltText, spoken, spokenEvents, words } from './words.js';

const EVERY = 1000;
const OFTEN = 5000;

export class Speech {
  /** @param {HTMLElement} line */
  constructor(line) {
    this.line = line;
    this.said = -Infinity;
    this.energies = -Infinity;
    /** @type {string[]} */
    this.waiting = [];
    this.before = { frozen: false, why: '', active: false };
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
      text = energies(state);
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
    if (run && run.active !== before.active) {
      this.waiting.push(run.active ? spokenEvents.runStarted(run.name) : spokenEvents.runSaved(run.name, run.rows));
    }
    this.before = { frozen: state.frozen, why, active: run ? run.active : before.active };
  }
}

/** @param {State} state */
function energies(state) {
  const { sample } = state;
  if (!sample || !state.liveness.live) return '';
  const unit = unitOf(state);
  return ['kinetic', 'elastic', 'gravitational', 'total'].map((name) => {
    const expanded = COVERAGE * sample[`u_${name}_J`] * unit.factor;
    const decimals = decimalsFor(expanded);
    const value = decimal((sample[`${name}_J`] - state.shift(name)) * unit.factor, decimals);
    return `${words[/** @type {'total'} */ (name)]}: ${spoken(value, uncertainty(expanded, decimals), unit.name)}.`;
  }).join(' ');
}
