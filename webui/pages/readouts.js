// The energies as text, written as the sum that they are:
// kinetic + elastic + gravitational = total, and what has been lost.

import { unitOf } from './axistext.js';
import { make, set } from './element.js';
import { markerPicture } from './markerpicture.js';
import { ABSENT, closing, decimal, uncertainty } from './numbers.js';
import { COVERAGE, decimalsFor } from './scale.js';
import { lessThan, noneSeen, ofPutIn, plusMinus, spoken, words } from './words.js';

/** Least time [ms] between two changes of a digit, and of what a screen reader may ask for. */
const EVERY = 250;
const EVERY_CALM = 1000;
const EVERY_METER = 1000;

const NAMES = /** @type {const} */ (['kinetic', 'elastic', 'gravitational', 'total', 'lost']);
const ENERGY_NAMES = NAMES.slice(0, 4);
const SIGNS = ['', '+', '+', '=', ''];

export class Readouts {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.drawn = -Infinity;
    this.spoken = -Infinity;
    this.version = -1;
    this.shown = false;
    this.largest = 0; // [J] expanded uncertainty that sets the decimals
    /** @type {Record<string, Cell>} */
    this.cells = {};
    NAMES.forEach((name, i) => {
      this.cells[name] = this.cell(name, SIGNS[i]);
    });
  }

  /** @param {string} name @param {string} sign before the value @returns {Cell} */
  cell(name, sign) {
    const cell = make('div', `cell ${name}`);
    const label = make('span', 'label', words[/** @type {'total'} */ (name)]);
    label.id = `label-${name}`;
    const head = make('div', 'head');
    head.append(markerPicture(name), label);
    const value = make('span', 'value', ABSENT, true);
    const unit = make('span', 'unit', '', true);
    const below = make('div', 'below', '', name !== 'lost');
    const line = make('div', 'figure');
    line.append(value, unit);
    if (sign) cell.append(make('span', 'sign', sign, true));
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
    // At once: what a frozen page is led to, and the first values after none.
    const urgent = state.version !== this.version && (state.frozen || state.shows !== this.shown);
    if (!urgent && now - this.drawn < (state.calm ? EVERY_CALM : EVERY)) return;
    this.drawn = now;
    this.version = state.version;
    this.shown = state.shows;
    const { sample } = state;
    const unit = unitOf(state);
    const expanded = COVERAGE * (sample?.u_total_J ?? NaN);
    // Decimals follow the largest uncertainty of late, so that they stay put.
    if (expanded > this.largest || expanded < this.largest / 3) this.largest = expanded;
    const decimals = decimalsFor(this.largest * unit.factor);
    const speak = now - this.spoken >= EVERY_METER;
    if (speak) this.spoken = now;
    const perDigit = 10 ** -decimals / unit.factor; // [J]
    const digits = this.digits(state, perDigit);
    NAMES.forEach((name, i) => {
      if (name === 'lost') return;
      const value = digits[i] * perDigit;
      const u = COVERAGE * (sample ? sample[`u_${name}_J`] : NaN);
      const text = decimal(value * unit.factor, decimals);
      const range = uncertainty(u * unit.factor, decimals);
      this.write(name, text, unit.name, u > 0 ? plusMinus(range) : '');
      const { meter } = this.cells[name];
      if (!meter || !speak) return;
      const known = state.shows && Number.isFinite(value);
      meter.min = state.axis.low;
      meter.max = state.axis.high;
      meter.value = known ? value : state.axis.low;
      meter.setAttribute('aria-valuetext', known ? spoken(text, range, unit.name) : words.absent);
    });
    this.drawLost(state, unit, decimals, digits[3]);
  }

  /**
   * The energies in whole last digits, the parts adding up to the total as printed.
   * @param {State} state @param {number} perDigit [J]
   */
  digits(state, perDigit) {
    const { sample } = state;
    const [k, e, g, total] = ENERGY_NAMES.map((name) => ((sample ? sample[`${name}_J`] : NaN) - state.shift(name)) / perDigit);
    return [...closing([k, e, g], total), Math.round(total)];
  }

  /** The energies in words, as a screen reader may ask for them. */
  tell() {
    return ENERGY_NAMES.map((name) => `${words[name]}: ${this.cells[name].meter?.getAttribute('aria-valuetext')}.`).join(' ');
  }

  /** @param {State} state @param {EnergyUnit} unit @param {number} decimals @param {number} total as printed */
  drawLost(state, unit, decimals, total) {
    const { sample, offset, level } = state;
    const power = 10 ** decimals;
    const putIn = Math.round((level - offset) * unit.factor * power);
    if (Number.isNaN(putIn - total)) return this.write('lost', ABSENT, '', '');
    // The mean judges whether there is a loss at all, so that noise does not toggle the text.
    const lost = level - (state.frozen && sample ? sample.total_J : state.shown.putIn.mean);
    const expanded = COVERAGE * (sample?.u_total_J ?? NaN);
    // Both ends share most of their uncertainty; taking that of one for that of
    // the difference errs on the side of saying nothing.
    if (lost < expanded) {
      this.write('lost', lessThan(uncertainty(expanded * unit.factor, decimals)), unit.name, noneSeen);
    } else {
      this.write('lost', decimal((putIn - total) / power, decimals), unit.name, ofPutIn(decimal(putIn / power, decimals), unit.name));
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
