import assert from 'node:assert/strict';
import test from 'node:test';
import { Columns, SERIES } from '../pages/columns.js';
import { History } from '../pages/history.js';
import { chance, frames } from './kit.js';

const STEP = 1 / 64;

/** Columns and history fed with rows [t, v, broken]; every series is v. */
function fed(rows, step = STEP, count = 200) {
  const history = new History(1 << 14);
  const columns = new Columns();
  columns.shape(step, count, history);
  for (const [t, v, broken] of rows) {
    const all = Object.fromEntries(SERIES.map((s) => [`${s}_J`, v]));
    history.append(frames([[t, all]]), 0, Boolean(broken));
    columns.add(history, history.end - 1);
  }
  return { history, columns };
}

const at = ({ columns }, c) => (columns.number[c & columns.mask] === c ? [columns.low[0][c & columns.mask], columns.high[0][c & columns.mask]] : null);
const near = (a, b) => Math.abs(a - b) < 1e-6;

test('many readings in a column: its least and greatest value', () => {
  const made = fed([[1, 5], [1.001, 9], [1.002, 2], [1.003, 7]]);
  assert.deepEqual(at(made, 64), [2, 9]);
});

test('few readings: the straight line between them, column by column', () => {
  const made = fed([[1, 0], [1 + 4 * STEP, 4]]);
  for (let k = 0; k < 4; k++) {
    const [low, high] = at(made, 64 + k);
    assert.ok(near(low, k) && near(high, k + 1), `column ${k}: ${low}..${high}`);
  }
});

test('neighbouring columns always touch', () => {
  const random = chance(7);
  let t = 3;
  const rows = Array.from({ length: 400 }, () => [t += 0.03 * random(), random()]);
  const made = fed(rows);
  const last = Math.floor(t / STEP);
  for (let c = last - 150; c < last; c++) {
    const [low, high] = at(made, c);
    const [nextLow, nextHigh] = at(made, c + 1);
    assert.ok(nextLow <= high + 1e-6 && nextHigh >= low - 1e-6, `columns ${c}, ${c + 1}`);
  }
});

test('a gap stays empty', () => {
  const made = fed([[1, 1], [1 + 10 * STEP, 1, true]]);
  assert.equal(at(made, 69), null);
  assert.deepEqual(at(made, 74), [1, 1]);
});

test('an absent value breaks only its own series', () => {
  const history = new History(64);
  const columns = new Columns();
  columns.shape(STEP, 100, history);
  for (const [i, k] of [1, null, 3].entries()) {
    history.append(frames([[1 + 4 * i * STEP, { kinetic_J: k, total_J: 2 }]]), 0, false);
    columns.add(history, i);
  }
  const slot = 70 & columns.mask;
  assert.equal(columns.low[0][slot], Infinity, 'kinetic');
  assert.equal(columns.low[3][slot], 2, 'total');
});

test('refilling from the history gives the same columns', () => {
  const random = chance(11);
  let t = 5;
  const { history, columns } = fed(Array.from({ length: 900 }, () => [t += 0.01 * random(), random()]));
  const again = new Columns();
  again.shape(STEP, 200, history);
  const last = Math.floor(t / STEP);
  for (let c = last - 190; c <= last; c++) {
    assert.deepEqual(at({ columns: again }, c), at({ columns }, c), `column ${c}`);
  }
});

test('time before zero has columns of its own', () => {
  const made = fed([[-1, 3], [-1 + STEP / 2, 4]]);
  assert.deepEqual(at(made, -64), [3, 4]);
  assert.equal(at(made, -63), null);
  assert.equal(at(made, -1), null);
});

test('the range covers what lies between, and nothing else', () => {
  const { columns } = fed([[1, -5], [1 + STEP, 3, true], [1 + 2 * STEP, 8, true]]);
  assert.deepEqual(columns.range(65, 66)[0], { low: 3, high: 8 });
  assert.deepEqual(columns.range(500, 600)[0], { low: Infinity, high: -Infinity });
});

test('absent values are bridged for as long as told, gaps never', () => {
  const history = new History(64);
  const columns = new Columns(['force_N'], 0.25);
  columns.shape(STEP, 100, history);
  const rows = [[1, { force_N: 1 }], [1.05, {}], [1.1, { force_N: 2 }], [1.4, {}], [1.5, { force_N: 3 }], [1.55, { force_N: 4 }]];
  rows.forEach((_, i) => {
    history.append(frames(rows), i, i === 5);
    columns.add(history, i);
  });
  assert.ok(near(at({ columns }, Math.floor(1.05 / STEP))?.[0] ?? NaN, 1 + (Math.floor(1.05 / STEP) * STEP - 1) * 10), 'within the bridge');
  assert.equal(at({ columns }, Math.floor(1.3 / STEP)), null, 'longer than the bridge');
  assert.equal(at({ columns }, Math.floor(1.52 / STEP)), null, 'a gap');
});

test('a history that stands still is filled in up to where it is looked at', () => {
  const { history } = fed(Array.from({ length: 900 }, (_, i) => [5 + i / 100, i]));
  const columns = new Columns();
  columns.shape(STEP, 100, history, 9);
  assert.ok(at({ columns }, Math.floor(9 / STEP)), 'the end');
  assert.equal(at({ columns }, Math.floor(9.1 / STEP)), null, 'beyond it');
  assert.ok(at({ columns }, Math.floor((9 - 99 * STEP) / STEP)), 'the beginning');
  columns.shape(STEP, 100, history, 13);
  assert.ok(at({ columns }, Math.floor(13 / STEP)), 'turned over');
});
