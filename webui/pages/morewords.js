// Words of what is loaded when it is asked for: settings, keys, ledger, sketch.

/** Questions and answers of the settings. @type {Record<string, [string, Record<string, string>]>} */
export const choices = {
  look: ['Ground', { auto: 'as the system', light: 'light, for a lit room', dark: 'dark, for a dark room' }],
  unit: ['Energies in', { auto: 'J or mJ, as fits', J: 'J', mJ: 'mJ' }],
  window: ['Strips show', { 10: '10 s', 20: '20 s', 30: '30 s', 60: '60 s' }],
  below: ['Below the energies', { yes: 'extension and force', no: 'nothing' }],
  keys: ['Keys of one character', { on: 'on', off: 'off' }],
  zero: ['Gravitational from', { floor: 'the floor', lowest: 'the lowest point in reach' }],
  seat: ['Farthest seat', { 2: '2 picture widths', 3: '3 picture widths', 4: '4 picture widths', 5: '5 picture widths' }],
  motion: ['Motion', { auto: 'as the system', live: 'live', calm: 'turning points only' }],
  speech: ['Screen reader hears', { events: 'events', off: 'nothing unasked', often: 'events, and energies every 5 s' }],
};

/** What keys do; those of parts are made from the parts' names. @type {Record<string, string>} */
export const commandWords = {
  freeze: 'freeze, or run on',
  reading: 'frozen: one reading back or on',
  turn: 'frozen: to the turning point before or after',
  ends: 'frozen: to the oldest or newest reading',
  again: 'run the last seconds again, or stand still',
  quarter: 'the same in slow motion, four times slower',
  tenth: 'the same, ten times slower',
  all: 'all parts',
  sketch: 'sketch what is expected, then lay the run over it; or all parts',
  unit: 'energies in J or mJ',
  zero: 'gravitational energy from the floor or from the lowest point in reach',
  below: 'extension and force below the energies, or not',
  look: 'light or dark ground',
  count: 'count losses from now',
  escape: 'close what is open; all parts; run on',
  help: 'this list',
};

/** Keys whose name is no character. @type {Record<string, string>} */
export const keyNames = {
  ArrowLeft: '\u2190', ArrowRight: '\u2192', PageUp: 'Page up', PageDown: 'Page down', Escape: 'Esc', Home: 'Home', End: 'End',
};

/** @param {string} part */
export const partAlone = (part) => `${part} alone, or all parts`;

/** Columns of the ledger. */
export const ledgerHeads = ['when', 'at its', 'height', 'extension', 'elastic', 'gravitational', 'total', 'lost'];
export const side = { true: 'highest', false: 'lowest' };
export const ledgerCaption = 'The last turning points of the bob, newest first';
export const noPoints = 'No turning points yet.';

export const sealedWords = Object.freeze({
  why: 'Results are sealed until they have been worked out: readings only.',
  height: 'height',
});

export const sketchWords = Object.freeze({
  name: 'Sketch of one energy over time',
  how: 'Left and right arrow keys move the pencil in time and draw, up and down change the energy; with shift they go farther. Delete clears the curve.',
  which: 'Energy to sketch',
  seconds: 'seconds',
  top: 'up to (J)',
  clear: 'Clear this curve',
  arm: 'Lay the next release over it',
  seconds_wrong: 'Seconds: a number from 1 to 60, such as 5 or 2,5.',
  top_wrong: 'Up to: joules from 0.001 to 1000, such as 0.6 or 0,6.',
  waits: 'Waiting for the release.',
  runs: 'The run is laid over the sketch.',
  done: 'Broad: the sketch. Thin: the run.',
  release: 'release',
  joules: 'J',
});

/** Where the pencil is. @param {string} energy @param {string} seconds @param {string} joules */
export const pencilAt = (energy, seconds, joules) => `${energy}, ${seconds} s: ${joules} J`;
