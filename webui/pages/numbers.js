// Numbers and times as people read them, in the manner of their browser's language.

/** @type {Map<string, Intl.NumberFormat>} */
const formats = new Map();

/** What stands where there is no value. */
export const ABSENT = '–';

/**
 * @param {number} value
 * @param {number} decimals
 * @param {boolean} [signed] a plus sign before positive values
 */
export function decimal(value, decimals, signed = false) {
  if (!Number.isFinite(value)) return ABSENT;
  const key = `${decimals}${signed}`;
  let format = formats.get(key);
  if (!format) {
    format = new Intl.NumberFormat(undefined, {
      minimumFractionDigits: decimals,
      maximumFractionDigits: decimals,
      signDisplay: signed ? 'exceptZero' : 'negative',
    });
    formats.set(key, format);
  }
  return format.format(value).replace('-', '\u2212');
}

/**
 * Reads what a person typed: a decimal point or comma, whatever the language here.
 * @param {string} text
 * @returns {number} NaN when it is no plain decimal number
 */
export function parseDecimal(text) {
  const plain = text.trim().replace('\u2212', '-').replace(',', '.');
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : NaN;
}

/**
 * Whole last digits for parts of a whole, so that what is printed adds up as printed:
 * the parts that rounding moved farthest give way, by one digit at most.
 * @param {number[]} parts in units of the last digit, not yet rounded
 * @param {number} whole likewise
 * @returns {number[]} rounded each by itself when they are not the parts of the whole
 */
export function closing(parts, whole) {
  const rounded = parts.map(Math.round);
  const rest = Math.round(whole) - rounded.reduce((sum, n) => sum + n, 0);
  if (!(Math.abs(rest) <= parts.length / 2 + 0.5)) return rounded;
  const sign = Math.sign(rest);
  const order = parts.map((_, i) => i).sort((a, b) => sign * (parts[b] - rounded[b] - parts[a] + rounded[a]));
  for (const i of order.slice(0, Math.abs(rest))) rounded[i] += sign;
  return rounded;
}

/**
 * An uncertainty where the decimals are given, as beside a reading that goes on: rounded
 * up, so that it never looks smaller than it is, nor like none. @param {number} value @param {number} decimals */
export function uncertainty(value, decimals) {
  const power = 10 ** decimals;
  return decimal(Math.ceil(value * power - 1e-9) / power, decimals);
}

const clock = new Intl.DateTimeFormat(undefined, { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' });

/** @param {Date} date */
export const timeOfDay = (date) => clock.format(date);
