// What a page beside Show hears of the bench: link, freshness, virtual, the round of trials.

import { calibrations } from './protocol.js';
import { Line } from './socket.js';
import { calibrationText, linkText } from './words.js';

/** One quantity once a second: the page wants the status only. */
const QUERY = '/live?rate=1&channels=height_m';

/**
 * @typedef {{armed: boolean, state: string, sealed: boolean, revision: number}} Round
 * @typedef {{open: boolean, bench: string, calibrated: number, virtual: boolean, link: string, detail: string, fresh: boolean, round: Round | null}} Heard
 */

/**
 * What is known after a message; of a message that is no such thing, what was known before.
 * @param {Heard} before @param {unknown} text
 * @returns {Heard}
 */
export function hear(before, text) {
  let m;
  try {
    m = JSON.parse(String(text));
  } catch {
    return before;
  }
  if (m?.v !== 1) return before;
  if (m.type === 'hello') {
    return { ...before, bench: String(m.bench ?? ''), virtual: m.virtual === true, calibrated: calibrations(m.calibrations).calibrated };
  }
  if (m.type !== 'status') return before;
  const { trials: t } = m;
  return {
    ...before, virtual: m.virtual === true, link: String(m.link ?? ''), detail: String(m.link_detail ?? ''), fresh: m.fresh === true,
    round: t && typeof t.state === 'string' ? { armed: t.armed === true, state: t.state, sealed: t.sealed === true, revision: Number(t.revision) } : null,
  };
}

/** @type {Heard} */
export const NOTHING = Object.freeze({ open: false, bench: '', calibrated: NaN, virtual: false, link: '', detail: '', fresh: false, round: null });

/** The line to the daemon in words, as on Show. @param {Heard} heard */
export const lineText = ({ open, bench, link }) => linkText(/** @type {any} */ ({ open, hello: bench || null, status: link ? { link } : null, held: null, sample: null }));

/** Why no reading arrives; empty when they do. @param {Heard} heard */
export function silence(heard) {
  if (heard.open && heard.fresh) return '';
  return [lineText(heard), heard.open && heard.detail].filter(Boolean).join(': ');
}

/** Follows the daemon. @param {(heard: Heard) => void} told */
export function follow(told) {
  let heard = NOTHING;
  const change = (/** @type {Heard} */ next) => {
    heard = next;
    told(heard);
  };
  const scheme = location.protocol === 'https:' ? 'wss' : 'ws';
  const line = new Line(`${scheme}://${location.host}${QUERY}`, {
    opened: () => change({ ...heard, open: true }),
    closed: () => change({ ...heard, open: false, fresh: false }),
    received: (text) => change(hear(heard, text)),
  });
  line.open();
}

/** Age of the calibration, as on Show; empty until the daemon says. @param {Heard} heard */
export const ageText = (heard) => (heard.bench ? calibrationText(heard.calibrated, Date.now()) : '');
