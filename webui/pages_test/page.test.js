// The pages' files hold together: words, elements, imports and weight.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import test from 'node:test';
import { COMMANDS, PARTS } from '../pages/commands.js';
import { choices, commandWords } from '../pages/morewords.js';
import { CHOICES } from '../pages/settings.js';
import { partNames, words } from '../pages/words.js';

const folder = new URL('../pages/', import.meta.url);
const read = (name) => readFileSync(new URL(name, folder), 'utf8');
const files = readdirSync(folder);
const scripts = files.filter((name) => name.endsWith('.js'));
const html = read('show.html');

/** Assets that a page names, and over them the scripts that a pattern of imports leads to. */
function reached(page, pattern) {
  const seen = new Set([page]);
  const visit = (name) => {
    if (seen.has(name)) return;
    seen.add(name);
    if (name.endsWith('.js')) for (const [, next] of read(name).matchAll(pattern)) visit(next);
  };
  for (const [, name] of read(page).matchAll(/"\/assets\/([^"]+)"/g)) visit(name);
  return seen;
}
const ALL = /(?:from |import\()'\.\/([^']+)'/g;
const AT_ONCE = /from '\.\/([^']+)'/g;
const pages = files.filter((name) => name.endsWith('.html'));

test('the page asks for no word that is not there', () => {
  const asked = [...html.matchAll(/data-(?:word|name)="([^"]+)"/g)].map((m) => m[1]);
  assert.ok(asked.length > 10);
  for (const word of asked) assert.equal(typeof words[word], 'string', word);
});

test('no word waits for nobody', () => {
  const all = html + scripts.filter((s) => s !== 'words.js').map(read).join('');
  const named = ['kinetic', 'elastic', 'gravitational', 'total', 'lost', 'extension', 'force'];
  for (const word of Object.keys(words)) {
    assert.ok(new RegExp(`words\\.${word}\\b|data-(word|name)="${word}"`).test(all) || named.includes(word), word);
  }
});

test('every setting has its question, and every choice its answer', () => {
  for (const [name, allowed] of Object.entries(CHOICES)) {
    assert.deepEqual(Object.keys(choices[name][1]).sort(), [...allowed].sort(), name);
  }
});

test('every command and part has its words', () => {
  for (const part of PARTS) assert.ok(partNames[part], part);
  for (const { word } of COMMANDS) assert.ok(commandWords[word] || partNames[word], word);
  for (const word of Object.keys(commandWords)) assert.ok(COMMANDS.some((c) => c.word === word), word);
});

test('every element that a script looks for is in its page, or in one of those that share it', () => {
  const shared = pages.map((page) => [reached(page, ALL), new Set([...read(page).matchAll(/ id="([^"]+)"/g)].map((m) => m[1]))]);
  const wanted = scripts.flatMap((s) => [...read(s).matchAll(/find\('([^']+)'\)/g)].map((m) => [s, m[1]]));
  assert.ok(wanted.length > 20);
  for (const [script, id] of wanted) {
    assert.ok(shared.some(([files, ids]) => files.has(script) && ids.has(id)), `${script}: ${id}`);
  }
});

test('nothing inline, nothing from elsewhere', () => {
  for (const page of pages) assert.ok(!/ style=| on[a-z]+=|<style|<script(?![^>]*src=)/.test(read(page)), page);
  for (const name of files) assert.ok(!/https?:\/\/(?!www\.w3\.org\/2000\/svg)/.test(read(name)), name);
});

test('every file belongs to a page', () => {
  const used = new Set(pages.flatMap((page) => [...reached(page, ALL)]));
  assert.deepEqual(files.filter((name) => !used.has(name)), []);
});

test('pages stay light: what a browser loads to show one', () => {
  for (const page of pages) {
    const bytes = [...reached(page, AT_ONCE)].reduce((sum, name) => sum + Buffer.byteLength(read(name)), 0);
    assert.ok(bytes < 150_000, `${page}: ${bytes} bytes`);
  }
});

test('what people read stands in the modules of words', () => {
  const own = ['words.js', 'morewords.js', 'commonwords.js', 'nav.js'];
  for (const name of [...reached('show.html', ALL)].filter((n) => n.endsWith('.js') && !own.includes(n))) {
    const code = read(name).replace(/\/\*[^]*?\*\/|\/\/.*|throw new .*/g, '');
    const sentences = code.match(/(['`])[A-Za-z][^'`\n]*[a-z]{2} [a-z]{2}[^'`\n]*\1/g) ?? [];
    assert.deepEqual(sentences.filter((s) => !/querySelector|input, select/.test(s)), [], name);
  }
});
