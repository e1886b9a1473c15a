// The markers of groups: shapes that no energy has, all in ink.

/** Corners on a circle of radius 1, upward negative, one after the other. @param {[number, number][]} corners [radius, degrees clockwise from the top] */
const around = (corners) => corners.map(([r, turn]) => [r * Math.sin((turn * Math.PI) / 180), -r * Math.cos((turn * Math.PI) / 180)]);

const star = around(Array.from({ length: 10 }, (_, i) => [i % 2 ? 0.55 : 1.25, 36 * i]));
const wedge = around([[1.2, 60], [1.2, 180], [1.2, 300]]);
const bow = [[-1.1, -0.9], [0, -0.2], [1.1, -0.9], [1.1, 0.9], [0, 0.2], [-1.1, 0.9]];
const arch = [[-0.95, 1], [-0.95, -0.2], [0, -1.2], [0.95, -0.2], [0.95, 1]];

/** The disc is drawn as such; the names are for tests. */
export const MARKERS = Object.freeze(['disc', 'wedge', 'star', 'bow', 'arch']);
/** @type {Record<string, number[][]>} */
const outlines = { wedge, star, bow, arch };

/**
 * The marker of a group at a place. From the sixth group on shapes come again: labels tell them apart.
 * @param {number} slot of the group @param {number} x [px] @param {number} y [px] @param {number} r [px] @param {string} pen class
 * @returns {import('./svg.js').Shape}
 */
export function marker(slot, x, y, r, pen) {
  const outline = outlines[MARKERS[slot % MARKERS.length]];
  if (!outline) return { tag: 'circle', class: pen, at: { cx: x, cy: y, r } };
  return { tag: 'polygon', class: pen, at: { points: outline.map(([dx, dy]) => `${(x + r * dx).toFixed(1)},${(y + r * dy).toFixed(1)}`).join(' ') } };
}
