import assert from 'node:assert/strict';
import test from 'node:test';
import { ORDER, spread, stack } from '../pages/stack.js';
import { chance } from './kit.js';

const near = (a, b) => Math.abs(a - b) < 1e-9;

test('parts stand one on the other, kinetic on top, and end at the total', () => {
  const segments = [];
  assert.deepEqual([...ORDER], ['gravitational', 'elastic', 'kinetic']);
  assert.ok(near(stack([0.4, 0.3, 0.1], segments), 0.8));
  assert.deepEqual(segments.map((s) => s.name), ORDER);
  assert.deepEqual(segments.map((s) => [s.from, s.to].map((v) => Number(v.toFixed(9)))), [[0, 0.4], [0.4, 0.7], [0.7, 0.8]]);
});

test('a negative part runs down, and the end is still the total', () => {
  const segments = [];
  assert.ok(near(stack([-0.1, 0.5, 0.2], segments), 0.6));
  assert.ok(segments[0].to < 0 && near(segments[1].from, -0.1));
});

test('segments are filled again, not made anew', () => {
  const segments = [];
  stack([1, 1, 1], segments);
  const [first] = segments;
  stack([2, 1, 1], segments);
  assert.equal(segments[0], first);
  assert.equal(first.to, 2);
});

test('labels with room stay; crowded ones share the shift', () => {
  assert.deepEqual(spread([0, 10, 20], 5), [0, 10, 20]);
  assert.deepEqual(spread([10, 10], 4), [8, 12]);
  assert.deepEqual(spread([10, 10, 30], 4), [8, 12, 30]);
});

test('labels keep their order and gap, and no common shift would bring them nearer', () => {
  const random = chance(21);
  for (let i = 0; i < 300; i++) {
    const wanted = Array.from({ length: 4 }, () => 40 * random()).sort((a, b) => a - b);
    const places = spread(wanted, 8);
    places.forEach((y, k) => k && assert.ok(y - places[k - 1] >= 8 - 1e-9, `${places}`));
    const off = (at) => at.reduce((sum, y, k) => sum + (y - wanted[k]) ** 2, 0);
    for (const shift of [-0.1, 0.1]) assert.ok(off(places) <= off(places.map((y) => y + shift)) + 1e-9, `${wanted} -> ${places}`);
  }
});
