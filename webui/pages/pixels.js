// Paints column ranges into a pixel buffer: whole pixels, no paths, no smoothing.
//
// Pixels are 32-bit words as ImageData lays them out (red first in memory).

const littleEndian = new Uint8Array(new Uint32Array([1]).buffer)[0] === 1;

/** @param {number} r @param {number} g @param {number} b */
export function word(r, g, b) {
  return (littleEndian ? (255 << 24) | (b << 16) | (g << 8) | r : (r << 24) | (g << 16) | (b << 8) | 255) >>> 0;
}

/**
 * Fills whole pixels, cut to the surface.
 * @param {Surface} to
 * @param {number} x0 @param {number} y0 @param {number} x1 @param {number} y1 ends excluded
 * @param {number} colour
 */
export function fill(to, x0, y0, x1, y1, colour) {
  x0 = Math.max(0, x0);
  x1 = Math.min(to.width, x1);
  y0 = Math.max(0, y0);
  y1 = Math.min(to.height, y1);
  for (let y = y0; y < y1; y++) to.words.fill(colour, y * to.width + x0, y * to.width + Math.max(x0, x1));
}

/**
 * Paints one series, the column numbered `right` at the last of `count` pixels.
 * Dashes are measured along the line, rises and falls included, from a start that
 * belongs to the data: they keep their length on slopes and travel with the trace.
 * @param {Surface} to
 * @param {Columns} columns
 * @param {number} s series
 * @param {{right: number, count: number}} span
 * @param {Rows} rows
 * @param {Pen} pen
 * @param {number} [shift] [J] taken off the values
 */
export function series(to, columns, s, span, rows, pen, shift = 0) {
  const { number, mask } = columns;
  const low = columns.low[s];
  const high = columns.high[s];
  const half = pen.width >> 1;
  for (let x = 0; x < span.count; x++) {
    const c = span.right - span.count + 1 + x;
    const slot = c & mask;
    if (number[slot] !== c || low[slot] > high[slot]) continue;
    const top = Math.round(rows.zero - (high[slot] - shift) * rows.perJoule);
    const end = Math.round(rows.zero - (low[slot] - shift) * rows.perJoule);
    if (!pen.on) {
      nib(to, x - half, top - half, end - half, pen);
      continue;
    }
    const entry = Math.round(rows.zero - (columns.entry[s][slot] - shift) * rows.perJoule);
    dashes(to, x - half, top, end, entry, c + columns.way[s][slot] * rows.perJoule, pen);
  }
}

/**
 * The dashed part of one column: rows top..end, entered at row entry, way pixels on.
 * @param {Surface} to @param {number} x
 * @param {number} top @param {number} end @param {number} entry @param {number} way
 * @param {Pen} pen
 */
function dashes(to, x, top, end, entry, way, pen) {
  const half = pen.width >> 1;
  const period = pen.on + pen.off;
  const on = Math.max(1, pen.on - pen.width + 1); // the nib is as wide itself
  for (let y = top, from = NaN; y <= end + 1; y++) {
    const inked = y <= end && (way + Math.abs(y - entry)) % period < on;
    if (inked && Number.isNaN(from)) from = y;
    if (inked || Number.isNaN(from)) continue;
    nib(to, x, from - half, y - 1 - half, pen);
    from = NaN;
  }
}

/**
 * One stroke of the square nib from row y0 down to row y1, given its upper left.
 * @param {Surface} to @param {number} x @param {number} y0 @param {number} y1 @param {Pen} pen
 */
function nib(to, x, y0, y1, pen) {
  const right = Math.min(to.width, x + pen.width);
  const end = Math.min(to.height, y1 + pen.width);
  for (let y = Math.max(0, y0); y < end; y++) {
    const base = y * to.width;
    for (let i = base + Math.max(0, x); i < base + right; i++) to.words[i] = pen.word;
  }
}

/** Columns on either side over which the middle of an uncertainty band is averaged. */
const SMOOTH = 8;

/**
 * Paints the two edges of the uncertainty band around a series, unless the line
 * itself is as thick as the band. The edges follow the mean of the neighbouring
 * columns: they say how far the true value may lie, not how the readings scatter.
 * @param {Surface} to
 * @param {Columns} columns
 * @param {number} s
 * @param {{right: number, count: number}} span
 * @param {Rows} rows
 * @param {Pen} pen
 * @param {number} coverage factor on the standard uncertainty
 * @param {number} [shift] [J]
 */
export function edges(to, columns, s, span, rows, pen, coverage, shift = 0) {
  const { number, mask } = columns;
  const left = span.right - span.count + 1;
  if (!(coverage * rows.perJoule * columns.meanUncertainty(left, span.right) >= pen.width)) return;
  for (let x = 0; x < span.count; x++) {
    const c = left + x;
    if (number[c & mask] !== c) continue;
    let [middle, u, n] = [0, 0, 0];
    for (let k = c - SMOOTH; k <= c + SMOOTH; k++) {
      const slot = k & mask;
      if (number[slot] !== k || !(columns.u[slot] > 0)) continue;
      middle += (columns.low[s][slot] + columns.high[s][slot]) / 2;
      u += columns.u[slot];
      n++;
    }
    if (!n) continue;
    for (const side of [-1, 1]) {
      const y = Math.round(rows.zero - (middle / n + (side * coverage * u) / n - shift) * rows.perJoule);
      upright(to, x, y - 1, y + 1, pen.word);
    }
  }
}

/** @param {Surface} to @param {number} x @param {number} y0 @param {number} y1 @param {number} colour */
function upright(to, x, y0, y1, colour) {
  const end = Math.min(to.height, y1) * to.width + x;
  for (let i = Math.max(0, y0) * to.width + x; i < end; i += to.width) to.words[i] = colour;
}
