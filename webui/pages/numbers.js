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

/** An uncertainty, rounded up so that it never looks smaller than it is. @param {number} value @param {number} decimals */
export function uncertainty(value, decimals) {
  const power = 10 ** decimals;
  return decimal(Math.ceil(value * power - 1e-9) / power, decimals);
}

const clock = new Intl.DateTimeFormat(undefined, { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' });

/** @param {Date} date */
export const timeOfDay = (date) => clock.format(date);

/** A length of time. @param {number} seconds */
export function span(seconds) {
  const s = Math.floor(seconds);
  return s < 60 ? `${decimal(s, 0)} s` : `${decimal(Math.floor(s / 60), 0)} min ${decimal(s % 60, 0)} s`;
}
