// The Class page's part: what its tables and its chart say.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { classPlot, heightOf } from '../pages/classplot.js';
import { benchHead, benchRow, groupHead, groupRow, meanTerms, troublesOf, unitOf, words } from '../pages/classwords.js';

const groups = [
  { label: 'red', bench: 'Tamar', n: 4, mean: 0.0036, u_own: 0.00004, u_shared: 0.00003, U: 0.0001, weight: 0.6 },
  { label: 'blue, a label much longer than any telephone is wide', bench: 'Severn', n: 3, mean: 0.0040, u_own: 0.00005, u_shared: 0, U: 0.00012, weight: 0.4 },
];
const quantity = {
  key: 'loss_per_cycle_J', label: 'loss per cycle', unit: 'J', chosen: false, groups, scatter: 0.0001, mean: 0.00376, U: 0.0003, k: 2.05,
  u_own: 0.00003, u_shared: 0.00001, birge: 3.2, chi_squared: 10.24, spare: 1, p: 0.00002, sentence: 'loss per cycle: the 2 groups contradict each other',
};

test('a group in the unit that suits all, with as many digits as its uncertainty bears', () => {
  assert.deepEqual(unitOf(quantity), { name: 'mJ', factor: 1000 });
  const row = groupRow(groups[0], 1000, true);
  assert.deepEqual(row.slice(0, 4), ['red', '4', '3.60', '0.10']);
  assert.deepEqual(row.slice(4, 6), ['0.040', '0.030']);
  assert.equal(row.length, groupHead('mJ').length);
  assert.equal(groupRow(groups[0], 1000, false).at(-1), '');
  assert.equal(unitOf({ ...quantity, unit: 's' }).name, 's');
});

test('the mean says what it rests on, and one group has none', () => {
  const terms = Object.fromEntries(meanTerms(quantity, 1000));
  assert.match(terms['weighted mean'], /^3\.76 ± 0\.30 \(k = 2\.05\)$/);
  assert.match(terms['chi-squared'], /10\.24 with 1 to spare, p = less than 0\.0001/);
  assert.deepEqual(meanTerms({ ...quantity, mean: null }, 1000), []);
});

test('a bench that is sealed says so, and what was not judged is told', () => {
  const benches = [
    { name: 'Tamar', sealed: true, runs: 3, unjudged: 0, troubles: [] },
    { name: 'Severn', sealed: false, runs: 0, unjudged: 1, troubles: ['read x.trials.json: torn'] },
  ];
  assert.deepEqual(benchRow(benches[0]), ['Tamar', 'sealed', '3', '0']);
  assert.equal(benchRow(benches[0]).length, benchHead.length);
  const told = troublesOf(benches);
  assert.equal(told.length, 2);
  assert.match(told[0], /^Severn: read x/);
  assert.match(told[1], /nothing is kept of 1 run:/);
});

test('the chart keeps inside its width, with a band where the groups should agree', () => {
  const width = 460;
  const shapes = classPlot(groups, { mean: quantity.mean, U: quantity.U }, 1000, width, 'loss / mJ');
  const xs = shapes.filter((s) => s.tag !== 'text').flatMap((s) => ['x', 'x1', 'x2', 'cx'].map((k) => s.at[k]).filter((x) => x !== undefined));
  assert.ok(xs.length > 8 && xs.every((x) => x >= 0 && x <= width), String(xs));
  assert.ok(shapes.every((s) => ['y', 'y1', 'y2', 'cy'].every((k) => (s.at[k] ?? 0) <= heightOf(2))));
  const points = shapes.filter((s) => s.tag === 'circle');
  assert.ok(points[0].at.cx < points[1].at.cx && points[0].at.cy < points[1].at.cy);
  const band = shapes.find((s) => s.class === 'band');
  const line = shapes.find((s) => s.class === 'limit');
  assert.ok(Math.abs(band.at.x + band.at.width / 2 - line.at.x1) < 1e-6);
  assert.equal(classPlot(groups, null, 1000, width, '').filter((s) => s.class === 'band').length, 0);
  assert.ok(shapes.some((s) => s.text?.endsWith('\u2026')));
});

test('the page asks for words that are there', () => {
  const page = readFileSync(new URL('../pages/class.html', import.meta.url), 'utf8');
  for (const [, word] of page.matchAll(/data-(?:word|name)="(\w+)"/g)) assert.ok(words[word], word);
});
