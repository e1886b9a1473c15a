// Every word on the Upkeep page.

import { count, day, pair, unitName } from './figures.js';
import { decimal } from './numbers.js';

export const words = Object.freeze({
  pages: 'Pages',
  virtual: 'virtual bench: simulated',
  standing: 'How the calibrations stand',
  drift: 'Drift',
  drift_about: 'Each standard that was kept as a check, held against the calibration that counts.',
  no_checks: 'No checks are kept yet: begin a calibration of the load cell or the ranging sensor, take points, and keep them as checks.',
  begin: 'Calibrate',
  load: 'Load',
  load_help: 'names of check masses, or as in 100 g + 50.0 g +- 0.1 g; empty for nothing',
  rule: 'Height by the rule',
  rule_help: 'of the bob\u2019s lowest point above the floor, as in 412 mm; a comma will do for the point',
  length: 'Length of the spring',
  length_help: 'from end to end, as in 158,5 mm; or leave it empty and give the period',
  period: 'Period of its swing',
  period_help: 'of one whole oscillation, as in 0.634 s +- 0.2 ms',
  take: 'Take',
  arrange: 'Let the virtual bench do it',
  undo: 'Take the last back',
  points: 'Points',
  found: 'What they come to',
  by: 'Done by',
  note: 'Note',
  due: 'Due again on',
  due_help: 'a year from now when left empty',
  write: 'Write into the book\u2026',
  keep: 'Keep as checks\u2026',
  keep_help: 'Checks leave the calibration as it is: they show whether it has drifted.',
  abandon: 'Abandon\u2026',
  back: 'Back',
  key: 'Bench key',
  give_key: 'Give key',
  not_kept: 'This bench has no bench file, so nothing found could be kept: start the daemon with --config.',
  deviation: 'indication less reference',
});

/** What each kind is about. @type {Record<string, string>} */
export const parts = { force: 'Load cell', distance: 'Ranging sensor', timing: 'Delay between the two', spring: 'Spring' };

/** What to do for each kind, step by step. @type {Record<string, string>} */
export const steps = {
  force: 'Take the empty cell, then each load going up and the same loads coming down, and the empty cell again. Wait until the reading rests, type what hangs, take.',
  distance: 'Hold the bob at five heights or more over its whole range, each measured with the rule. Wait until the reading rests, type the height, take.',
  spring: 'Hang five loads or more going up and coming down. For each type what hangs and the length of the spring at rest, or the period of a small swing, and take.',
  timing: 'Found from recorded swings, by the command: joulewell calibrate timing.',
};

const hung = 'A stretched spring can fling what it holds, and loads fall: wear eye protection, catch what hangs by a slack cord, pad the floor, keep feet and face clear, do not stretch past the safe extension, and follow your institution\u2019s rules.';
/** What can hurt in each. @type {Record<string, string>} */
export const cautions = {
  force: hung,
  distance: 'Keep eyes and face out of the line of spring and sensor, hold the bob from the side, and follow your institution\u2019s rules.',
  spring: hung,
};

/** Axes of the residual plot. @param {string} kind */
export const residualNames = (kind) => ({
  off: kind === 'force' ? 'off the line, mN' : 'off the line, mm',
  at: kind === 'distance' ? 'height, m' : 'load, N',
});

/** @param {string} unit N or m */
export const chartNames = (unit) => ({ mean: 'mean', limit: '3 sd limit', needed: 'needed', deviation: `${words.deviation}, m${unit}` });

/**
 * How a kind stands, in a word, and whether somebody should look.
 * @param {{entry: object | null, stale: string, overdue: string, date: string | null, age_h: number | null}} s
 * @returns {{word: string, look: boolean, why: string}}
 */
export function standingText(s) {
  if (s.stale) return { word: 'does not count', look: true, why: s.stale };
  if (s.overdue) return { word: 'overdue', look: true, why: s.overdue };
  if (!s.entry) return { word: 'bench file counts', look: false, why: `No calibration of it stands in the book${s.date ? `; the bench file states one of ${dateText(s.date, s.age_h)}` : ''}.` };
  return { word: 'stands', look: false, why: '' };
}

/** @param {string} date @param {number | null} hours of age */
export function dateText(date, hours) {
  if (!day(date)) return '';
  if (hours === null) return day(date);
  const age = hours < 0 ? 'in the future: check the clock' : hours < 24 ? 'less than a day ago' : `${count(Math.floor(hours / 24), 'day')} ago`;
  return `${day(date)}, ${age}`;
}

/** @typedef {{steady: boolean, reason: string, readings: number, mean: number | null, u: number | null, noise: number | null, drift: number | null, age_s: number | null}} Steadiness */

/**
 * The reading of the moment in a big word and its sign, which tells the state without
 * any colour.
 * @param {Steadiness} s
 */
export function steadyWord(s) {
  if (s.steady) return { word: 'rests', sign: '\u25a0' };
  if (/^(moving|drifting)/.test(s.reason)) return { word: s.reason.split(/\W/)[0], sign: '\u2248' };
  return { word: 'wait', sign: '\u2026' };
}

/** What the screen reader says of it. @param {Steadiness} s */
export const steadySpoken = (s) => (s.steady ? 'The reading rests: it can be taken.' : `Not yet: ${s.reason.split(/[:;]/)[0]}.`.replace(/ by -?[\d.].*\./, '.'));

/** @param {Steadiness} s @param {string} indication @returns {[string, string][]} */
export function steadyFigures(s, indication) {
  const unit = unitName(indication);
  const mean = pair(s.mean, s.u);
  return [
    ['mean', `${mean.value} ${unit}`], ['u of it', `${mean.u} ${unit}`], ['noise of one', `${pair(s.noise, s.noise).value} ${unit}`],
    ['drift', `${pair(s.drift, s.u).value} ${unit}`], ['over', s.age_s === null ? '' : `${decimal(s.age_s, 1)} s, ${count(s.readings, 'reading')}`],
  ];
}

/** What a finished calibration writes, line by line, before it is written. @param {any} session @param {{by: string, note: string, due: string}} signing */
export function finishLines(session, signing) {
  const lines = session.finding.figures.slice(0, 2).map((/** @type {any} */ f) => {
    const p = pair(f.value, f.u);
    return `${f.name}: ${p.value} ${f.unit}, standard uncertainty ${p.u} ${f.unit}`;
  });
  lines.push(`from ${count(session.points.length, 'point')}, which are written down as well`);
  const doubts = session.finding.doubts.length;
  if (doubts) lines.push(`with ${count(doubts, 'doubt')} beside it`);
  lines.push(`done by: ${signing.by || 'nobody named'}`, `due again: ${signing.due || 'a year from now'}`);
  if (signing.note) lines.push(`note: ${signing.note}`);
  lines.push('The bench goes by it from then on. No earlier entry is changed or removed.');
  return lines;
}

export const asks = Object.freeze({
  /** @param {string} kind */
  finish: (kind) => `Write this calibration of the ${parts[kind].toLowerCase()} into the book?`,
  keep: 'Keep these points as checks?',
  /** @param {number} n */
  keepLines: (n) => [`${count(n, 'point')} held against the calibration that counts.`, 'The calibration stays as it is, and this session ends.'],
  abandon: 'Abandon this calibration?',
  /** @param {number} n */
  abandonLines: (n) => [n ? `${count(n, 'point')} will be gone.` : 'Nothing was taken yet.', 'Nothing is written.'],
  yes: { finish: 'Write', keep: 'Keep', abandon: 'Abandon' },
});

/** @param {string} kind */
export const finished = (kind) => `Written: the ${parts[kind].toLowerCase()} goes by the new calibration.`;
export const keptChecks = 'Kept as checks.';
/** @param {string} reason */
export const notSteady = (reason) => `Not taken, the reading does not rest yet: ${reason}.`;

/** @param {any} check */
export const checkTitle = (check) => `${parts[check.kind]}: ${check.what === 'zero' ? 'nothing on it' : [check.what, check.standard].filter(Boolean).join(' ')}`;

/** The reason of a state, which stands above it; or why there is none. @param {{state: string, reason: string}} check */
export function reasonText({ state, reason }) {
  const text = state ? reason.replace(`${state}: `, '') : `no verdict yet: ${reason.replace(/^judge the check records: /, '')}`;
  return text[0].toUpperCase() + text.slice(1);
}

const MONTH = 30.44 * 86400; // [s]
/** The drift in a month; empty where it is not known. @param {any} check */
export function rateText(check) {
  if (check.rate_per_s === null) return '';
  const unit = `m${check.unit}`;
  const half = ((check.rate_high_per_s - check.rate_low_per_s) / 2) * MONTH * 1000;
  const p = pair(check.rate_per_s * MONTH * 1000, half);
  return `${p.value} ${unit}, give or take ${p.u} ${unit} (95 %)`;
}

/** What the watch of the idle bench says of a sensor. @param {any} w */
export function watchText(w) {
  const unit = w.kind === 'force' ? 'mN' : 'mm';
  const at = new Date(w.at).toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
  if (w.moved === null) return `Idle bench, ${at}: its level at rest is being learnt.`;
  const moved = pair(w.moved * 1000, w.needed === null ? null : w.needed * 100).value;
  const needed = w.needed === null ? '' : ` of ${pair(w.needed * 1000).value} ${unit} that matter`;
  return `Idle bench, ${at}: ${w.state}; at rest it lies ${moved} ${unit} off its level${needed}.`;
}
