import assert from 'node:assert/strict';
import test from 'node:test';
import { parse } from '../pages/protocol.js';
import { chance } from './kit.js';

const hello = {
  v: 1, type: 'hello', bench: 'Tamar', virtual: true, source: 'virtual bench', session: 'a1', lag_s: 0.06, rate: 120,
  channels: [{ name: 'height_m', unit: 'm', title: 'height' }],
  apparatus: { spring: { mass_kg: { value: 0.02, u: 0 } }, bob: { mass_kg: { value: 0.25, u: 0 } }, gravity_m_s2: { value: 9.81, u: 0 } },
  well: { height_m: [0.1, 0.2], potential_J: [1, 2] },
};
const frames = { v: 1, type: 'frames', seq: 7, n: 2, lost: 0, t_s: [1, 1.01], flags: ['', 'gap'], height_m: [0.5, null], total_J: [2, 2] };
const status = {
  v: 1, type: 'status', link: 'live', link_detail: '', port: 'x', epoch: 1, rate_per_s: 80, fresh: true, viewers: 1,
  lines: { accepted: 9, refused: { checksum: 2, overlong: 1 } }, clock: { known: true, ppm: 3, u_ppm: 1 },
  run: { active: true, name: 'r.csv', rows: 5, lost: 0, length_s: 1, trouble: '' },
};
const read = (m) => parse(JSON.stringify(m));

test('the three messages are read', () => {
  const h = read(hello).message;
  assert.equal(h.session, 'a1');
  assert.ok(Math.abs(h.weight_N - 0.26 * 9.81) < 1e-12);
  const f = read(frames).message;
  assert.deepEqual(f.columns.height_m, [0.5, null]);
  assert.deepEqual(f.flags, ['', 'gap']);
  const s = read(status).message;
  assert.equal(s.refused, 3);
  assert.equal(s.run.rows, 5);
  assert.equal(s.virtual, null, 'not said');
  assert.equal(read({ ...status, virtual: false }).message.virtual, false);
});

test('the older of the sensors\u2019 calibrations; none where one has no date; what is amiss with any', () => {
  const told = (distance, force) => read({ ...hello, calibrations: [
    { kind: 'force', date: force, caution: '' }, { kind: 'distance', date: distance, caution: '' },
    { kind: 'spring', date: null, caution: 'was due' },
  ] }).message;
  assert.equal(told('2026-11-20T18:30:00Z', '2026-10-01T08:00:00Z').calibrated, Date.UTC(2026, 9, 1, 8));
  assert.ok(Number.isNaN(told(null, '2026-10-01T08:00:00Z').calibrated));
  assert.deepEqual(told(null, null).cautions, ['was due']);
  for (const calibrations of [undefined, null, {}, [3, null, { kind: 'force', date: {} }]]) {
    const { message } = read({ ...hello, calibrations });
    assert.ok(Number.isNaN(message.calibrated));
    assert.deepEqual(message.cautions, []);
  }
});

test('a hello without a well is one without a picture of it', () => {
  assert.equal(read({ ...hello, well: { height_m: [], potential_J: [] } }).message.well, null);
  assert.equal(read({ ...hello, well: { height_m: [0.2, 0.1], potential_J: [1, 2] } }).message.well, null, 'heights fall');
});

test('columns that this page does not know are left aside', () => {
  assert.equal(read({ ...frames, raw_echo_us: [1, 2] }).message.columns.raw_echo_us, undefined);
});

const refused = {
  'another version': [{ ...frames, v: 2 }, 'version'],
  'no version': [{ type: 'frames' }, 'version'],
  'another type': [{ v: 1, type: 'ledger' }, 'unknown'],
  'the name of an inherited property as type': [{ v: 1, type: 'constructor' }, 'unknown'],
  'a list': [[], 'malformed'],
  'a hello without session': [{ ...hello, session: undefined }, 'malformed'],
  'n beyond the times': [{ ...frames, n: 3 }, 'malformed'],
  'n below zero': [{ ...frames, n: -1, t_s: [] }, 'malformed'],
  'a short column': [{ ...frames, height_m: [1] }, 'malformed'],
  'text in a column': [{ ...frames, height_m: ['1', 2] }, 'malformed'],
  'a time that is null': [{ ...frames, t_s: [1, null] }, 'malformed'],
  'short flags': [{ ...frames, flags: [''] }, 'malformed'],
  'a status without link': [{ ...status, link: 3 }, 'malformed'],
};
for (const [name, [message, refusal]] of Object.entries(refused)) {
  test(`refused: ${name}`, () => assert.deepEqual(read(message), { refusal }));
}

test('refused: no JSON, binary, numbers out of range', () => {
  assert.equal(parse('{"v":1').refusal, 'malformed');
  assert.equal(parse(new ArrayBuffer(4)).refusal, 'malformed');
  assert.equal(parse('{"v":1,"type":"frames","n":1,"t_s":[1],"total_J":[1e999]}').refusal, 'malformed');
});

test('damage never throws: either a message or a reason', () => {
  const random = chance(5);
  const texts = [hello, frames, status].map((m) => JSON.stringify(m));
  let read = 0;
  for (let i = 0; i < 6000; i++) {
    const chars = [...texts[i % 3]];
    for (let k = 0; k < 1 + 3 * random(); k++) {
      const at = Math.floor(random() * chars.length);
      chars.splice(at, Math.floor(3 * random()), '{}[]",:0n-'[Math.floor(10 * random())]);
    }
    const { message, refusal } = parse(chars.join(''));
    assert.equal(Boolean(message), !refusal);
    if (message) read++;
  }
  assert.ok(read > 0, 'some damage is harmless');
});
