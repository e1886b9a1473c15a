// The Upkeep page's reckoning: where points lie, what is beyond, what is said.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { refusalText } from '../pages/ask.js';
import { beyond, controlChart, levels } from '../pages/controlchart.js';
import { day, pair, percent } from '../pages/figures.js';
import { Plot, reach } from '../pages/plot.js';
import { residualPlot } from '../pages/residualplot.js';
import {
  chartNames, finishLines, rateText, reasonText, residualNames, standingText, steadyFigures, steadySpoken, steadyWord,
} from '../pages/upkeepwords.js';

test('a value and its uncertainty share the last digit', () => {
  assert.deepEqual(pair(24.58394, 0.0402), { value: '24.584', u: '0.040' });
  assert.deepEqual(pair(-1.1837083e-5, 1.274e-9), { value: '\u22121.18371 \u00d7 10\u207b\u2075', u: '0.00013 \u00d7 10\u207b\u2075' });
  assert.equal(pair(null).value, pair(Number.NaN).value);
  assert.equal(pair(12.3456).value, '12.35');
  assert.equal(percent(0.0005), '0.05 %');
  assert.equal(percent(1e-6), '< 0.01 %'); // something is not nothing
  assert.equal(percent(0), '0.00 %');
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
  assert.match(rateText(check), /^2\.6 mN, give or take 5\.3 mN/);
});

test('every point of a calibration is in its plot', () => {
  const shapes = residualPlot([{ point: 0, at: 1, off: 1e-4 }, { point: 3, at: 2, off: -2e-4 }, { point: 4, at: null, off: 1e-4 }], 400, 240, residualNames('spring'));
  assert.equal(shapes.filter((s) => s.tag === 'circle').length, 2);
  assert.ok(shapes.some((s) => s.text === 'off the line, mm'));
  assert.equal(residualNames('force').off, 'off the line, mN');
  // Points that lie together share a label.
  const together = residualPlot([{ point: 0, at: 1, off: 1e-4 }, { point: 1, at: 3, off: 0 }, { point: 2, at: 1, off: 1e-4 }], 400, 240, residualNames('force'));
  assert.ok(together.some((s) => s.text === '1, 3') && together.some((s) => s.text === '2'));
});

test('a reading that is not known looks like none', () => {
  const unknown = { steady: false, reason: 'The daemon does not answer.', readings: 0, mean: null, u: null, noise: null, drift: null, age_s: null };
  assert.equal(steadyWord(unknown).word, 'wait');
  assert.deepEqual(steadyFigures(unknown, 'N').map(([, text]) => /\d/.test(text)), [false, false, false, false, false]);
  const resting = { ...unknown, reason: 'wait: 1.2 s with 130 readings so far, 3 s and 20 are needed' };
  assert.equal(steadySpoken(resting), steadySpoken({ ...resting, reason: 'wait: 1.4 s with 150 readings so far, 3 s and 20 are needed' }));
  assert.notEqual(steadySpoken(resting), steadySpoken({ ...resting, steady: true, reason: '' }));
});

test('a verdict is not said twice, and a missing one says why', () => {
  assert.equal(reasonText(check), 'One value beyond the limits');
  assert.equal(reasonText({ state: '', reason: 'judge the check records: 2 records: at least 3 are needed' }), 'No verdict yet: 2 records: at least 3 are needed');
});

test('what is to be written is told before', () => {
  const session = { points: [{}, {}, {}], finding: { figures: [{ name: 'rate', value: 24.584, u: 0.041, unit: 'N/m', share: null }], doubts: ['one'] } };
  const lines = finishLines(session, { by: 'evening group', note: '', due: '' });
  assert.equal(lines[0], 'rate: 24.584 N/m, standard uncertainty 0.041 N/m');
  for (const part of ['3 points', '1 doubt ', 'evening group', 'a year from now', 'No earlier entry']) assert.ok(lines.some((l) => l.includes(part)), part);
});

test('states and refusals in words', () => {
  const none = { entry: null, stale: '', overdue: '', date: null, age_h: null };
  assert.equal(standingText({ ...none, entry: {} }).word, 'stands');
  assert.equal(standingText(none).why, 'No calibration of it stands in the book.');
  assert.equal(standingText({ ...none, date: '2026-11-20T10:00:00Z', age_h: 170 }).why, 'No calibration of it stands in the book; the bench file states one of 2026-11-20, 7 days ago.');
  assert.equal(standingText({ ...none, entry: {}, overdue: 'was due' }).look, true);
  assert.equal(standingText({ ...none, stale: 'another' }).word, 'does not count');
  assert.equal(steadyWord({ steady: false, reason: 'moving: it scatters by 20', readings: 9, mean: 0, u: 0, noise: 0, drift: 0, age_s: 1 }).word, 'moving');
  assert.equal(refusalText({ detail: 'no points yet' }, ''), 'No points yet.');
  assert.equal(refusalText(null, 'Gone'), 'Gone.');
});
