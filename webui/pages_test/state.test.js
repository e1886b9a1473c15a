import assert from 'node:assert/strict';
import test from 'node:test';
import { settle } from '../pages/settings.js';
import { State } from '../pages/state.js';
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
  const before = state.sample;
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
  assert.equal(state.cursor, 0);
  state.stepTurning(1);
  const [point] = state.held.kept;
  assert.equal(state.cursor, point.n);
  assert.ok(Math.abs(state.sample.height_m - (point.high ? 0.7 : 0.5)) < 1e-3);
  state.show(1e9);
  assert.equal(state.cursor, 199);
  state.stepTurning(1);
  assert.equal(state.cursor, 199);
});

test('freezing before any reading does nothing', () => {
  const state = new State(settle({}, false));
  state.freeze(true, WALL);
  assert.equal(state.frozen, false);
});

test('calm: the last turning point is shown, with the range of the last cycle', () => {
  const state = running({ motion: 'calm' });
  const point = state.live.points.at(-1);
  assert.equal(state.sample.n, point.n);
  const range = state.cycleRange('kinetic');
  assert.ok(range.low < 0.001 && range.high > 0.299, `${range.low}..${range.high}`);
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
