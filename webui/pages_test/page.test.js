// The page's files hold together: words, elements and imports exist.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import test from 'node:test';
import { CHOICES } from '../pages/settings.js';
import { choices, words } from '../pages/words.js';

const folder = new URL('../pages/', import.meta.url);
const read = (name) => readFileSync(new URL(name, folder), 'utf8');
const html = read('show.html');
const scripts = readdirSync(folder).filter((name) => name.endsWith('.js'));

test('the page asks for no word that is not there', () => {
  const asked = [...html.matchAll(/data-(?:word|name)="([^"]+)"/g)].map((m) => m[1]);
  assert.ok(asked.length > 10);
  for (const word of asked) assert.equal(typeof words[word], 'string', word);
});

test('no word waits for nobody', () => {
  const all = html + scripts.filter((s) => s !== 'words.js').map(read).join('');
  for (const [word, text] of Object.entries(words)) {
    const used = new RegExp(`words\\.${word}\\b|data-(word|name)="${word}"`).test(all) || typeof text === 'string' && ['kinetic', 'elastic', 'gravitational', 'total', 'lost'].includes(word);
    assert.ok(used, word);
  }
});

test('every setting has its question, and every choice its answer', () => {
  for (const [name, allowed] of Object.entries(CHOICES)) {
    assert.deepEqual(Object.keys(choices[name][1]).sort(), [...allowed].sort(), name);
  }
});

test('every element that a script looks for is in the page', () => {
  const ids = new Set([...html.matchAll(/ id="([^"]+)"/g)].map((m) => m[1]));
  const wanted = scripts.flatMap((s) => [...read(s).matchAll(/find\('([^']+)'\)/g)].map((m) => m[1]));
  assert.ok(wanted.length > 10);
  for (const id of wanted) assert.ok(ids.has(id), id);
});

test('nothing inline, nothing from elsewhere', () => {
  assert.ok(!/ style=| on[a-z]+=|<style|<script(?![^>]*src=)/.test(html), 'inline');
  for (const name of ['show.html', 'show.css', ...scripts]) {
    assert.ok(!/https?:\/\/(?!www\.w3\.org\/2000\/svg)/.test(read(name)), name);
  }
});

test('every script is reached from main.js', () => {
  const seen = new Set();
  const visit = (name) => {
    if (seen.has(name)) return;
    seen.add(name);
    for (const [, next] of read(name).matchAll(/from '\.\/([^']+)'/g)) visit(next);
  };
  visit('main.js');
  assert.deepEqual([...seen].sort(), [...scripts].sort());
});

test('the page stays light', () => {
  const bytes = readdirSync(folder).reduce((sum, name) => sum + readFileSync(new URL(name, folder)).length, 0);
  assert.ok(bytes <= 150_000, `${bytes} bytes`);
});
