// The look, recomputed from the style sheet and the geometry that is shipped.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';
import { BREADTH } from '../pages/gauge.js';
import { MARKS, tile } from '../pages/marks.js';
import { contrast, difference, labOf, seenAs, sharma } from './colour.js';

const css = readFileSync(new URL('../pages/show.css', import.meta.url), 'utf8');

/** The colours of a ground, from the rule whose selector is given. */
function colours(selector) {
  const rule = css.slice(css.indexOf(`${selector} {`)).match(/\{([^}]*)\}/)[1];
  return Object.fromEntries([...rule.matchAll(/--([a-z]+): (#[0-9a-f]{6});/g)].map((m) => [m[1], m[2]]));
}
const light = colours(':root');
const dark = colours(':root[data-look="dark"]');
const grounds = { light, dark };
const parts = ['kinetic', 'elastic', 'gravitational'];

test('the dark ground is the same by choice and by the wish of the system', () => {
  assert.deepEqual(colours(':root[data-look="auto"]'), dark);
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
// 1920 x 1080. Of the gauge only ink can change; all columns at full height at once.
test('the gauge is below the flash threshold at any frequency', () => {
  const shares = css.match(/grid-template-columns: minmax\(0, (\d+)fr\) minmax\(0, (\d+)fr\) minmax\(0, (\d+)fr\)/).slice(1).map(Number);
  const length = (name) => 19.2 * Number(css.match(new RegExp(`--${name}: calc\\(([\\d.]+) \\*`))[1]);
  const place = (1920 * shares[1]) / (shares[0] + shares[1] + shares[2]) / 4;
  const height = 640; // more than the window leaves
  const line = length('line-part');
  const ink = Math.max(...Object.values(MARKS).map((m) => (m.hatch ? tile(m.hatch, Math.round(line / 2)).ink : 0)));
  const hatches = 3 * BREADTH * place * height * ink;
  const outlines = 2 * (3 * line + length('line-total')) * height;
  const caps = 4 * (BREADTH * place + 4 * length('cap')) * length('cap');
  const well = 2 * length('bob') * height * ink + 2 * line * height;
  const all = hatches + outlines + caps + well;
  assert.ok(all < 57500 && all > 20000, `${all} px2`);
});

test('every energy has a marker, and a hatch or dash, that no other has', () => {
  const marks = Object.values(MARKS);
  assert.equal(new Set(marks.map((m) => m.marker)).size, marks.length);
  assert.equal(new Set(marks.map((m) => m.hatch)).size, marks.length);
  assert.equal(new Set(parts.map((p) => MARKS[p].dash.join())).size, parts.length);
});
