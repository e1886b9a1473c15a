// Every word on the page.

import { COVERAGE } from './scale.js';
import { decimal, span, timeOfDay, uncertainty } from './numbers.js';

export const words = Object.freeze({
  // Fixed text, by the data-word of the element that shows it.
  virtual: 'virtual bench: simulated readings',
  freeze: 'Freeze',
  run_on: 'Run on',
  step: 'Step through the readings',
  earlier: 'earlier turning point',
  later: 'later turning point',
  count: 'Count losses from now',
  run_start: 'Start run',
  run_stop: 'Stop run',
  note: 'Note for the run',
  key: 'Bench key',
  give_key: 'Give key',
  ledger: 'Ledger',
  ledger_caption: 'The last turning points of the bob, newest first',
  no_points: 'No turning points yet.',
  arrange: 'Arrange',
  reload: 'Reload',
  older: 'This page is older than the daemon: reload it.',
  pointer: 'The ledger lists the turning points as a table.',
  safety: 'A stretched spring and a falling bob can hurt: keep eyes and feet clear, and follow your institution\u2019s rules.',
  strip: 'The four energies over the last seconds',
  gauge: 'The four energies as columns on one scale, with what has been lost from the total',
  well: 'Potential energy over height, with the bob and the level of the total',
  now: 'now',
  freeze_time: 'the freeze',
  metres: 'm',
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

/** Questions and answers of the settings. @type {Record<string, [string, Record<string, string>]>} */
export const choices = {
  look: ['Ground', { auto: 'as the system', light: 'light, for a lit room', dark: 'dark, for a dark room' }],
  unit: ['Energies in', { auto: 'J or mJ, as fits', J: 'J', mJ: 'mJ' }],
  window: ['Strip shows', { 10: '10 s', 20: '20 s', 30: '30 s', 60: '60 s' }],
  zero: ['Gravitational from', { floor: 'the floor', lowest: 'the lowest point in reach' }],
  seat: ['Farthest seat', { 2: '2 picture widths', 3: '3 picture widths', 4: '4 picture widths', 5: '5 picture widths' }],
  motion: ['Motion', { auto: 'as the system', live: 'live', calm: 'turning points only' }],
  speech: ['Screen reader hears', { events: 'events', off: 'nothing unasked', often: 'events, and energies every 5 s' }],
};

/** Columns of the ledger. */
export const ledgerHeads = ['when', 'at its', 'height', 'extension', 'elastic', 'gravitational', 'total', 'lost'];
export const side = { true: 'highest', false: 'lowest' };

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

/** @param {import('./state.js').State} state */
export function linkText(state) {
  if (state.heldAt) return `frozen at ${timeOfDay(state.heldAt)}`;
  if (!state.open) return state.hello ? 'the daemon does not answer' : 'looking for the daemon';
  const link = state.status?.link;
  if (!link) return 'connected';
  const known = links[link] ?? link;
  if (link !== 'live' || !state.sample || !Number.isNaN(state.sample.total_J)) return known;
  const odd = state.live.flags.split(' ').map((f) => flagWords[f]).filter(Boolean);
  return odd.length ? `live: ${odd[0]}` : 'live: no energies from these readings';
}

/** What stands across the pictures while nothing is live. @param {import('./state.js').State} state */
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

/** The line of small print, as parts. @param {import('./state.js').State} state */
export function notes(state) {
  const { hello, status, missed, refused } = state;
  const parts = [];
  if (hello && Number.isFinite(hello.lag_s)) {
    parts.push(`${decimal(hello.lag_s * 1000, 0)} ms behind the bob, plus the screen`);
  }
  if (status && Number.isFinite(status.rate_per_s)) parts.push(`${decimal(status.rate_per_s, 0)} readings/s`);
  if (status) parts.push(clockText(status.clock));
  parts.push(`\u00b1 expanded uncertainty, k = ${COVERAGE}`);
  parts.push(`gravitational counted from ${state.offset ? 'the lowest point in reach' : 'the floor'}`);
  if (status?.refused) parts.push(`${count(status.refused, 'line')} refused`);
  if (missed) parts.push(`${count(missed, 'reading')} not shown here`);
  if (status && status.viewers > 1) parts.push(`${count(status.viewers, 'page')} open`);
  const strange = refused.malformed + refused.version;
  if (strange) parts.push(`${count(strange, 'message')} not understood`);
  return parts;
}

/** @param {number} n @param {string} thing */
const count = (n, thing) => `${decimal(n, 0)} ${thing}${n === 1 ? '' : 's'}`;

/** @param {import('./protocol.js').DeviceClock} clock */
function clockText(clock) {
  if (!clock.known || !Number.isFinite(clock.ppm)) return 'device clock not measured yet';
  const u = COVERAGE * clock.u_ppm;
  const decimals = u > 0 && u < 10 ? 1 : 0;
  return `device clock ${decimal(clock.ppm, decimals, true)} \u00b1 ${uncertainty(u, decimals)} ppm`;
}

/** @param {import('./protocol.js').Run | undefined} run */
export function runText(run) {
  if (!run) return '';
  const lost = run.lost ? `, ${count(run.lost, 'row')} lost` : '';
  const trouble = run.trouble ? `. ${run.trouble}` : '';
  if (run.active) return `recording ${run.name}: ${count(run.rows, 'row')}, ${span(run.length_s)}${lost}${trouble}`;
  if (run.name) return `recorded ${run.name}: ${count(run.rows, 'row')}${lost}${trouble}`;
  return `no run recorded yet${trouble}`;
}

/** @param {string} reason */
export const runRefused = (reason) => sentence(reason || 'the daemon refused without saying why');
export const runUnreachable = 'The daemon did not answer: nothing was started or stopped.';

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
