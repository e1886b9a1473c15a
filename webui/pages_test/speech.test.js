import assert from 'node:assert/strict';
import test from 'node:test';
import { Speech } from '../pages/speech.js';

/** What a screen reader hears of a page whose state changes as told, [ms, change]. */
function heard(speech, changes, until) {
  const state = {
    frozen: false, sealed: false, settings: { speech }, status: null, readingAt: null,
    liveness: { live: false, why: 'never', since: null },
  };
  const said = [];
  const line = { set textContent(text) { said.push([now, text]); } };
  const reader = new Speech(line, () => 'kinetic: 1 joules.');
  let now = 0;
  for (; now <= until; now += 50) {
    for (const [at, change] of changes) if (at === now) Object.assign(state, change);
    reader.draw(state, now);
  }
  return said;
}
const live = { liveness: { live: true, why: 'live', since: null } };

test('the state is spoken at most once a second, and nothing of it is lost', () => {
  const flicker = Array.from({ length: 40 }, (_, i) => [1000 + 50 * i, { frozen: i % 2 === 0 }]);
  const said = heard('events', [[500, live], ...flicker], 6000);
  for (let i = 1; i < said.length; i++) assert.ok(said[i][0] - said[i - 1][0] >= 1000, `${said[i - 1][0]}, ${said[i][0]}`);
  const all = said.map(([, text]) => text).join(' ');
  assert.equal(all.match(/Frozen\./g).length, 20);
  assert.equal(all.match(/Running on\./g).length, 20);
});

test('energies are spoken when asked for, every five seconds, of live readings only', () => {
  assert.equal(heard('events', [[0, live]], 30000).length, 1);
  assert.deepEqual(heard('off', [[0, live]], 30000), []);
  const said = heard('often', [[0, live], [16000, { sealed: true }], [22000, { sealed: false, liveness: { live: false, why: 'stopped', since: null } }]], 40000);
  const energies = said.filter(([, text]) => text.startsWith('kinetic')).map(([at]) => at);
  assert.equal(energies.length, 3);
  for (let i = 1; i < energies.length; i++) assert.ok(energies[i] - energies[i - 1] >= 5000);
  assert.ok(energies.at(-1) < 16000, 'none while results are sealed or nothing is live');
  assert.ok(said.some(([, text]) => text.includes('sealed')));
});
