// The Upkeep page's reckoning: where points lie, what is beyond, what is said.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { refusalText } from '../pages/ask.js';
import { beyond, controlChart, levels } from '../pages/controlchart.js';
import { day, pair, percent } from '../pages/figures.js';
import { Plot, reach } from '../pages/plot.js';
import { residualPlot } from '../pages/residualplot.js';
import { chartNames, rateText, residualNames, standingText, steadyWord } from '../pages/upkeepwords.js';

test('a value and its uncertainty share the last digit', () => {
  assert.deepEqual(pair(24.58394, 0.0402), { value: '24.584', u: '0.041' }); // uncertainties are rounded up
  assert.deepEqual(pair(-1.1837083e-5, 1.274e-9), { value: '\u22121.18371 \u00d7 10\u207b\u2075', u: '0.00013 \u00d7 10\u207b\u2075' });
  assert.equal(pair(null).value, pair(Number.NaN).value);
  assert.equal(pair(12.3456).value, '12.35');
  assert.equal(percent(0.0005), '0.05 %');
  assert.equal(day('0001-01-01T00:00:00Z'), '');
});

/** @param {number} got @param {number} want */
const near = (got, want) => assert.ok(Math.abs(got - want) < 1e-9, `${got}, want ${want}`);

test('a plot puts its ends at its edges', () => {
  const plot = new Plot(400, 200, [0, 10], [-1, 1]);
  near(plot.across(0), plot.left);
  near(plot.across(10), plot.right);
  near(plot.down(-1), plot.bottom);
  near(plot.down(1), plot.top);
  assert.deepEqual(reach([]), [-1, 1]);
  const [low, high] = reach([5]);
  assert.ok(low < 5 && high > 5);
});

const check = {
  kind: 'force', what: 'mass', standard: '200 g', unit: 'N', needed: 2e-3, state: 'look', reason: 'look: one value beyond the limits',
  mean: 1e-4, sd: 1e-4, rate_per_s: 1e-9, rate_low_per_s: -1e-9, rate_high_per_s: 3e-9,
  records: [{ at: '2026-11-01T10:00:00Z', deviation: 1e-4, u: 5e-5, note: '' }, { at: '2026-11-08T10:00:00Z', deviation: 6e-4, u: 5e-5, note: '' }],
};

test('a record beyond three standard deviations stands out', () => {
  assert.deepEqual(check.records.map((r) => beyond(check, r)), [false, true]);
  const shapes = controlChart(check, 600, 300, chartNames('N'));
  assert.equal(shapes.filter((s) => s.class === 'odd').length, 1);
  assert.equal(shapes.filter((s) => s.class === 'point').length, 1);
  assert.equal(levels(check, chartNames('N')).length, 6);
  assert.equal(levels({ ...check, mean: null, sd: null, needed: null }, chartNames('N')).length, 1);
  assert.match(rateText(check), /drift a month: 2\.6 mN, give or take 5\.3 mN/);
});

test('every point of a calibration is in its plot', () => {
  const shapes = residualPlot([{ point: 0, at: 1, off: 1e-4 }, { point: 3, at: 2, off: -2e-4 }, { point: 4, at: null, off: null }], 400, 240, residualNames('spring'));
  assert.equal(shapes.filter((s) => s.tag === 'circle').length, 2);
  assert.ok(shapes.some((s) => s.text === 'off the line, mm'));
  assert.equal(residualNames('force').off, 'off the line, mN');
});

test('states and refusals in words', () => {
  assert.equal(standingText({ entry: {}, stale: '', overdue: '' }).word, 'stands');
  assert.equal(standingText({ entry: {}, stale: '', overdue: 'was due' }).look, true);
  assert.equal(standingText({ entry: null, stale: 'another', overdue: '' }).word, 'does not count');
  assert.equal(steadyWord({ steady: false, reason: 'moving: it scatters by 20', readings: 9, mean: 0, u: 0, noise: 0, drift: 0, age_s: 1 }).word, 'moving');
  assert.equal(refusalText({ detail: 'no points yet' }, ''), 'No points yet.');
  assert.equal(refusalText(null, 'Gone'), 'Gone.');
});
