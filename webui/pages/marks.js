// The second cue of every energy: its marker, its hatch, its dash.
//
// Hatches stay at or below 15 % ink, so that a column that pulses several times
// a second changes too little light to be a flash (WCAG 2.3.1).

/** @typedef {'disc' | 'square' | 'triangle' | 'diamond' | 'cross'} Marker */
/** @typedef {'upright' | 'rising' | 'level' | 'crossed'} Hatch */

/** @type {Record<string, {marker: Marker, hatch: Hatch | null, dash: [number, number]}>} */
export const MARKS = Object.freeze({
  kinetic: { marker: 'disc', hatch: 'upright', dash: [0, 0] },
  elastic: { marker: 'square', hatch: 'rising', dash: [24, 10] },
  gravitational: { marker: 'triangle', hatch: 'level', dash: [8, 8] },
  total: { marker: 'diamond', hatch: null, dash: [0, 0] },
  lost: { marker: 'cross', hatch: 'crossed', dash: [0, 0] },
});

/** Line to line, in line widths. */
const PITCH = 8;

/**
 * The tile that a hatch repeats: its side and line segments, all in pixels, and
 * the share of it that is ink.
 * @param {Hatch} hatch
 * @param {number} line [px] width of a line
 * @returns {{side: number, segments: number[][], ink: number}}
 */
export function tile(hatch, line) {
  const straight = hatch === 'upright' || hatch === 'level';
  const both = hatch === 'crossed';
  const side = Math.ceil(straight ? PITCH * line : PITCH * Math.SQRT2 * line * (both ? 2 : 1));
  const m = side / 2;
  if (hatch === 'upright') return { side, segments: [[line / 2, 0, line / 2, side]], ink: line / side };
  if (hatch === 'level') return { side, segments: [[0, line / 2, side, line / 2]], ink: line / side };
  const diagonal = (line * Math.SQRT2) / side;
  const rising = [[-m, m, m, -m], [0, side, side, 0], [m, side + m, side + m, m]];
  if (!both) return { side, segments: rising, ink: diagonal };
  const falling = rising.map(([x0, y0, x1, y1]) => [x0, side - y0, x1, side - y1]);
  return { side, segments: [...rising, ...falling], ink: 2 * diagonal - diagonal ** 2 / 2 };
}

/**
 * A fill for a canvas, anchored to it: a level that moves uncovers the hatch.
 * @param {CanvasRenderingContext2D} ctx
 * @param {Hatch} hatch
 * @param {number} line [px]
 * @param {string} colour
 */
export function pattern(ctx, hatch, line, colour) {
  const { side, segments } = tile(hatch, line);
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = side;
  const c = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  c.strokeStyle = colour;
  c.lineWidth = line;
  c.beginPath();
  for (const [x0, y0, x1, y1] of segments) {
    c.moveTo(x0, y0);
    c.lineTo(x1, y1);
  }
  c.stroke();
  return /** @type {CanvasPattern} */ (ctx.createPattern(canvas, 'repeat'));
}

/**
 * Draws a marker with an edge of the ground's colour, so that it stands clear.
 * @param {CanvasRenderingContext2D} ctx
 * @param {Marker} marker
 * @param {number} x @param {number} y centre
 * @param {number} r [px] half the size
 * @param {string} colour @param {string} ground
 */
export function drawMarker(ctx, marker, x, y, r, colour, ground) {
  ctx.beginPath();
  if (marker === 'disc') ctx.arc(x, y, r * 0.86, 0, 2 * Math.PI);
  else outline(ctx, corners[marker], x, y, r);
  ctx.lineJoin = 'miter';
  ctx.lineWidth = Math.max(2, r / 4);
  ctx.strokeStyle = ground;
  ctx.stroke();
  ctx.fillStyle = colour;
  ctx.fill();
}

/** Corners of the markers, in half sizes. @type {Record<string, number[][]>} */
export const corners = {
  square: [[-0.76, -0.76], [0.76, -0.76], [0.76, 0.76], [-0.76, 0.76]],
  triangle: [[0, -0.92], [0.98, 0.78], [-0.98, 0.78]],
  diamond: [[0, -1.05], [1.05, 0], [0, 1.05], [-1.05, 0]],
  cross: [[-0.9, -0.55], [-0.55, -0.9], [0, -0.35], [0.55, -0.9], [0.9, -0.55], [0.35, 0],
    [0.9, 0.55], [0.55, 0.9], [0, 0.35], [-0.55, 0.9], [-0.9, 0.55], [-0.35, 0]],
};

/** @param {CanvasRenderingContext2D} ctx @param {number[][]} points @param {number} x @param {number} y @param {number} r */
function outline(ctx, points, x, y, r) {
  for (let i = 0; i < points.length; i++) ctx.lineTo(x + points[i][0] * r, y + points[i][1] * r); // the first moves there
  ctx.closePath();
}
