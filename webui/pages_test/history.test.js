import assert from 'node:assert/strict';
import test from 'node:test';
import { History } from '../pages/history.js';
import { frames } from './kit.js';

function filled(capacity, n) {
  const history = new History(capacity);
  const message = frames(Array.from({ length: n }, (_, i) => [i / 10, { total_J: i, force_N: i % 2 ? null : i }]));
  for (let i = 0; i < n; i++) history.append(message, i, false);
  return history;
}

test('the ring keeps the newest and forgets the oldest', () => {
  const history = filled(8, 21);
  assert.equal(history.first, 13);
  assert.equal(history.end, 21);
  assert.equal(history.newest, 2);
  assert.equal(history.value('total_J', 13), 13);
  assert.equal(history.at(12), null, 'overwritten');
  assert.equal(history.at(21), null, 'not there yet');
});

test('a capacity that is no power of two is refused', () => {
  assert.throws(() => new History(1000), RangeError);
});

test('an absent value is not zero', () => {
  assert.ok(Number.isNaN(filled(8, 4).value('force_N', 3)));
});

test('a lacking quantity is held for a quarter second and no longer', () => {
  const history = new History(8);
  const message = frames([[0, { total_J: 5 }], [0.25, {}], [0.26, {}]]);
  for (let i = 0; i < 3; i++) history.append(message, i, false);
  assert.equal(history.at(1).total_J, 5);
  assert.ok(Number.isNaN(history.at(2).total_J));
});

test('nothing is held across a gap', () => {
  const history = new History(8);
  const message = frames([[0, { total_J: 5 }], [0.1, {}]]);
  history.append(message, 0, false);
  history.append(message, 1, true);
  assert.ok(Number.isNaN(history.at(1).total_J));
});

test('find gives the newest sample not later than a time', () => {
  const history = filled(8, 21);
  for (const [t, want] of [[1.95, 19], [2, 20], [99, 20], [-1, 13], [1.3, 13]]) {
    assert.equal(history.find(t), want, `at ${t} s`);
  }
});

test('a clone stands still while the original goes on', () => {
  const history = filled(8, 8);
  const copy = history.clone();
  history.append(frames([[9, { total_J: 99 }]]), 0, false);
  assert.equal(copy.end, 8);
  assert.equal(copy.value('total_J', 0), 0);
  assert.equal(copy.time(0), 0);
  assert.equal(history.value('total_J', 8), 99);
});

test('between readings: straight lines, but not across a gap nor towards what is absent', () => {
  const history = new History(16);
  const rows = [[1, { total_J: 2, force_N: 4, velocity_m_s: 7 }], [1.1, { total_J: 3 }], [1.2, { total_J: 5, force_N: 1 }]];
  rows.forEach((_, i) => history.append(frames(rows), i, i === 2));
  const at = (t) => history.between(t, {}, {});
  assert.ok(Math.abs(at(1.025).total_J - 2.25) < 1e-6);
  assert.equal(at(1.025).force_N, 4, 'held while the next reading lacks it');
  assert.equal(at(1.025).velocity_m_s, 7, 'absent from the next reading');
  assert.equal(at(1.15).total_J, 3, 'a gap');
  assert.equal(at(9).total_J, 5, 'the end');
  assert.equal(new History(16).between(1, {}, {}), null);
});
