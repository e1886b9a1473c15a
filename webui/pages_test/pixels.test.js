import assert from 'node:assert/strict';
import test from 'node:test';
import { Columns } from '../pages/columns.js';
import { History } from '../pages/history.js';
import { edges, series, word } from '../pages/pixels.js';
import { frames } from './kit.js';

const INK = word(1, 2, 3);
const ROWS = { zero: 90, perJoule: 10 };
const SPAN = { right: 99, count: 100 };
const solid = { word: INK, width: 4, on: 0, off: 0 };

/** One sample per column, value by column number. */
function columnsOf(value, u = 0) {
  const history = new History(256);
  const columns = new Columns();
  columns.shape(1, 100, history);
  for (let c = 0; c < 100; c++) {
    const v = value(c);
    history.append(frames([[c + 0.5, { kinetic_J: v, total_J: v, u_total_J: u }]]), 0, v === null);
    columns.add(history, c);
  }
  return columns;
}

const blank = (width = 100, height = 100) => ({ words: new Uint32Array(width * height), width, height });
const inked = (to, x, y) => to.words[y * to.width + x] === INK;
const inkedIn = (to, x) => Array.from({ length: to.height }, (_, y) => y).filter((y) => inked(to, x, y));

test('a word is red, green, blue and opaque in the order of ImageData', () => {
  assert.deepEqual([...new Uint8Array(new Uint32Array([word(10, 20, 30)]).buffer)], [10, 20, 30, 255]);
});

test('a level series is a line as thick as the nib, on its value', () => {
  const to = blank();
  series(to, columnsOf(() => 4), 0, SPAN, ROWS, solid);
  assert.deepEqual(inkedIn(to, 50), [48, 49, 50, 51]);
});

test('what is taken off moves the line down', () => {
  const to = blank();
  series(to, columnsOf(() => 4), 0, SPAN, ROWS, solid, 1);
  assert.deepEqual(inkedIn(to, 50), [58, 59, 60, 61]);
});

test('a gap is left blank', () => {
  const to = blank();
  series(to, columnsOf((c) => (c >= 40 && c < 60 ? null : 4)), 0, SPAN, ROWS, solid);
  assert.equal(inkedIn(to, 50).length, 0);
  assert.equal(inkedIn(to, 70).length, 4);
});

test('nothing is painted outside of the surface', () => {
  const to = blank(100, 40);
  series(to, columnsOf((c) => c / 5 - 5), 0, SPAN, ROWS, solid);
  assert.equal(to.words.length, 4000);
});

test('dashes on the level: on and off as told', () => {
  const to = blank();
  series(to, columnsOf(() => 4), 0, SPAN, ROWS, { ...solid, on: 12, off: 8 });
  const runs = [];
  for (let x = 0, run = 0; x <= 100; x++) {
    if (x < 100 && inked(to, x, 50)) run++;
    else if (run) [run] = [runs.push(run) && 0];
  }
  assert.deepEqual(runs.slice(1, -1), [12, 12, 12], 'whole dashes');
});

test('dashes on a steep rise keep their length', () => {
  // 0.2 J or two rows a column: dash and gap together make 30 pixels of way, 20 rows.
  const to = blank(100, 260);
  series(to, columnsOf((c) => c / 5), 0, SPAN, { zero: 230, perJoule: 10 }, { ...solid, width: 1, on: 16, off: 14 });
  const rows = Array.from({ length: 200 }, (_, y) => Array.from({ length: 100 }, (_, x) => inked(to, x, y + 30)).some(Boolean));
  const starts = rows.flatMap((on, y) => (on && !rows[y - 1] ? [y] : []));
  const spacing = starts.slice(2, 8).map((y, i) => y - starts[i + 1]);
  for (const s of spacing) assert.ok(Math.abs(s - 20) <= 2, `spacing ${spacing}`);
});

test('dashes travel with the data', () => {
  const columns = columnsOf((c) => 4 + Math.sin(c / 9));
  const [now, later] = [blank(), blank()];
  const pen = { ...solid, on: 12, off: 8 };
  series(now, columns, 0, { right: 80, count: 60 }, ROWS, pen);
  series(later, columns, 0, { right: 85, count: 60 }, ROWS, pen);
  for (let x = 10; x < 50; x++) assert.deepEqual(inkedIn(later, x - 5), inkedIn(now, x), `column ${x}`);
});

test('edges stand at the expanded uncertainty, and hide when the line covers them', () => {
  const to = blank();
  edges(to, columnsOf(() => 4, 0.5), 3, SPAN, ROWS, solid, 2);
  assert.deepEqual(inkedIn(to, 50), [39, 40, 59, 60]);
  const covered = blank();
  edges(covered, columnsOf(() => 4, 0.1), 3, SPAN, ROWS, solid, 2);
  assert.equal(inkedIn(covered, 50).length, 0);
});
