import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';

import { pair } from '../pages/figures.js';
import { closing, decimal, parseDecimal, uncertainty } from '../pages/numbers.js';
import { Axis, decimalsFor, decimalsOf, energyUnit, roundUp, ticks } from '../pages/scale.js';
import { chance } from './kit.js';

test('round tops', () => {
  for (const [x, want] of [[0.081, 0.1], [1, 1], [1.01, 2], [2.4, 3], [5.5, 6], [6.01, 8], [8.2, 10], [0.3, 0.3]]) {
    assert.equal(roundUp(x), want, `above ${x}`);
  }
});

test('ticks are round, within, and few', () => {
  assert.deepEqual(ticks(0.62, 1.31, 3), [0.8, 1, 1.2]);
  assert.deepEqual(ticks(-0.1, 0.1, 3), [-0.1, 0, 0.1]);
  for (const [low, high] of [[0.641, 0.812], [0, 7.3], [1.001, 1.002]]) {
    const found = ticks(low, high, 3);
    assert.ok(found.length >= 1 && found.length <= 3 && found.every((t) => t >= low - 1e-9 && t <= high + 1e-9), `${found}`);
  }
});

test('an axis grows at once and shrinks only after a while', () => {
  const axis = new Axis();
  axis.fit(0, 0.7, 0);
  assert.equal(axis.high, 0.8);
  axis.fit(0, 2.5, 100);
  assert.equal(axis.high, 3, 'grown');
  axis.fit(0, 0.7, 200);
  axis.fit(0, 0.7, 3100);
  assert.equal(axis.high, 3, 'not yet');
  axis.fit(0, 0.7, 3300);
  assert.equal(axis.high, 0.8, 'shrunk');
});

test('one high value in between starts the waiting anew', () => {
  const axis = new Axis();
  axis.fit(0, 2.5, 0);
  axis.fit(0, 0.7, 100);
  axis.fit(0, 2.5, 3000);
  axis.fit(0, 0.7, 3200);
  assert.equal(axis.high, 3);
});

test('values have room above, and below zero when there are any', () => {
  const axis = new Axis();
  axis.fit(-0.5, 0.99, 0);
  assert.ok(axis.high >= 0.99 * 1.05 && axis.low <= -0.5);
  assert.deepEqual(axis.ticks(), [axis.low, 0, axis.high]);
});

test('nothing to show changes nothing', () => {
  const axis = new Axis();
  const { version } = axis;
  axis.fit(0, -Infinity, 0);
  axis.fit(NaN, NaN, 0);
  assert.equal(axis.version, version);
});

test('the unit: automatic by the axis, fixed by choice', () => {
  assert.equal(energyUnit('auto', 0.4).name, 'mJ');
  assert.equal(energyUnit('auto', 0.5).name, 'J');
  assert.equal(energyUnit('J', 0.001).name, 'J');
  assert.deepEqual(energyUnit('mJ', 9), { name: 'mJ', factor: 1000 });
});

test('decimals show the first digit of the uncertainty', () => {
  for (const [u, want] of [[0.02, 2], [0.01, 2], [0.009, 3], [3, 0], [25, 0], [1e-9, 4], [NaN, 2], [0, 2]]) {
    assert.equal(decimalsFor(u), want, `u = ${u}`);
  }
  assert.equal(decimalsOf([0.25]), 2);
  assert.equal(decimalsOf([1, 2]), 0);
});

test('an uncertainty is rounded up, a value to nearest, a minus is a minus', () => {
  assert.equal(uncertainty(0.0121, 2), decimal(0.02, 2));
  assert.equal(uncertainty(0.02, 2), decimal(0.02, 2));
  assert.equal(decimal(-0.5, 1)[0], '\u2212');
  assert.equal(decimal(NaN, 2), '–');
});

test('a value and its uncertainty are rounded as the daemon rounds them', () => {
  const plain = (/** @type {string} */ text) => text.replaceAll(',', '').replace('\u2212', '-');
  const cases = JSON.parse(readFileSync(new URL('../../testdata/rounding.json', import.meta.url), 'utf8'));
  assert.ok(cases.length > 0);
  for (const c of cases) {
    const p = pair(c.value, c.u);
    assert.deepEqual([plain(p.value), plain(p.u)], [c.value_text, c.u_text], `${c.value} and ${c.u}`);
  }
});

test('a decimal point or comma, and nothing else, is read', () => {
  for (const [text, want] of [['2.5', 2.5], ['2,5', 2.5], [' 0,6 ', 0.6], ['-3', -3], ['\u22123', -3], ['.5', 0.5], ['7.', 7]]) {
    assert.equal(parseDecimal(text), want, text);
  }
  for (const text of ['', '1.000,5', '1 000', '1e3', 'five', '0x10', '--1', ',']) assert.ok(Number.isNaN(parseDecimal(text)), text);
});

test('rounded parts add up to the rounded whole, each off by less than a digit', () => {
  assert.deepEqual(closing([0.4, 0.4, 0.4], 1.2), [1, 0, 0]);
  assert.deepEqual(closing([0.6, 0.6, 0.6], 1.8), [0, 1, 1]);
  assert.deepEqual(closing([10, 20, 30], 60), [10, 20, 30]);
  assert.deepEqual(closing([-0.4, 5.7, 0.9], 6.2), [-1, 6, 1]);
  assert.deepEqual(closing([1, 1, 1], 9), [1, 1, 1], 'what does not belong together stays');
  assert.ok(closing([1, NaN, 1], NaN).some(Number.isNaN));
  const random = chance(5);
  for (let i = 0; i < 2000; i++) {
    const parts = [0, 0, 0].map(() => 100 * random() - 20);
    const whole = parts[0] + parts[1] + parts[2];
    const digits = closing(parts, whole);
    assert.equal(digits[0] + digits[1] + digits[2] + 0, Math.round(whole) + 0, 'sum');
    digits.forEach((d, k) => assert.ok(Math.abs(d - parts[k]) <= 1, `${parts} -> ${digits}`));
  }
});
