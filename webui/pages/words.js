// Every word on the page.

import { decimal, timeOfDay, uncertainty } from './numbers.js';
import { COVERAGE } from './scale.js';

export const words = Object.freeze({
  // Fixed text, by the data-word of the element that shows it.
  virtual: 'virtual bench: simulated',
  freeze: 'Freeze',
  run_on: 'Run on',
  pages: 'Pages',
  slow: 'Run again, at this share of the speed',
  look_at: 'Look at',
  keys: 'Keys',
  keys_off: 'Arrange has a switch for the keys of one character.',
  close: 'Close',
  step: 'Step through the readings',
  earlier: 'earlier turning point',
  later: 'later turning point',
  count: 'Count from now',
  run_start: 'Start run',
  run_stop: 'Stop run',
  note: 'Note for the run',
  key: 'Bench key',
  give_key: 'Give key',
  ledger: 'Ledger',
  arrange: 'Arrange',
  reload: 'Reload',
  older: 'This page is older than the daemon: reload it.',
  pointer: 'The ledger lists the turning points as a table.',
  safety: 'A stretched spring and a falling bob can hurt: keep eyes and feet clear, and follow your institution\u2019s rules.',
  energies: 'The four energies over the last seconds',
  column: 'Gravitational, elastic and kinetic energy set one on the other, with what has been lost from the total',
  well: 'Potential energy over height, with the bob, the level of the total, and where it turns',
  extension_strip: 'The extension of the spring over the last seconds',
  force_strip: 'The force at the top of the spring over the last seconds',
  extension: 'extension',
  force: 'force',
  now: 'now',
  freeze_time: 'the freeze',
  metres: 'm',
  newtons: 'N',
  put_in: 'put in',
  absent: 'no reading',

  kinetic: 'kinetic',
  elastic: 'elastic',
  gravitational: 'gravitational',
  total: 'total',
  lost: 'lost',

  /** @param {string} metres */
  high: (metres) => `${metres} m high`,
  /** @param {string} seconds */
  seconds: (seconds) => `${seconds} s`,
  /** @param {string} seconds */
  secondsAgo: (seconds) => `${seconds} s ago`,
});

/** What the page can be filled with. @type {Record<string, string>} */
export const partNames = {
  all: 'everything', column: 'ledger column', well: 'well', energies: 'energies', extension: 'extension', force: 'force',
  sketch: 'sketch first',
};

/** A speed in shares of the true one. @param {number} speed */
export const speedText = (speed) => (speed === 1 ? '\u00d71' : `\u00d71/${Math.round(1 / speed)}`);

/** The line to the device. @type {Record<string, string>} */
const links = {
  waiting: 'waiting for the device',
  opening: 'device opened, nothing received yet',
  live: 'live',
  silent: 'the device is silent',
  unreadable: 'the device sends what cannot be read',
  replaying: 'replay of a recorded run',
  finished: 'the recording has come to its end',
};

/** What is odd about a reading. @type {Record<string, string>} */
const flagWords = {
  'no-echo': 'no echo from the bob',
  'no-motion': 'too few distances for a position',
  'out-of-range': 'a sensor is at the end of its range',
  outlier: 'a distance was set aside as impossible motion',
};

/** @param {State} state */
export function linkText(state) {
  if (state.held) {
    const again = state.held.speed ? `, ${speedText(state.held.speed)}` : '';
    return `frozen at ${timeOfDay(state.held.at)}${again}`;
  }
  if (!state.open) return state.hello ? 'the daemon does not answer' : 'looking for the daemon';
  const link = state.status?.link;
  if (!link) return 'connected';
  const known = links[link] ?? link;
  if (link !== 'live' || !state.sample || !Number.isNaN(state.sample.total_J)) return known;
  if (state.sealed) return 'live: results sealed';
  const odd = state.live.flags.split(' ').map((f) => flagWords[f]).filter(Boolean);
  return odd.length ? `live: ${odd[0]}` : 'live: no energies from these readings';
}

/** @param {number} date [ms] of the older calibration, NaN = not stated @param {number} now [ms] wall time */
export function calibrationText(date, now) {
  if (Number.isNaN(date)) return 'calibration without date';
  const days = (now - date) / 86400e3;
  if (days < -1) return 'calibrated in the future: check the clock';
  if (days < 1) return 'calibrated today';
  return `calibrated ${count(Math.floor(days), 'day')} ago`;
}

/** What stands across the pictures while nothing is live. @param {State} state */
export function haltText(state) {
  const { why, since } = state.liveness;
  const title = why === 'finished' ? links.finished
    : since && state.readingAt ? `no readings since ${timeOfDay(since)}` : 'no readings yet';
  if (why === 'finished') return { title, detail: '' };
  if (why === 'unreachable') return { title, detail: 'The daemon does not answer; this page keeps trying.' };
  const link = state.status?.link ?? '';
  const detail = [link !== 'live' && links[link], state.status?.link_detail].filter(Boolean).join(': ');
  return { title, detail: sentence(detail) };
}

/** The line of small print, as parts. @param {State} state */
export function notes(state) {
  const { hello, status, missed, refused } = state;
  const parts = [...hello?.cautions ?? []];
  if (hello && Number.isFinite(hello.lag_s)) {
    parts.push(`${decimal(hello.lag_s * 1000, 0)} ms behind the bob, plus the screen`);
  }
  if (status && Number.isFinite(status.rate_per_s)) parts.push(`${decimal(status.rate_per_s, 0)} readings/s`);
  if (status) parts.push(clockText(status.clock));
  parts.push(`\u00b1 expanded uncertainty, k = ${COVERAGE}`);
  parts.push(`gravitational from ${state.offset ? 'the lowest point in reach' : 'the floor'}`);
  parts.push(state.frozen ? 'figures of the reading looked at' : 'figures 4 times a second');
  if (status?.refused) parts.push(`${count(status.refused, 'line')} refused`);
  if (missed) parts.push(`${count(missed, 'reading')} not shown here`);
  if (status && status.viewers > 1) parts.push(`${count(status.viewers, 'page')} open`);
  const strange = refused.malformed + refused.version;
  if (strange) parts.push(`${count(strange, 'message')} not understood`);
  return parts;
}

/** @param {number} n @param {string} thing */
const count = (n, thing) => `${decimal(n, 0)} ${thing}${n === 1 ? '' : 's'}`;

/** @param {DeviceClock} clock */
function clockText(clock) {
  if (!clock.known || !Number.isFinite(clock.ppm)) return 'device clock not measured yet';
  const u = COVERAGE * clock.u_ppm;
  const decimals = u > 0 && u < 10 ? 1 : 0;
  return `device clock ${decimal(clock.ppm, decimals, true)} \u00b1 ${uncertainty(u, decimals)} ppm`;
}

/** A length of time. @param {number} seconds */
function span(seconds) {
  const s = Math.floor(seconds);
  return s < 60 ? `${decimal(s, 0)} s` : `${decimal(Math.floor(s / 60), 0)} min ${decimal(s % 60, 0)} s`;
}

/** @param {Run | undefined} run */
export function runText(run) {
  if (!run) return '';
  const lost = run.lost ? `, ${count(run.lost, 'row')} lost` : '';
  const trouble = run.trouble ? `. ${run.trouble}` : '';
  if (run.active) return `recording ${run.name}: ${count(run.rows, 'row')}, ${span(run.length_s)}${lost}${trouble}`;
  if (run.name) return `recorded ${run.name}: ${count(run.rows, 'row')}${lost}${trouble}`;
  return sentence(run.trouble);
}

/**
 * One energy as speech.
 * @param {string} value @param {string} expanded @param {string} unit
 */
export function spoken(value, expanded, unit) {
  const long = unit === 'mJ' ? 'millijoules' : 'joules';
  return `${value} ${long}, plus or minus ${expanded}`;
}

/** @param {string} expanded */
export const plusMinus = (expanded) => `\u00b1 ${expanded}`;

/** @param {string} value @param {string} unit */
export const ofPutIn = (value, unit) => `of ${value} ${unit}`;
export const noneSeen = 'none seen';
/** @param {string} value */
export const lessThan = (value) => `< ${value}`;

/** @param {string} seconds */
export const beforeFreeze = (seconds) => `${seconds} s before the freeze`;

/** Events for the screen reader. */
export const spokenEvents = {
  frozen: 'Frozen. Arrow keys on the step control go through the readings.',
  runningOn: 'Running on.',
  live: 'Readings arrive.',
  /** @param {string} text */
  halted: (text) => sentence(text),
  sealed: 'Results are sealed: readings only.',
  opened: 'Results are open.',
  /** @param {string} name */
  runStarted: (name) => `Recording run ${name}.`,
  /** @param {string} name @param {number} rows */
  runSaved: (name, rows) => `Run ${name} saved, ${count(rows, 'row')}.`,
};

/** @param {string} text */
function sentence(text) {
  if (!text) return '';
  const whole = text[0].toUpperCase() + text.slice(1);
  return /[.!?]$/.test(whole) ? whole : `${whole}.`;
}
