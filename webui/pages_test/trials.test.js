// The Trials page's reckoning: groups, what stands out, the chart, what is said.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { hear, lineText, NOTHING, silence } from '../pages/benchline.js';
import { filled } from '../pages/handdesk.js';
import { marker, MARKERS } from '../pages/markers.js';
import { ruleOf } from '../pages/round.js';
import { chosen, offer, sheetPath } from '../pages/sheetdesk.js';
import { hintText, markRow, sheetWords } from '../pages/sheetwords.js';
import { comparisonHeads, comparisonRow, groupHead, probability, statHeads, statRow, trendText } from '../pages/statwords.js';
import { trialChart } from '../pages/trialchart.js';
import { placeHead, placeRows } from '../pages/trialdetail.js';
import { whole } from '../pages/trialchanges.js';
import { groupsOf, keyOf, measured, offered, QUANTITIES, seriesOf, suspects, unitOf, unitsFor } from '../pages/trialrows.js';
import { columnsFor } from '../pages/trialtable.js';
import { pointSpoken, reasons, roundState, tally, timeText, trialSpoken, verdictText, words } from '../pages/trialwords.js';
import { Voice } from '../pages/voice.js';

const e = (value, u) => ({ value, u });
const place = (t, h, total) => ({ time_s: t, height_m: e(h, 0.0005), extension_m: e(0.1, 0.0006), elastic_J: e(0.1, 0.001), gravitational_J: e(total - 0.1, 0.001), total_J: e(total, 0.0015) });

/** A trial that lost so much [J] in its first fall. */
const trial = (n, group, loss, counts = true) => ({
  run: `2026-11-27T18${String(10 + n)}10Z-tamar`, index: 0, created: new Date(2026, 10, 27, 18, 10 + n, 10).toISOString(), group, virtual: true,
  row: {
    bench: 'Tamar', spring: 'S-4', bob: 'brass bob', counts, overruled: false, release_s: 0.25, over: 'enough cycles', cycles: 10,
    start: place(0.25, 0.784, 2.02), lowest: place(0.57, 0.594, 2.0), end: place(6.5, 0.775, 1.98),
    amplitude_m: e(0.095, 0.0004), period_s: e(0.634, 0.0002), first_fall_loss_J: e(loss, 0.0004), loss_per_cycle_J: e(0.011, 0.0002),
    decay_law: 'viscous', findings: counts ? [] : [{ fault: 'sway', sentence: 'it swung aside', voids: false }, { fault: 'pushed', sentence: 'the bob was pushed', voids: true }],
  },
});
const column = (more) => ({ key: 'first_fall_loss_J', label: 'loss', unit: 'J', n: 3, mean: 0.0212, sd: 0.0004, u_mean: 0.00023, u_shared: 0.0002, u_combined: 0.0003, U: 0.0013, k: 4.3, outliers: [], ...more });
const statGroup = (label, more) => ({ label, bench: 'Tamar', spring: 'S-4', bob: 'brass bob', trials: 3, left_out: 1, columns: [column(more)] });

const trials = [trial(0, 'window', 0.021), trial(1, '', 0.018), trial(2, 'window', 0.03, false), trial(3, 'window', 0.0214), trial(4, 'window', 0.0212), trial(5, '', 0.0185)];
const table = { groups: [statGroup('window', { outliers: [3] }), statGroup('Tamar', { outliers: [] })], comparisons: [], notes: [] };

test('groups come in the order of their first trials, with the statistics of the table', () => {
  const groups = groupsOf(trials, table);
  assert.deepEqual(groups.map((g) => [g.label, g.members, g.stat?.label]), [['window', [0, 2, 3, 4], 'window'], ['Tamar', [1, 5], 'Tamar']]);
  const other = { ...table, groups: [table.groups[0]] };
  assert.ok(groupsOf(trials, other).every((g) => g.stat === null), 'a table of other groups is none of theirs');
  assert.deepEqual(groupsOf(trials).map((g) => g.label), ['window', 'Tamar']);
  const springs = [trial(0, 'window', 0.02), { ...trial(1, 'window', 0.02), row: { ...trial(1, '', 0).row, spring: 'S-5' } }];
  assert.equal(groupsOf(springs).length, 2, 'two springs are two groups');
});

test('an answer of what changed goes together with what is known', () => {
  const at = (list, from = 0) => list.map((t, i) => ({ ...t, at: from + i }));
  const state = (mark, since, count, told) => ({ mark, since, count, trials: told });
  const known = state('a-3', '', 5, at(trials.slice(0, 5)));
  assert.equal(whole(null, known), known, 'all are told');
  const left = { ...trials[1], at: 1, group: 'door' };
  const now = whole(known, state('a-5', 'a-3', 6, [left, { ...trials[5], at: 5 }]));
  assert.deepEqual(now.trials.map(keyOf), trials.map(keyOf));
  assert.equal(now.trials[1], left);
  assert.ok([0, 2, 3, 4].every((i) => now.trials[i] === known.trials[i]), 'what did not change stays the object that it was');
  const between = whole(known, state('a-4', 'a-3', 6, [{ ...trials[5], at: 2 }]));
  assert.deepEqual(between.trials.map(keyOf), [0, 1, 5, 2, 3, 4].map((i) => keyOf(trials[i])));
  assert.deepEqual(whole(known, state('a-4', 'a-3', 5, [])).trials, known.trials, 'nothing but the state');
  for (const [why, answer] of [['another state', state('a-9', 'a-8', 5, [])], ['too few known', state('a-4', 'a-3', 7, [left])],
    ['too many known', state('a-4', 'a-3', 4, [])], ['no such place', state('a-4', 'a-3', 6, [{ ...trials[5], at: 9 }])]]) {
    assert.equal(whole(known, answer), null, why);
  }
  assert.equal(whole(null, state('a-4', 'a-3', 1, [left])), null, 'nothing is known');
});

test('a suspected trial is found among those that count', () => {
  const groups = groupsOf(trials, table);
  assert.deepEqual([...suspects(groups)], [[3, ['first_fall_loss_J']]]);
  assert.match(reasons(trials[3].row, ['first_fall_loss_J'])[0], /loss of the first fall/);
});

test('series hold every trial, with twice its standard uncertainty', () => {
  const groups = groupsOf(trials, table);
  const [window, tamar] = seriesOf(trials, groups, QUANTITIES[0], 1000);
  assert.deepEqual(window.marks.map((m) => [m.at, m.counts, m.odd]), [[0, true, false], [2, false, false], [3, true, true], [4, true, false]]);
  assert.ok(Math.abs(window.marks[0].U - 0.8) < 1e-9 && Math.abs(window.mean - 21.2) < 1e-9 && Math.abs(tamar.U - 1.3) < 1e-9);
  const without = [{ ...trials[0], row: { ...trials[0].row, first_fall_loss_J: undefined } }];
  assert.equal(seriesOf(without, groupsOf(without), QUANTITIES[0], 1)[0].marks.length, 0);
});

test('the chart: counted ones full, others hollow, suspects ringed, mean and band for each group', () => {
  const series = seriesOf(trials, groupsOf(trials, table), QUANTITIES[0], 1000);
  const { still, points } = trialChart(series, trials.length, 700, 320, { up: 'lost, mJ', along: 'trial' });
  assert.deepEqual(points.map((p) => p.mark.at), [0, 1, 2, 3, 4, 5]);
  const pens = points.map((p) => p.shapes.map((s) => s.class).join(' '));
  assert.deepEqual(pens, ['bar point', 'bar point', 'bar out hollow', 'bar point ring', 'bar point', 'bar point']);
  assert.equal(still.filter((s) => s.class === 'band').length, 2);
  assert.equal(still.filter((s) => s.class === 'edge').length, 4);
  assert.deepEqual(still.filter((s) => s.tag === 'text' && ['window', 'Tamar'].includes(s.text)).length, 2);
  assert.notEqual(points[0].shapes[1].tag, points[1].shapes[1].tag, 'groups differ in shape');
  for (const s of [...still, ...points.flatMap((p) => p.shapes)]) for (const v of Object.values(s.at)) assert.ok(!/NaN|undefined/.test(String(v)), JSON.stringify(s));
  // A mean lies between the edges of its band, and the band as far from either.
  const [band] = still.filter((s) => s.class === 'band');
  const [mean] = still.filter((s) => s.class === 'group-mean');
  assert.ok(Math.abs(band.at.y + band.at.height / 2 - mean.at.y1) < 1e-6);
  const narrow = trialChart(series, trials.length, 260, 220, { up: 'lost, mJ', along: 'trial' });
  for (const s of narrow.still) if (s.tag === 'line') assert.ok(s.at.x1 >= 0 && s.at.x2 <= 260);
});

test('an empty chart and one of a thousand trials', () => {
  assert.equal(trialChart([], 0, 400, 240, { up: 'x', along: 'trial' }).points.length, 0);
  const many = Array.from({ length: 1000 }, (_, i) => trial(i % 50, 'window', 0.02 + (i % 7) / 1e4));
  const { points } = trialChart(seriesOf(many, groupsOf(many), QUANTITIES[0], 1000), 1000, 700, 320, { up: 'x', along: 'trial' });
  assert.equal(points.length, 1000);
  assert.ok(points[0].shapes.at(-1).at.r < 3, 'markers shrink where many stand side by side');
});

test('markers differ', () => {
  const drawn = MARKERS.map((_, i) => JSON.stringify(marker(i, 0, 0, 5, 'point')));
  assert.equal(new Set(drawn).size, MARKERS.length);
  assert.equal(drawn[0], JSON.stringify(marker(MARKERS.length, 0, 0, 5, 'point')));
});

test('while sealed no column, no chart and no state holds an energy', () => {
  assert.ok(columnsFor(false).some((c) => c.energy) && columnsFor(true).length > 3);
  assert.ok(columnsFor(true).every((c) => !c.energy && c.unit !== 'lost' && c.unit !== 'total' && c.head !== 'decay'));
  assert.deepEqual(offered(true).map((q) => q.unit), ['m', 's']);
  assert.equal(placeRows(trials[0].row, { factor: 1 }, true)[0].length, placeHead({ name: 'J' }, true).length);
  assert.equal(placeRows(trials[0].row, { factor: 1 }, false)[0].length, placeHead({ name: 'J' }, false).length);
  assert.ok(!JSON.stringify(placeRows(trials[0].row, { factor: 1 }, true)).includes('2.02'));
});

test('a value shares its last digit with its expanded uncertainty', () => {
  assert.deepEqual(measured(e(0.02131, 0.0004), 1000), { value: '21.31', U: '0.80' });
  assert.equal(measured(undefined).value, measured(undefined).U);
});

test('losses have a unit of their own, beside the energies that they were lost from', () => {
  const both = unitsFor('auto', trials);
  assert.deepEqual([both.total.name, both.lost.name], ['J', 'mJ']);
  assert.deepEqual([unitOf({ key: 'first_fall_loss_J', unit: 'J' }, both).name, unitOf({ key: 'swing_energy_J', unit: 'J' }, both).name], ['mJ', 'J']);
  assert.deepEqual(unitOf({ key: 'amplitude_m', unit: 'm' }, both), { name: 'm', factor: 1 });
  const chosen = unitsFor('J', trials);
  assert.deepEqual([chosen.total.name, chosen.lost.name], ['J', 'J']);
  const great = unitsFor('auto', [trial(0, '', -0.7)]);
  assert.equal(great.lost.name, 'J', 'by its size, whatever its sign');
  assert.equal(unitsFor('auto', []).total.name, 'mJ');
});

test('the round in a word', () => {
  const word = (armed, state, recording = '', silent = '') => roundState({ armed, state, recording }, silent);
  assert.deepEqual(['waiting', 'held', 'let go', 'swinging'].map((s) => word(true, s).word), ['waiting', 'ready', 'let go', 'swinging']);
  assert.equal(word(true, 'swinging', 'run').word, 'recording');
  assert.match(word(true, 'swinging', 'run').what, /run/);
  assert.equal(word(false, 'held').word, 'not armed');
  assert.deepEqual([word(true, 'held', '', 'silent').word, word(true, 'held', '', 'silent').what], ['no signal', 'silent']);
  assert.equal(new Set(['waiting', 'held', 'let go', 'swinging'].map((s) => word(true, s).sign)).size, 4, 'each state has a sign of its own');
});

test('a rule as typed: nothing is no end by it, a comma will do', () => {
  assert.deepEqual(ruleOf('10', '', true).rule, { cycles: 10, length_s: 0, floor: true });
  assert.deepEqual(ruleOf('', '7,5', false).rule, { cycles: 0, length_s: 7.5, floor: false });
  for (const [cycles, seconds] of [['2.5', ''], ['-1', ''], ['ten', ''], ['', '-3'], ['', 'long']]) {
    const { rule, refusal } = ruleOf(cycles, seconds, false);
    assert.ok(rule === null && refusal, `${cycles} ${seconds}`);
  }
});

test('what is heard on the line', () => {
  let heard = { ...NOTHING, open: true };
  heard = hear(heard, '{"v":1,"type":"hello","bench":"Tamar","virtual":true}');
  assert.equal(lineText(heard), 'connected');
  heard = hear(heard, '{"v":1,"type":"status","virtual":true,"link":"live","link_detail":"","fresh":true,"trials":{"armed":true,"state":"held","sealed":false,"revision":7}}');
  assert.deepEqual(heard.round, { armed: true, state: 'held', sealed: false, revision: 7 });
  assert.equal(lineText(heard), 'live');
  assert.equal(silence(heard), '');
  for (const odd of ['{', '{"v":2,"type":"status"}', '{"v":1,"type":"frames"}', 'null', undefined]) assert.equal(hear(heard, odd), heard);
  assert.equal(silence({ ...heard, open: false }), 'the daemon does not answer');
  heard = hear(heard, '{"v":1,"type":"status","link":"silent","link_detail":"check the cable","fresh":false}');
  assert.equal(silence(heard), 'the device is silent: check the cable');
  assert.equal(heard.round, null);
});

test('verdicts and their reasons', () => {
  assert.equal(verdictText(trials[0].row), 'counts');
  assert.equal(verdictText({ ...trials[0].row, counts: false, overruled: true }), 'left out, by your word');
  assert.deepEqual(reasons(trials[2].row, []), ['The bob was pushed.', 'It swung aside.']);
  assert.deepEqual(reasons({ ...trials[2].row, findings: null }, [], true), ['Simulated: made on the virtual bench.']);
  assert.equal(tally(trials), '6 trials, 5 of them count');
  assert.equal(tally([]), '');
});

test('times of another day carry the day', () => {
  assert.equal(timeText(trials[0], new Date(2026, 10, 27, 20)), '18:10:10');
  assert.match(timeText(trials[0], new Date(2026, 10, 28, 20)), /27/);
});

test('what is spoken', () => {
  const [window] = seriesOf(trials, groupsOf(trials, table), QUANTITIES[0], 1000);
  assert.equal(pointSpoken(window.marks[1], 'loss of the first fall', 'mJ', 'window'), 'Trial 3, window: loss of the first fall 30.00 millijoules, plus or minus 0.80; does not count');
  assert.match(pointSpoken(window.marks[2], 'period', 's', ''), /^Trial 4: period .* seconds.*stands out$/);
  assert.equal(trialSpoken(7, trials[0].row, { name: 'mJ', factor: 1000 }), 'Trial 7 counts. Loss of the first fall: 21.00 millijoules, plus or minus 0.80.');
  assert.equal(trialSpoken(7, { ...trials[0].row, first_fall_loss_J: undefined }, { name: 'J', factor: 1 }), 'Trial 7 counts.');
});

test('the voice: events are all said, of states the newest, once a second', () => {
  const line = { textContent: '' };
  let now = 0;
  const timers = [];
  const voice = new Voice(line, { setTimeout: (f, ms) => timers.push({ f, at: now + ms }), now: () => now });
  const run = () => {
    const { f, at } = timers.shift();
    now = Math.max(now, at);
    f();
  };
  voice.now('Waiting.');
  run();
  assert.deepEqual([line.textContent, now], ['Waiting.', 0]);
  voice.now('Ready.');
  voice.now('Let go.');
  voice.tell('Trial 1 counts.');
  assert.equal(timers.length, 1);
  run();
  assert.deepEqual([line.textContent, now], ['Trial 1 counts. Let go.', 1000]);
  voice.tell('Trial 2 counts.');
  voice.now('Ready.');
  voice.forget();
  assert.equal(line.textContent, '');
  run();
  assert.equal(line.textContent, 'Ready.');
});

const mJ = { total: { name: 'J', factor: 1 }, lost: { name: 'mJ', factor: 1000 } };
test('statistics in writing', () => {
  const groups = groupsOf(trials, table);
  const row = statRow(column({ outliers: [3], trend: { per_trial: 2e-4, u: 5e-5, p: 0.004 } }), mJ);
  assert.equal(row.length, statHeads.length);
  assert.deepEqual(row, ['loss of the first fall, mJ', '3', '21.2', '1.3', '4.30', '0.30', '0.40', '\u2197 rises: 0.20 \u00b1 0.10 (p = 0.004)', 'trial 4']);
  assert.deepEqual(statRow(column({ sd: undefined, u_mean: undefined, u_combined: undefined, trend: undefined, outliers: null }), mJ).slice(5), ['', '', '', '']);
  assert.doesNotMatch(trendText({ per_trial: 1, u: 1, p: 0.02 }, 1), /rises/);
  assert.match(groupHead(groups[0]), /^window: 3 trials that count, 1 left out$/);
  assert.deepEqual([probability(0.0001), probability(0.04), probability(0.5)], ['p < 0.001', 'p = 0.040', 'p = 0.50']);
});

test('a comparison in writing, in the unit of the page', () => {
  const row = comparisonRow({ key: 'first_fall_loss_J', label: '', unit: 'J', a: 'window', b: 'Tamar', difference: 0.0031, from: 0.0021, to: 0.0041, p: 0.0004, sentence: 'they differ' }, mJ);
  assert.deepEqual(row, ['loss of the first fall, mJ', 'window less Tamar', '3.1', '2.1 to 4.1', 'p < 0.001', 'They differ.']);
  assert.equal(row.length, comparisonHeads.length);
});

test('a sheet: what is all said says nothing, what is not asked is not sent', () => {
  const list = [{ id: 'a', label: '', unit: '' }, { id: 'b', label: '', unit: '' }];
  assert.deepEqual([chosen(['a', 'b'], list), chosen(['b'], list)], [[], ['b']]);
  assert.equal(sheetPath(trials[0], { print: ['a', 'b'], key: 1 }), `/api/trials/sheet?run=${trials[0].run}&index=0&print=a%2Cb&key=1`);
  assert.deepEqual(filled({ lost: ' 0,42 J ', start_total: '  ' }), { lost: '0,42 J' });
  assert.deepEqual(offer(trials, ['x', 'x', 'x', 'x', 'x', 'y'])[0], [keyOf(trials[5]), '6, ' + timeText(trials[5], new Date()) + ', y']);
  assert.equal(offer(Array.from({ length: 300 }, () => trials[0]), []).length, 200);
});

test('what is said of figures handed in', () => {
  const labels = new Map([['lost', 'energy lost'], ['end_elastic', 'elastic energy at the end']]);
  assert.deepEqual(markRow({ id: 'lost', verdict: 'follows', from: ['end_elastic', 'end_elastic'] }, { lost: '0,42 J' }, labels), ['energy lost', '0,42 J', '\u2713 follows from an earlier figure: elastic energy at the end']);
  assert.match(markRow({ id: 'start_total', verdict: 'blank' }, {}, labels).join('|'), /^start total\|\|.*not answered$/);
  assert.equal(hintText({ hint: 'look again', at: ['end_elastic'] }, labels), 'Look again (elastic energy at the end)');
});

test('the page asks for no word that is not there, and no word waits for nobody', () => {
  const read = (name) => readFileSync(new URL(`../pages/${name}`, import.meta.url), 'utf8');
  const html = read('trials.html');
  const asked = [...html.matchAll(/data-(?:word|name)="([^"]+)"/g)].map((m) => m[1]);
  assert.ok(asked.length > 30);
  const all = { ...words, ...sheetWords };
  assert.equal(Object.keys(all).length, Object.keys(words).length + Object.keys(sheetWords).length, 'no word in both lists');
  for (const word of asked) assert.equal(typeof all[word], 'string', word);
  const code = ['trials.js', 'trialrest.js', 'trialtable.js', 'trialdetail.js', 'trialwords.js', 'statview.js', 'sheetdesk.js', 'round.js'].map(read).join('');
  for (const word of Object.keys(all)) assert.ok(asked.includes(word) || new RegExp(`[wW]ords\\.${word}\\b`).test(code), word);
});
