// The round of trials at the bench: its state, large, and its arming.

import { find, set } from './element.js';
import { parseDecimal } from './numbers.js';
import { armed, disarmed, groupSet, roundSpoken, roundState, ruleWrong, words } from './trialwords.js';

/** Whole swings offered where nobody has set a rule yet. */
const USUAL = 10;

/** @typedef {(name: string, body: object, done: string, refusal?: HTMLElement) => Promise<boolean>} Act */

/**
 * The ending rule as typed; a refusal where it is none. Nothing typed is no end by it.
 * @param {string} cycles @param {string} seconds @param {boolean} floor
 * @returns {{rule: EndRule | null, refusal: string}}
 */
export function ruleOf(cycles, seconds, floor) {
  const [n, s] = [cycles, seconds].map((text) => (text.trim() ? parseDecimal(text) : 0));
  if (!Number.isInteger(n) || n < 0) return { rule: null, refusal: ruleWrong.cycles };
  if (!(s >= 0)) return { rule: null, refusal: ruleWrong.seconds };
  return { rule: { cycles: n, length_s: s, floor }, refusal: '' };
}

export class RoundView {
  /** @param {Act} act @param {import('./voice.js').Voice} voice */
  constructor(act, voice) {
    this.act = act;
    this.voice = voice;
    this.armed = false;
    this.said = '';
    this.filled = false;
    find('arm-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.arm();
    };
    find('group-form').onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      const group = find('group').value.trim();
      this.act('group', { group }, groupSet(group), find('arm-refusal'));
    };
  }

  async arm() {
    const refusal = find('arm-refusal');
    if (this.armed) return this.act('disarm', {}, disarmed, refusal);
    const { rule, refusal: wrong } = ruleOf(find('cycles').value, find('seconds').value, find('floor').checked);
    set(refusal, wrong);
    if (rule) await this.act('arm', { ...rule, group: find('group').value.trim() }, armed, refusal);
  }

  /** Fills in what the daemon goes by, once, and whenever it is armed. @param {TrialsAnswer} t */
  fill(t) {
    if (this.filled && !t.armed) return;
    if (!this.filled) find('group').value = t.group;
    this.filled = true;
    const unset = !t.armed && !t.rule.cycles && !t.rule.length_s && !t.rule.floor;
    find('cycles').value = t.rule.cycles || unset ? String(t.rule.cycles || USUAL) : '';
    find('seconds').value = t.rule.length_s ? t.rule.length_s.toLocaleString(undefined, { useGrouping: false }) : '';
    find('floor').checked = t.rule.floor;
  }

  /** @param {{armed: boolean, state: string, recording: string}} t @param {string} silent why nothing is known */
  draw(t, silent) {
    const s = roundState(t, silent);
    this.armed = t.armed;
    find('state').dataset.look = s.look;
    set(find('state-sign'), s.sign);
    set(find('state-text'), s.word);
    set(find('state-what'), s.what);
    set(find('state-small'), s.word);
    set(find('arm'), t.armed ? words.disarm : words.arm);
    find('rule').disabled = t.armed;
    const spoken = roundSpoken(s);
    if (spoken === this.said) return;
    this.said = spoken;
    this.voice.now(spoken);
  }
}
