// The look, recomputed from the style sheet and the geometry that is shipped.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';
import { BREADTH, BROADEST } from '../pages/column.js';
import { MARKS, tile } from '../pages/marks.js';
import { contrast, difference, labOf, seenAs, sharma } from './colour.js';

const read = (name) => readFileSync(new URL(`../pages/${name}`, import.meta.url), 'utf8');
const css = read('tokens.css');

/** The colours of both grounds: each token states the light one and the dark one. */
const pairs = [...css.matchAll(/--([a-z]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);/g)];
const grounds = {
  light: Object.fromEntries(pairs.map((m) => [m[1], m[2]])),
  dark: Object.fromEntries(pairs.map((m) => [m[1], m[3]])),
};
const parts = ['kinetic', 'elastic', 'gravitational'];

test('colours stand in the tokens only, a light and a dark one each', () => {
  assert.equal(pairs.length, 11);
  const others = css.replace(/light-dark\([^)]*\)/g, '') + read('show.css');
  assert.deepEqual(others.match(/#[0-9a-f]{3,8}\b(?=[;,) ])/g), null);
});

test('contrast: WCAG 2.2, 1.4.3 and 1.4.11', () => {
  for (const [name, g] of Object.entries(grounds)) {
    for (const text of ['ink', 'grey']) assert.ok(contrast(g[text], g.ground) >= 4.5, `${name} ${text}`);
    for (const text of ['ink', 'grey']) assert.ok(contrast(g[text], g.soft) >= 4.5, `${name} ${text} on soft`);
    for (const line of [...parts, 'total', 'lost', 'rule']) assert.ok(contrast(g[line], g.ground) >= 3, `${name} ${line}`);
  }
});

test('contrast in a lit room, with stray light of a tenth of white: lines keep 3 to 1', () => {
  for (const [name, g] of Object.entries(grounds)) {
    for (const line of [...parts, 'total', 'lost']) {
      assert.ok(contrast(g[line], g.ground, 0.1) >= 3, `${name} ${line} ${contrast(g[line], g.ground, 0.1)}`);
    }
  }
});

// Sharma, Wu and Dalal, The CIEDE2000 color-difference formula (2005), table 1,
// pairs 1, 7 and 17, from memory.
test('the colour difference is CIEDE2000', () => {
  for (const [a, b, want] of [
    [[50, 2.6772, -79.7751], [50, 0, -82.7485], 2.0425],
    [[50, 0, 0], [50, -1, 2], 2.3669],
    [[50, 2.5, 0], [73, 25, -18], 27.1492],
  ]) assert.ok(Math.abs(sharma(a, b) - want) < 0.00005, `${sharma(a, b)}, not ${want}`);
  assert.ok(Math.abs(labOf([1, 1, 1])[0] - 100) < 1e-3, 'white is white');
});

// Colour vision by Machado, Oliveira and Fernandes (2009), severity 1, from memory.
// The floor is what the palette was chosen by: Okabe and Ito's own blue, vermilion
// and bluish green reach 11 by the same measure.
test('the three parts stay apart for every kind of colour vision', () => {
  for (const [name, g] of Object.entries(grounds)) {
    for (const vision of ['normal', 'protan', 'deutan', 'tritan']) {
      for (const [a, b] of [[0, 1], [0, 2], [1, 2]]) {
        const d = difference(seenAs(g[parts[a]], vision), seenAs(g[parts[b]], vision));
        assert.ok(d >= 17, `${name} ${vision} ${parts[a]} ${parts[b]}: ${d.toFixed(1)}`);
      }
    }
  }
});

/** Share of a tile within half a line width of a segment, by sampling. */
function inkOf({ side, segments }, line) {
  const samples = 400;
  let ink = 0;
  for (let i = 0; i < samples; i++) {
    for (let k = 0; k < samples; k++) {
      const [x, y] = [((i + 0.5) * side) / samples, ((k + 0.5) * side) / samples];
      if (segments.some(([x0, y0, x1, y1]) => {
        const [dx, dy] = [x1 - x0, y1 - y0];
        return Math.abs((x - x0) * dy - (y - y0) * dx) / Math.hypot(dx, dy) <= line / 2;
      })) ink++;
    }
  }
  return ink / samples ** 2;
}

test('hatches have at most 15 % ink, at every line width', () => {
  for (const line of [1, 2, 3, 4, 6]) {
    for (const { hatch } of Object.values(MARKS)) {
      if (!hatch) continue;
      const made = tile(hatch, line);
      assert.ok(Math.abs(made.ink - inkOf(made, line)) < 0.005, `${hatch}: stated ${made.ink}, drawn ${inkOf(made, line)}`);
      assert.ok(made.ink <= 0.15, `${hatch} ${line}: ${made.ink}`);
    }
  }
});

// WCAG 2.2, 2.3.1: a quarter of a 341 x 256 block of 1024 x 768, that is 57,500 px2 of
// 1920 x 1080. Only ink can change, here all of it at once; the total's frame and cap
// do not move with the motion.
test('column and well are below the flash threshold at any frequency', () => {
  const length = (name) => 19.2 * Number(css.match(new RegExp(`--${name}: calc\\(([\\d.]+) \\*`))[1]);
  const line = length('line-part');
  const ink = Math.max(...Object.values(MARKS).map((m) => (m.hatch ? tile(m.hatch, Math.round(line / 2)).ink : 0)));
  const [from, to] = read('show.css').match(/\.column \{ grid-column: (\d+) \/ (\d+)/).slice(1).map(Number);
  const column = (breadth, height) => breadth * height * ink + 2 * line * height + 3 * breadth * length('cap');
  const well = (height) => 2 * length('bob') * height * ink + 2 * line * height;
  // Beside one another, in heights beyond what the window leaves; and each by itself.
  const beside = column(Math.min((BREADTH * 1920 * (to - from)) / 100, BROADEST * length('axis-size')), 640) + well(640);
  const alone = Math.max(column(BROADEST * length('axis-size'), 900), well(900));
  for (const area of [beside, alone]) assert.ok(area < 57500 && area > 10000, `${area} px2`);
});

test('every energy has a marker, and a hatch or dash, that no other has', () => {
  const marks = Object.values(MARKS);
  assert.equal(new Set(marks.map((m) => m.marker)).size, marks.length);
  assert.equal(new Set(marks.map((m) => m.hatch)).size, marks.length);
  assert.equal(new Set(parts.map((p) => MARKS[p].dash.join())).size, parts.length);
});
