// The ledger column as numbers: the parts set one on the other up to the total.

/** From the ground up: kinetic comes last, so that it spans the same rows as in the well. */
export const ORDER = Object.freeze(['gravitational', 'elastic', 'kinetic']);

/** @typedef {{name: string, from: number, to: number}} Segment energies [J] of its ends; a negative part runs down */

/**
 * @param {number[]} values [J] in ORDER
 * @param {Segment[]} segments to fill
 * @returns {number} [J] where they end
 */
export function stack(values, segments) {
  let at = 0;
  ORDER.forEach((name, i) => {
    const segment = (segments[i] ??= { name, from: 0, to: 0 });
    segment.from = at;
    at += values[i];
    segment.to = at;
  });
  return at;
}

/**
 * Moves labels apart until they are a gap from one another, none farther than needed:
 * labels that touch share their shift.
 * @param {number[]} wanted places in rising order
 * @param {number} gap
 * @returns {number[]}
 */
export function spread(wanted, gap) {
  /** @type {{sum: number, count: number}[]} blocks of touching labels; sum of wanted first places */
  const blocks = [];
  const first = (/** @type {{sum: number, count: number}} */ b) => b.sum / b.count;
  wanted.forEach((y) => {
    let block = { sum: y, count: 1 };
    for (let before = blocks.at(-1); before && first(before) + before.count * gap > first(block); before = blocks.at(-1)) {
      blocks.pop();
      // Each place is taken relative to the first of the joint block.
      block = { sum: before.sum + block.sum - before.count * gap * block.count, count: before.count + block.count };
    }
    blocks.push(block);
  });
  return blocks.flatMap((b) => Array.from({ length: b.count }, (_, i) => first(b) + i * gap));
}
