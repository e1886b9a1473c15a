import assert from 'node:assert/strict';
import test from 'node:test';
import { COMMANDS, commandOf } from '../pages/commands.js';
import { History } from '../pages/history.js';
import { Lateness } from '../pages/lateness.js';
import { Overlay } from '../pages/overlay.js';
import { Release } from '../pages/release.js';
import { PLACES, Sketch } from '../pages/sketch.js';
import { chance, frames } from './kit.js';

test('a sketched piece is straight, held to the chart, and keeps the rest', () => {
  const sketch = new Sketch();
  assert.ok(sketch.empty);
  sketch.draw('elastic', 10, 0, 20, 0.5);
  assert.equal(sketch.curves.elastic[15], 0.25);
  assert.ok(Number.isNaN(sketch.curves.elastic[9]) && Number.isNaN(sketch.curves.kinetic[15]));
  sketch.draw('elastic', 20, 0.5, -5, 9); // backwards, over the edge, too high
  assert.equal(sketch.curves.elastic[0], 1);
  assert.equal(sketch.curves.elastic[20], 0.5);
  sketch.draw('elastic', PLACES + 3, 0.2, PLACES + 9, 0.2);
  assert.ok(Number.isNaN(sketch.curves.elastic[PLACES - 1]));
  sketch.clear('elastic');
  assert.ok(sketch.empty);
});

/** Height of a bob held at 0.8 m until t = 2 s, then swinging 0.1 m about 0.7 m, twice a second. */
const dropped = (t) => (t < 2 ? 0.8 : 0.7 + 0.1 * Math.cos(4 * Math.PI * (t - 2)));

test('the release is found where the bob leaves its rest, once', () => {
  const random = chance(2);
  const release = new Release();
  const found = [];
  for (let n = 0; n < 1000; n++) {
    const at = release.push(n / 100, dropped(n / 100) + 0.002 * (random() - 0.5));
    if (!Number.isNaN(at)) found.push(at);
  }
  assert.equal(found.length, 1, `${found}`);
  // 4 mm below the rest of 0.1 m amplitude: cos = 0.96, 0.023 s after the release.
  assert.ok(Math.abs(found[0] - 2) < 0.05, `${found[0]}`);
});

test('a lift counts, and the drop after it takes its place', () => {
  const history = new History(1 << 12);
  const overlay = new Overlay();
  overlay.shape(0.01, 300, history);
  overlay.arm(true, history);
  const height = (t) => (t < 1 ? 0.6 : t < 1.5 ? 0.6 + 0.4 * (t - 1) : dropped(t - 0.5));
  const rows = Array.from({ length: 600 }, (_, i) => [i / 100, { height_m: height(i / 100), total_J: i, kinetic_J: 1 }]);
  for (let i = 0; i < rows.length; i++) {
    history.append(frames([rows[i]]), 0, false);
    overlay.follow(history, 3);
  }
  assert.ok(Math.abs(overlay.start - 2.5) < 0.05, `${overlay.start}`);
  assert.equal(overlay.armed, false, 'three seconds are full');
  const { columns } = overlay;
  const c = Math.floor(4 / columns.step);
  assert.equal(columns.number[c & columns.mask], c, 'within');
  const late = Math.floor(5.8 / columns.step);
  assert.notEqual(columns.number[late & columns.mask], late, 'after the end of the axis');
  assert.ok(columns.range(0, Math.floor(2.4 / columns.step))[3].high === -Infinity, 'before the release');
});

test('what is laid over goes with the record it came from', () => {
  const history = new History(1 << 12);
  const overlay = new Overlay();
  overlay.shape(0.01, 300, history);
  overlay.arm(true, history);
  for (let n = 0; n < 600; n++) {
    history.append(frames([[n / 100, { height_m: dropped(n / 100), total_J: 2 }]]), 0, false);
    overlay.follow(history, 3);
  }
  assert.ok(!overlay.armed && overlay.columns.range(0, 1e6)[3].high === 2, 'a run is laid over');
  const { version } = overlay;
  history.clear(); // as a seal or another session does
  overlay.follow(history, 3);
  assert.ok(Number.isNaN(overlay.start));
  assert.equal(overlay.columns.range(0, 1e6)[3].high, -Infinity);
  assert.ok(overlay.version > version, 'and the picture is drawn anew');
});

test('nothing is laid over before it is asked for', () => {
  const history = new History(1 << 12);
  const overlay = new Overlay();
  for (let n = 0; n < 500; n++) history.append(frames([[n / 100, { height_m: dropped(n / 100) }]]), 0, false);
  overlay.follow(history, 3);
  assert.ok(Number.isNaN(overlay.start));
  overlay.shape(0.01, 300, history);
  overlay.arm(true, history);
  history.append(frames([[5.01, { height_m: 0.7, total_J: 1 }]]), 0, false);
  overlay.follow(history, 3);
  assert.equal(overlay.columns.range(0, 1e6)[3].high, -Infinity, 'armed, before the release');
});

test('lateness: jitter is, a growing delay is; a drift of clocks is not', () => {
  const prompt = new Lateness();
  for (let t = 0; t < 3600; t++) assert.ok(Math.abs(prompt.of(t * 1.0005 + 7, t)) < 1e-6, 'half a second in a thousand'.concat(` ${t}`));
  assert.ok(Math.abs(prompt.of(3600 * 1.0005 + 9, 3600) - 2) < 0.01, 'two seconds late');
  const other = new Lateness();
  other.of(100, 5);
  assert.ok(Math.abs(other.of(101.5, 6) - 0.5) < 0.01);
  assert.ok(Math.abs(other.of(101.6, 6.6)) < 0.01, 'prompt again');
});

test('keys: none while typing or with a modifier; single characters can be switched off', () => {
  const press = (key, more = {}) => ({ key, ctrlKey: false, altKey: false, metaKey: false, ...more });
  const now = { typing: false, frozen: false, characters: true };
  assert.equal(commandOf(press('F'), now).word, 'freeze');
  assert.equal(commandOf(press('f', { ctrlKey: true }), now), undefined);
  assert.equal(commandOf(press('f'), { ...now, typing: true }), undefined);
  assert.equal(commandOf(press('f'), { ...now, characters: false }), undefined);
  assert.equal(commandOf(press('Escape'), { ...now, typing: true, characters: false }).word, 'escape');
  assert.equal(commandOf(press('ArrowLeft'), now), undefined, 'only while frozen');
  assert.equal(commandOf(press('ArrowLeft'), { ...now, frozen: true }).word, 'reading');
  assert.equal(new Set(COMMANDS.map((c) => c.key)).size, COMMANDS.length, 'one command a key');
});
