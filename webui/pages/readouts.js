// The energies as text, written as the sum that they are:
// kinetic + elastic + gravitational = total, and what has been lost.

import { unitOf } from './axistext.js';
import { markerPicture } from './markerpicture.js';
import { ABSENT, decimal, uncertainty } from './numbers.js';
import { COVERAGE, decimalsFor } from './scale.js';
import { lessThan, noneSeen, ofPutIn, plusMinus, spoken, words } from './words.js';

/** @typedef {import('./state.js').State} State */

/** Least time [ms] between two changes of a digit, and of what a screen reader may ask for. */
const EVERY = 250;
const EVERY_CALM = 1000;
const EVERY_METER = 1000;

const NAMES = /** @type {const} */ (['kinetic', 'elastic', 'gravitational', 'total', 'lost']);
const SIGNS = ['', '+', '+', '=', ''];

/**
 * @typedef {{value: HTMLElement, unit: HTMLElement, below: HTMLElement, meter: HTMLMeterElement | null}} Cell
 */

export class Readouts {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.drawn = -Infinity;
    this.spoken = -Infinity;
    this.version = -1;
    this.largest = 0; // [J] expanded uncertainty that sets the decimals
    /** @type {Record<string, Cell>} */
    this.cells = {};
    NAMES.forEach((name, i) => {
      this.cells[name] = this.cell(name, SIGNS[i]);
    });
  }

  /** @param {string} name @param {string} sign before the value @returns {Cell} */
  cell(name, sign) {
    const cell = element('div', `cell ${name}`);
    const label = element('span', 'label', words[/** @type {'total'} */ (name)]);
    label.id = `label-${name}`;
    const head = element('div', 'head');
    head.append(markerPicture(name), label);
    const value = element('span', 'value', ABSENT, true);
    const unit = element('span', 'unit', '', true);
    const below = element('div', 'below', '', name !== 'lost');
    const line = element('div', 'figure');
    line.append(value, unit);
    if (sign) cell.append(element('span', 'sign', sign, true));
    cell.append(head, line, below);
    let meter = null;
    if (name !== 'lost') {
      meter = document.createElement('meter');
      meter.className = 'unseen';
      meter.setAttribute('aria-labelledby', label.id);
      meter.setAttribute('aria-valuetext', words.absent);
      cell.append(meter);
    }
    this.root.append(cell);
    return { value, unit, below, meter };
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    const urgent = state.frozen && state.version !== this.version;
    if (!urgent && now - this.drawn < (state.calm ? EVERY_CALM : EVERY)) return;
    this.drawn = now;
    this.version = state.version;
    const { sample, offset } = state;
    const unit = unitOf(state);
    const expanded = COVERAGE * (sample?.u_total_J ?? NaN);
    // Decimals follow the largest uncertainty of late, so that they stay put.
    if (expanded > this.largest || expanded < this.largest / 3) this.largest = expanded;
    const decimals = decimalsFor(this.largest * unit.factor);
    const speak = now - this.spoken >= EVERY_METER;
    if (speak) this.spoken = now;
    const known = state.frozen || state.liveness.live;
    for (const name of NAMES) {
      if (name === 'lost') continue;
      const shift = name === 'gravitational' || name === 'total' ? offset : 0;
      const value = (sample ? sample[`${name}_J`] : NaN) - shift;
      const u = COVERAGE * (sample ? sample[`u_${name}_J`] : NaN);
      const text = decimal(value * unit.factor, decimals);
      const range = uncertainty(u * unit.factor, decimals);
      this.write(name, text, unit.name, u > 0 ? plusMinus(range) : '');
      const { meter } = this.cells[name];
      if (!meter || !speak) continue;
      meter.min = state.axis.low;
      meter.max = state.axis.high;
      meter.value = known && Number.isFinite(value) ? value : state.axis.low;
      meter.setAttribute('aria-valuetext', known && Number.isFinite(value) ? spoken(text, range, unit.name) : words.absent);
    }
    this.drawLost(state, unit, decimals);
  }

  /** @param {State} state @param {import('./scale.js').EnergyUnit} unit @param {number} decimals */
  drawLost(state, unit, decimals) {
    const { putIn } = state.shown;
    const { sample, offset } = state;
    const total = state.frozen && sample ? sample.total_J : putIn.mean;
    const lost = putIn.level - total;
    if (Number.isNaN(lost)) return this.write('lost', ABSENT, '', '');
    const expanded = COVERAGE * (sample?.u_total_J ?? NaN);
    const putInText = decimal((putIn.level - offset) * unit.factor, decimals);
    // Both ends share most of their uncertainty; taking that of one for that of
    // the difference errs on the side of saying nothing.
    if (lost < expanded) {
      this.write('lost', lessThan(uncertainty(expanded * unit.factor, decimals)), unit.name, noneSeen);
    } else {
      this.write('lost', decimal(lost * unit.factor, decimals), unit.name, ofPutIn(putInText, unit.name));
    }
  }

  /** @param {string} name @param {string} value @param {string} unit @param {string} below */
  write(name, value, unit, below) {
    const cell = this.cells[name];
    set(cell.value, value);
    set(cell.unit, value === ABSENT ? '' : unit);
    set(cell.below, below);
  }
}

/** @param {string} tag @param {string} className @param {string} [text] @param {boolean} [hidden] from the screen reader */
function element(tag, className, text = '', hidden = false) {
  const e = document.createElement(tag);
  e.className = className;
  e.textContent = text;
  if (hidden) e.setAttribute('aria-hidden', 'true');
  return e;
}

/** @param {HTMLElement} e @param {string} text */
function set(e, text) {
  if (e.textContent !== text) e.textContent = text;
}
