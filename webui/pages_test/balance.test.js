// The Balance page's part: what is sent, where a refusal belongs, what the tables say.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import {
  budgetHead, budgetRow, energyHead, energyRows, fieldOf, GROUPS, labelOf, oldText, readingsOf, unitFor, words as balanceWords,
} from '../pages/balancewords.js';
import { words as upkeepWords } from '../pages/upkeepwords.js';

const field = (name, reading = '') => ({ name, kind: 'length', unit: 'm', help: '', reading });
const fields = [
  field('bob-mass', '250.200 g +- 0.030 g'), field('bob-length', '60.40 mm +- 0.15 mm'), field('spring-mass', '10.3 g'), field('support-height', '1003.5 mm'),
  field('hung-length'), field('start-height'), field('start-length'), field('start-speed'), field('end-height'), field('end-length'), field('end-speed'),
];

test('only what differs from the bench is sent, an empty text takes away', () => {
  assert.deepEqual(readingsOf(fields, {
    'bob-mass': '250.200 g +- 0.030 g', 'bob-length': ' ', 'spring-mass': '10,4 g', 'support-height': '1003.5 mm ', 'start-height': ' 80,0 cm',
  }), { 'bob-length': '', 'spring-mass': '10,4 g', 'start-height': '80,0 cm' });
});

test('every field stands in one group, under a name that reads', () => {
  for (const f of fields) assert.equal(GROUPS.filter((g) => g.holds(f.name)).length, 1, f.name);
  assert.equal(labelOf(fields[5]), 'Height');
  assert.equal(labelOf(fields[3]), 'Support height');
});

test('a refusal stands at the field that it is about', () => {
  assert.equal(fieldOf('Reading start-height: read "80 kg" as a length: kg is a unit of mass.', fields), 'start-height');
  assert.equal(fieldOf('Bob mass is missing.', fields), 'bob-mass');
  assert.equal(fieldOf('End: neither height nor length is given: give end height or end length.', fields), 'end-height');
  assert.equal(fieldOf('End length = 30 m: more than 2.', fields), 'end-length');
  assert.equal(fieldOf('The daemon does not answer.', fields), '');
});

test('both states in one unit, as many digits as the uncertainties bear', () => {
  const small = [{ name: 'total', start_J: 0.4646, start_u_J: 0.00072, end_J: 0.4105, end_u_J: 0.0026, change_J: -0.0541, change_u_J: 0.0024 }];
  const unit = unitFor(small);
  assert.equal(unit.name, 'mJ');
  assert.deepEqual(energyRows(small, unit), [['total', '464.60', '0.72', '410.5', '2.6', '\u221254.1', '2.4']]);
  assert.equal(energyRows(small, unit)[0].length, energyHead('mJ').length);
  assert.equal(unitFor([{ start_J: 0.1, end_J: -0.9 }]).name, 'J');
});

test('while nothing comes, what came is old and says why', () => {
  assert.match(oldText('link lost: no port', new Date(2026, 10, 28, 7, 26, 7)), /^Link lost: no port\. .* old, of 07:26:07\.$/);
  assert.match(oldText('link lost', null), / old\.$/);
});

test('a line of the budget', () => {
  const row = budgetRow({ name: 'end height', value: 0.625, u: 0.00029, unit: 'm', how: 'last digit', gives: 0.0007, gives_unit: 'J', share: 0.0889 });
  assert.deepEqual(row, ['end height', '0.62500 m', '0.00029 m', 'last digit', '8.9 %']);
  assert.equal(row.length + 1, budgetHead.length); // the bar stands in the last column
});

test('the pages ask for no word that is not there, and no word waits for nobody', () => {
  const read = (name) => readFileSync(new URL(`../pages/${name}`, import.meta.url), 'utf8');
  for (const [page, words, scripts] of [
    ['balance.html', balanceWords, []],
    ['upkeep.html', upkeepWords, ['session.js', 'standing.js', 'upkeepwords.js', 'upkeep.js', 'driftview.js']],
  ]) {
    const html = read(page);
    const asked = [...html.matchAll(/data-(?:word|name)="([^"]+)"/g)].map((m) => m[1]);
    assert.ok(asked.length > 5);
    for (const word of asked) assert.equal(typeof words[word], 'string', `${page}: ${word}`);
    const code = scripts.map(read).join('');
    for (const word of Object.keys(words)) assert.ok(asked.includes(word) || code.includes(`words.${word}`), `${page}: ${word}`);
  }
});
