import assert from 'node:assert/strict';
import test from 'node:test';
import { readings } from '../pages/sealed.js';
import { settle } from '../pages/settings.js';
import { State } from '../pages/state.js';
import { linkText } from '../pages/words.js';
import { frames, swings } from './kit.js';

const WALL = new Date(2026, 10, 25, 20, 14, 5);
const hello = (session = 'a') => ({ type: 'hello', bench: 'Tamar', virtual: true, source: '', session, lag_s: 0.06, well: null, weight_N: 2.5 });
const status = (change) => ({ type: 'status', link: 'live', link_detail: '', fresh: true, run: { active: false }, ...change });

/** A state that has taken two seconds of readings, at 2000 ms. */
function running(choices = {}) {
  const state = new State(settle({ zero: 'floor', ...choices }, false));
  state.opened();
  state.take(hello(), 0, WALL);
  state.live.columns.shape(0.01, 1000, state.live.history);
  state.take(frames(swings(100, 200)), 2000, WALL);
  state.take(status(), 2000, WALL);
  state.tick(2000);
  return state;
}

test('readings that arrive are live', () => {
  const state = running();
  assert.deepEqual(state.liveness, { live: true, why: 'live', since: null });
});

test('a second without readings is not live, whatever the status says', () => {
  const state = running();
  state.tick(3000);
  assert.ok(state.liveness.live);
  state.take(status(), 3001, WALL);
  state.take({ ...frames([]), seq: 9 }, 3001, WALL);
  state.tick(3002);
  assert.deepEqual(state.liveness, { live: false, why: 'stopped', since: WALL });
});

test('a daemon that calls its values old is believed at once', () => {
  const state = running();
  state.take(status({ fresh: false, link: 'silent' }), 2001, WALL);
  state.tick(2002);
  assert.equal(state.liveness.why, 'stopped');
});

test('a closed line, then the same session: live again, with a gap', () => {
  const state = running();
  state.closed(WALL);
  state.tick(2100);
  assert.equal(state.liveness.why, 'unreachable');
  state.opened();
  state.take(hello(), 2200, WALL);
  state.take(frames(swings(102.2, 10)), 2300, WALL);
  state.tick(2300);
  assert.ok(state.liveness.live);
  const { history } = state.live;
  assert.equal(history.end, 210, 'nothing forgotten');
  assert.equal(history.broken[200], 1, 'the gap is marked');
});

test('another session starts afresh', () => {
  const state = running();
  state.freeze(true, WALL);
  state.take(hello('b'), 2200, WALL);
  assert.equal(state.live.history.end, 0);
  assert.equal(state.frozen, false);
});

test('time that runs backwards starts afresh', () => {
  const state = running();
  state.take(frames(swings(5, 3)), 2100, WALL);
  assert.equal(state.live.history.end, 3);
});

test('readings lost on the way, flagged gaps and long waits break the line', () => {
  const state = running();
  state.take(frames(swings(102, 1), 3), 2100, WALL);
  state.take(frames([[102.02, {}, 'outlier gap']]), 2100, WALL);
  state.take(frames([[103, {}], [103.01, {}]]), 2100, WALL);
  assert.deepEqual([...state.live.history.broken.slice(200, 204)], [1, 1, 1, 0]);
  assert.equal(state.missed, 3);
});

test('frozen: what is shown stands still while readings go on arriving', () => {
  const state = running();
  state.freeze(true, WALL);
  const before = { ...state.sample };
  state.take(frames(swings(102, 50, 1)), 2500, WALL);
  assert.deepEqual(state.sample, before);
  assert.equal(state.live.history.end, 250);
  assert.equal(state.shown.history.end, 200);
  state.freeze(false, null);
  assert.equal(state.sample.total_J, 1);
});

test('frozen: stepping by sample and by turning point stays within the record', () => {
  const state = running();
  state.freeze(true, WALL);
  state.show(-5);
  assert.equal(state.held.cursor, 0);
  state.stepTurning(1);
  const [point] = state.held.record.kept;
  assert.equal(state.held.cursor, point.n);
  assert.ok(Math.abs(state.sample.height_m - (point.high ? 0.7 : 0.5)) < 1e-3);
  state.show(1e9);
  assert.equal(state.held.cursor, 199);
  state.stepTurning(1);
  assert.equal(state.held.cursor, 199);
});

test('freezing before any reading does nothing', () => {
  const state = new State(settle({}, false));
  state.freeze(true, WALL);
  assert.equal(state.frozen, false);
});

test('calm: the last turning point is shown', () => {
  const state = running({ motion: 'calm' });
  const point = state.live.points.at(-1);
  assert.equal(state.sample.n, point.n);
});

test('the strip slides on while nothing comes, to half its length', () => {
  const state = running();
  const newest = state.live.history.newest;
  assert.equal(state.edge(2500), newest);
  assert.equal(state.edge(5000), newest + 3);
  assert.equal(state.edge(60000), newest + 5);
});

test('gravitational energy from the lowest height in reach', () => {
  const state = running({ zero: 'lowest' });
  // A well of which the level 2 J meets the left slope at 0.3 m.
  state.take({ ...hello('c'), well: { height_m: [0.2, 0.4, 0.6, 1], potential_J: [2.5, 1.5, 1, 3] } }, 3000, WALL);
  const rows = swings(200, 200).map(([t, v]) => [t, { ...v, gravitational_J: 2.5 * v.height_m }]);
  state.take(frames(rows), 3000, WALL);
  assert.ok(Math.abs(state.offset - 2.5 * 0.3) < 1e-5, `${state.offset}`);
  state.settings = settle({ zero: 'floor' }, false);
  assert.equal(state.offset, 0);
});

test('refused messages are counted, nothing else happens', () => {
  const state = running();
  state.refuse('version');
  state.tick(2001);
  assert.equal(state.refused.version, 1);
  assert.ok(state.liveness.live);
});

test('settings: unknown choices become the defaults', () => {
  const s = settle({ look: 'pink', window: '30', seat: 7, motion: 'auto' }, true);
  assert.deepEqual([s.look, s.window, s.seat, s.calm], ['auto', 30, 4, true]);
  assert.equal(settle({ motion: 'live' }, true).calm, false, 'live mode is one choice away');
  assert.equal(settle({}, false).calm, false);
});

test('after a loss nothing counts until the daemon has said who it is', () => {
  const state = running();
  state.closed(WALL);
  state.opened();
  state.take(frames(swings(102, 5)), 2050, WALL);
  state.take(status(), 2050, WALL);
  state.tick(2060);
  assert.equal(state.live.history.end, 200, 'readings of an unknown bench');
  assert.equal(state.liveness.live, false);
  state.take(hello('b'), 2100, WALL);
  state.tick(2110);
  assert.deepEqual(state.liveness, { live: false, why: 'never', since: null }, 'another bench has said nothing yet');
  assert.equal(state.sample, null);
});

test('old readings that arrive at once, after a sleep, are not live; prompt ones are', () => {
  const state = running();
  for (let i = 0; i < 5; i++) {
    // An hour later, readings of the second after the last one.
    state.take(frames(swings(102 + i / 5, 20)), 3600e3 + i, WALL);
    state.take(status(), 3600e3 + i, WALL);
  }
  state.tick(3600e3 + 10);
  assert.equal(state.liveness.why, 'stopped');
  state.take(frames(swings(3700, 5)), 3600e3 + 40, WALL);
  state.tick(3600e3 + 50);
  assert.ok(state.liveness.live);
});

test('a machine that slept shows nothing as live until readings come', () => {
  const state = running();
  state.tick(2010, 1e12);
  assert.ok(state.liveness.live);
  state.tick(2026, 1e12 + 3600e3); // the page's own clock stood still
  assert.equal(state.liveness.why, 'stopped');
  state.take(frames(swings(102, 5)), 2030, WALL);
  state.tick(2042, 1e12 + 3600e3 + 16);
  assert.ok(state.liveness.live);
});

test('a replay at another speed than time is not late', () => {
  const state = running();
  state.take(status({ link: 'replaying' }), 2001, WALL);
  for (let i = 1; i <= 40; i++) state.take(frames(swings(102 + i / 20, 1)), 2000 + 500 * i, WALL); // a tenth of the speed
  state.tick(2000 + 500 * 40);
  assert.ok(state.liveness.live);
});

test('slow motion: from a window before the freeze, at its share of the speed, to the end', () => {
  const state = running({ window: '10' });
  state.take(frames(swings(102, 1800)), 20000, WALL); // to 119.99 s
  state.tick(20000);
  state.play(1 / 4, WALL);
  assert.ok(state.frozen);
  const from = state.held.t;
  assert.ok(Math.abs(from - 109.99) < 0.02, `${from}`);
  for (let ms = 16; ms <= 2000; ms += 16) state.tick(20000 + ms);
  assert.ok(Math.abs(state.held.t - from - 0.5) < 1e-6, `${state.held.t - from} s in 2 s`);
  const sample = state.sample;
  assert.ok(Math.abs(sample.kinetic_J + sample.elastic_J + sample.gravitational_J - sample.total_J) < 1e-6, 'between readings the parts still add up');
  state.tick(60000);
  assert.ok(state.held.t - from < 0.5 + 0.03, 'a tab that slept does not leap');
  for (let i = 1; i < 800; i++) state.tick(60000 + 50 * i);
  assert.equal(state.held.speed, 0, 'it stands still at the end');
  assert.equal(state.held.t, state.held.record.history.newest);
  assert.equal(state.live.history.end, 2000, 'and has added nothing');
});

test('frozen: strips turn over like pages when the instant leaves them', () => {
  const state = running({ window: '10' });
  state.take(frames(swings(102, 3000)), 40000, WALL); // to 131.99 s
  state.freeze(true, WALL);
  const { newest } = state.held.record.history;
  assert.equal(state.edge(0), newest);
  state.show(state.held.record.history.find(newest - 25));
  assert.ok(Math.abs(state.edge(0) - (newest - 22.5)) < 0.02, `${newest - state.edge(0)}`);
  state.show(1e9);
  assert.equal(state.edge(0), newest);
});

test('losses before the level was put in are not counted against it', () => {
  const state = running();
  const { putIn } = state.live;
  assert.equal(state.level, putIn.level);
  state.freeze(true, WALL);
  state.show(0);
  assert.ok(state.held.t < state.held.record.putIn.since);
  assert.ok(Number.isNaN(state.level));
});

test('two minutes at a thousand a second: nothing grows beyond its room', () => {
  const state = running();
  const size = () => [state.live.history.capacity, state.live.columns.slots, state.live.force.slots, Math.max(0, state.live.points.length - 200)];
  const before = size();
  for (let s = 0; s < 120; s++) {
    const rows = Array.from({ length: 1000 }, (_, i) => [200 + s + i / 1000, { height_m: 0.6 + 0.1 * Math.cos(4 * Math.PI * (s + i / 1000)) }]);
    state.take(frames(rows), 3000 + s * 1000, WALL);
  }
  assert.equal(state.live.history.end, 120_200);
  assert.deepEqual(size(), before);
  state.freeze(true, WALL);
  state.show(0);
  assert.ok(state.shown.history.newest - state.sample.t >= 60, 'the last minute can be stepped through');
});

test('sealed: no energy of before is kept, readings go on; opened, energies come again', () => {
  const state = running();
  state.freeze(true, WALL);
  state.take(status({ sealed: true }), 2000, WALL);
  assert.equal(state.sample, null);
  assert.ok(!state.frozen, 'nor is one frozen');
  const bare = ([t, { height_m }]) => [t, { height_m, extension_m: 0.1, force_N: 2.5 }];
  state.take(frames(swings(102, 50).map(bare)), 2500, WALL);
  state.tick(2510);
  assert.ok(state.liveness.live);
  assert.ok(Number.isNaN(state.sample.total_J));
  assert.deepEqual(readings(state).slice(1), ['0.100', '2.50']);
  assert.match(linkText(state), /sealed/);
  state.take(status({ sealed: true }), 2600, WALL);
  assert.equal(state.live.history.end, 50, 'told again, nothing is forgotten');
  state.tick(9000);
  assert.deepEqual(readings(state), ['–', '–', '–'], 'what is not live is not shown');
  state.take(status({ sealed: false }), 9100, WALL);
  state.take(frames(swings(103, 50, 1)), 9200, WALL);
  assert.equal(state.sample.total_J, 1);
});

test('frozen before its axes were fitted, a page fits them to what it froze', () => {
  const state = running();
  state.live.columns.shape(0.1, 100, state.live.history);
  state.freeze(true, WALL);
  state.axis.set(0, 8); // as if nothing had been seen yet
  state.axis.reset();
  state.tick(2500);
  assert.equal(state.axis.high, 3, 'a total of 2 J, not an axis of nothing');
});
