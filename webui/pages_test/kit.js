// What several tests need: seeded chance, made-up messages.

import { CHANNELS } from '../pages/protocol.js';

/** A seeded source of numbers in [0, 1): the minimal standard generator (Park and Miller 1988). */
export function chance(seed) {
  let s = seed;
  return () => (s = (s * 48271) % 2147483647) / 2147483647;
}

/**
 * A frames message as parse returns it: rows are [time, {column: value}].
 * @param {[number, object, string?][]} rows
 */
export function frames(rows, lost = 0) {
  const columns = {};
  for (const name of CHANNELS) columns[name] = rows.map(([, v]) => v[name] ?? null);
  const flags = rows.some((r) => r[2]) ? rows.map((r) => r[2] ?? '') : null;
  return { type: 'frames', seq: 0, n: rows.length, lost, t_s: rows.map(([t]) => t), flags, columns };
}

/** A bob that swings: height 0.6 m, amplitude 0.1 m, one cycle a second, total 2 J. */
export function swing(t, total = 2) {
  const height_m = 0.6 + 0.1 * Math.cos(2 * Math.PI * t);
  const kinetic_J = 0.3 * Math.sin(2 * Math.PI * t) ** 2;
  return {
    height_m, kinetic_J, elastic_J: 0.2, gravitational_J: total - 0.2 - kinetic_J, total_J: total,
    u_kinetic_J: 0.001, u_elastic_J: 0.002, u_gravitational_J: 0.002, u_total_J: 0.003,
  };
}

/** Rows of swing from t0, n of them, a hundred a second. */
export function swings(t0, n, total) {
  return Array.from({ length: n }, (_, i) => [t0 + i / 100, swing(t0 + i / 100, total)]);
}
