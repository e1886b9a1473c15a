import assert from 'node:assert/strict';
import test from 'node:test';
import { between, bottom, potential } from '../pages/potential.js';
import { PutIn } from '../pages/putin.js';
import { TurningPoints } from '../pages/turning.js';
import { chance } from './kit.js';

function turningPoints(height, seconds, rate = 100) {
  const turning = new TurningPoints();
  const points = [];
  for (let n = 0; n < seconds * rate; n++) {
    const point = turning.push(n, n / rate, height(n / rate));
    if (point) points.push(point);
  }
  return points;
}

test('a sine turns at its extremes', () => {
  const points = turningPoints((t) => 0.6 + 0.1 * Math.sin(2 * Math.PI * t), 4);
  assert.deepEqual(points.map((p) => p.high), [true, false, true, false, true, false, true, false]);
  points.forEach((p, i) => assert.ok(Math.abs(p.t - (0.25 + 0.5 * i)) < 0.011, `point ${i} at ${p.t}`));
});

test('noise on a swing adds no turning points', () => {
  const random = chance(3);
  const points = turningPoints((t) => 0.6 + 0.1 * Math.sin(2 * Math.PI * t) + 0.002 * (random() - 0.5), 10);
  assert.equal(points.length, 20);
});

test('a bob at rest does not turn', () => {
  const random = chance(4);
  assert.equal(turningPoints(() => 0.6 + 0.002 * (random() - 0.5), 10).length, 0);
});

test('after a gap the direction is found anew', () => {
  const turning = new TurningPoints();
  for (let n = 0; n < 20; n++) turning.push(n, n, n / 10);
  turning.restart();
  let found = 0;
  for (let n = 20; n < 40; n++) found += turning.push(n, n, 4 - n / 10) ? 1 : 0;
  assert.equal(found, 0);
});

/** Feeds totals at 100 readings a second and returns the followers' levels. */
function follow(total, seconds, u = 0.003, rest = NaN) {
  const putIn = new PutIn();
  putIn.rest = rest;
  const levels = [];
  for (let n = 0; n < seconds * 100; n++) {
    putIn.follow(n / 100, total(n / 100), u);
    levels.push(putIn.level);
  }
  return { putIn, levels };
}

test('a decaying total is counted from where it began', () => {
  const { putIn } = follow((t) => 2 * Math.exp(-t / 50), 20);
  assert.ok(Math.abs(putIn.level - 1.985) < 0.01, `level ${putIn.level}`);
  assert.ok(Math.abs(putIn.mean - 2 * Math.exp(-20 / 50)) < 0.02);
});

test('noise does not move the level', () => {
  const random = chance(9);
  const { levels } = follow(() => 2 + 0.006 * (random() - 0.5), 30);
  assert.equal(new Set(levels.filter((l) => !Number.isNaN(l))).size, 1);
});

test('energy put in again raises the level, though it was higher before', () => {
  const { putIn } = follow((t) => (t < 10 ? 2 - 0.1 * t : Math.min(1.5, 1 + (t - 10))), 14);
  assert.ok(Math.abs(putIn.level - 1.5) < 0.005, `level ${putIn.level}`);
});

test('a ripple below a twentieth of the swing is no energy put in', () => {
  const ripple = (t) => 2 + 0.02 * Math.sin(Math.PI * t);
  assert.equal(new Set(follow(ripple, 20, 0.001, 1).levels.slice(100)).size, 1);
  assert.ok(new Set(follow(ripple, 20, 0.001, 1.9).levels.slice(100)).size > 1, 'of a smaller swing it would be');
});

test('absent totals are passed over', () => {
  const { putIn } = follow((t) => (t % 0.1 < 0.05 ? NaN : 2), 3);
  assert.equal(putIn.level, 2);
});

const well = { height_m: [0, 1, 2, 3, 4], potential_J: [4, 1, 0, 1, 4] };

test('the well is read along straight lines, and nowhere else', () => {
  assert.equal(potential(well, 0.5), 2.5);
  assert.equal(potential(well, 4), 4);
  assert.ok(Number.isNaN(potential(well, 4.01)));
  assert.equal(bottom(well), 2);
});

test('a level meets the slopes, or the ends of the curve, or nothing', () => {
  assert.deepEqual(between(well, 2.5), [0.5, 3.5]);
  assert.deepEqual(between(well, 9), [0, 4]);
  assert.equal(between(well, -1), null);
});
