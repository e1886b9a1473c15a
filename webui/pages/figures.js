// Measured values in writing: as many digits as their uncertainty bears.

import { ABSENT, decimal } from './numbers.js';

/** Beyond these powers of ten a number is written with its own. */
const SMALLEST = -4;
const LARGEST = 6;
/** Digits of a number of which no uncertainty is known. */
const DIGITS = 4;

/** @param {number} n */
const superscript = (n) => String(n).replace(/./g, (c) => (c === '-' ? '\u207b' : '\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079'[Number(c)]));

/** @param {number} x */
const power = (x) => Math.floor(Math.log10(Math.abs(x)) + 1e-9);

/** Decimals that show an uncertainty to two digits, as the daemon writes it; negative where whole numbers are too fine. @param {number} u */
function twoDigits(u) {
  const e = power(u);
  return 1 - (u >= 9.95 * 10 ** e ? e + 1 : e); // 9.96 to two digits is 10
}

/** To nearest. @param {number} x @param {number} decimals may be negative */
function rounded(x, decimals) {
  const step = 10 ** -decimals;
  return decimals < 0 ? decimal(Math.round(x / step) * step, 0) : decimal(x, decimals);
}

/**
 * A value and its uncertainty with the same last digit, two digits of the latter, both to
 * nearest (GUM 7.2.6). Without an uncertainty four digits of the value.
 * @param {number | null} value @param {number | null} [u]
 * @returns {{value: string, u: string}}
 */
export function pair(value, u) {
  if (value === null || !Number.isFinite(value)) return { value: ABSENT, u: ABSENT };
  const known = u !== null && u !== undefined && u > 0 && Number.isFinite(u);
  const size = Math.max(Math.abs(value), known ? u : 0);
  if (size === 0) return { value: decimal(0, 0), u: ABSENT };
  const own = power(size) < SMALLEST || power(size) > LARGEST ? power(size) : 0;
  const factor = 10 ** -own;
  const tail = own ? ` \u00d7 10${superscript(own)}` : '';
  const decimals = Math.min(12, known ? twoDigits(u * factor) : Math.max(0, DIGITS - 1 - power(size * factor)));
  return {
    value: rounded(value * factor, decimals) + tail,
    u: known ? rounded(u * factor, decimals) + tail : ABSENT,
  };
}

/** A share as percent, with what tells it from nothing. @param {number | null} share */
export function percent(share) {
  if (share === null || !Number.isFinite(share)) return '';
  const p = 100 * share;
  if (p > 0 && p < 0.005) return `< ${decimal(0.01, 2)} %`;
  return `${decimal(p, Math.abs(p) < 1 ? 2 : 1)} %`;
}

/** Units as people write them. @type {Record<string, string>} */
const units = { us: '\u00b5s', 'm/s2': 'm/s\u00b2', 'N/us': 'N/\u00b5s' };
/** @param {string} unit */
export const unitName = (unit) => units[unit] ?? unit;

/** @param {number} n @param {string} thing */
export const count = (n, thing) => `${decimal(n, 0)} ${thing}${n === 1 ? '' : 's'}`;

/** A day as the books write it; empty when not stated, which the year 1 stands for. @param {string} date */
export const day = (date) => (date && !date.startsWith('0001') ? date.slice(0, 10) : '');
