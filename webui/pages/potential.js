// The curve of potential energy over height that the daemon sends: read off a
// height, and find where a level meets its slopes.

/**
 * Potential energy at a height, by straight lines between the given points.
 * @param {Well} well @param {number} height [m]
 * @returns {number} [J]; NaN outside
 */
export function potential(well, height) {
  const { height_m: h, potential_J: p } = well;
  const last = h.length - 1;
  if (!(height >= h[0] && height <= h[last])) return NaN;
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (h[middle] <= height) low = middle;
    else high = middle;
  }
  return p[low] + ((height - h[low]) * (p[high] - p[low])) / (h[high] - h[low]);
}

/** Number of the lowest point. @param {Well} well */
export function bottom({ potential_J: p }) {
  let lowest = 0;
  for (let i = 1; i < p.length; i++) if (p[i] < p[lowest]) lowest = i;
  return lowest;
}

/**
 * Heights around the lowest place between which the potential stays below a
 * level: where the level meets the slopes, or the ends of the curve.
 * @param {Well} well @param {number} level [J]
 * @returns {[number, number] | null} [m]; null when all of it lies above
 */
export function between(well, level) {
  const { height_m: h, potential_J: p } = well;
  const from = bottom(well);
  if (!(p[from] < level)) return null;
  /** @param {number} step */
  const meet = (step) => {
    let i = from;
    while (p[i + step] <= level) i += step;
    if (p[i + step] === undefined) return h[i];
    return h[i] + ((level - p[i]) / (p[i + step] - p[i])) * (h[i + step] - h[i]);
  };
  return [meet(-1), meet(1)];
}
