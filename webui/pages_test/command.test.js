// Commands to the daemon, and the key that some need.

import assert from 'node:assert/strict';
import test from 'node:test';
import { Runs } from '../pages/runs.js';
import { calibrationText, words } from '../pages/words.js';

/** A desk whose daemon answers as told; what is asked of it is kept. */
function desk(answers) {
  const elements = {};
  const find = (id) => (elements[id] ??= { id, value: '', textContent: '', hidden: id === 'key-form', dataset: {}, focus() { this.focused = true; } });
  const asked = [];
  const state = { status: { run: { active: false, name: '', rows: 0, lost: 0, length_s: 0, trouble: '' } } };
  globalThis.fetch = async (path, how) => {
    asked.push([path, JSON.parse(how.body)]);
    const answer = answers.shift();
    if (!answer) throw new TypeError('network');
    return { ok: answer[0] < 300, status: answer[0], statusText: '', json: async () => answer[1] };
  };
  const runs = new Runs(find, state);
  let now = 0;
  const submit = async (form) => {
    find(form).onsubmit({ preventDefault() {} });
    do await new Promise(setImmediate); while (find('run').disabled);
    runs.draw(state, (now += 1));
    return find('run-state').textContent;
  };
  return { find, asked, submit };
}

test('a run is started with its note; the note is taken back only when that is done', async () => {
  const { find, asked, submit } = desk([[409, { detail: 'no folder for runs' }], [201, {}]]);
  find('note').value = 'spring S-4';
  assert.equal(await submit('run-form'), 'No folder for runs.');
  assert.equal(find('note').value, 'spring S-4');
  assert.equal(await submit('run-form'), '');
  assert.equal(find('note').value, '');
  assert.deepEqual(asked[1], ['/api/run/start', { note: 'spring S-4' }]);
});

test('where the key is asked for, the command is given again once the daemon has it', async () => {
  const { find, asked, submit } = desk([[401, { detail: 'the bench key is needed' }], [403, { detail: 'that is not the key' }], [204], [201, {}]]);
  assert.equal(await submit('run-form'), 'The bench key is needed.');
  assert.equal(find('key-form').hidden, false);
  assert.ok(find('key').focused);
  find('key').value = 'wrong';
  assert.equal(await submit('key-form'), 'That is not the key.');
  assert.equal(find('key').value, '', 'no key is left on the page');
  find('key').value = 'right';
  assert.equal(await submit('key-form'), '');
  assert.equal(find('key-form').hidden, true);
  assert.deepEqual(asked.map(([path]) => path), ['/api/run/start', '/api/key', '/api/key', '/api/run/start']);
});

test('a daemon that does not answer is said to', async () => {
  const { find, submit } = desk([]);
  assert.equal(await submit('run-form'), 'The daemon does not answer.');
  assert.equal(find('run').disabled, false, 'it can be tried again');
  assert.equal(find('run').textContent, words.run_start);
});

test('the age of a calibration in words', () => {
  const now = Date.UTC(2026, 10, 27, 18);
  const told = (days) => calibrationText(now - days * 86400e3, now);
  assert.equal(told(0.5), 'calibrated today');
  assert.equal(told(1.5), 'calibrated 1 day ago');
  assert.equal(told(400), 'calibrated 400 days ago');
  assert.equal(told(-2), 'calibrated in the future: check the clock');
  assert.equal(calibrationText(NaN, now), 'calibration without date');
});
