// Reads the messages that the daemon sends on /live, version 1.
//
// Text in; out comes a checked message, or the reason for refusing it. Nothing
// that arrives can throw: a refused message is counted by the state.

export const VERSION = 1;

/** Columns of a frames message that this page keeps, in the order it keeps them. */
export const CHANNELS = Object.freeze([
  'height_m', 'extension_m', 'force_N', 'velocity_m_s',
  'kinetic_J', 'elastic_J', 'gravitational_J', 'total_J',
  'u_kinetic_J', 'u_elastic_J', 'u_gravitational_J', 'u_total_J',
]);

/**
 * Reads one message.
 * @param {unknown} text
 * @returns {{message: Message, refusal?: undefined} | {message?: undefined, refusal: Refusal}}
 */
export function parse(text) {
  let raw;
  try {
    raw = JSON.parse(String(text));
  } catch {
    return { refusal: 'malformed' };
  }
  if (!isObject(raw)) return { refusal: 'malformed' };
  if (raw.v !== VERSION) return { refusal: 'version' };
  const read = readers[raw.type];
  if (!read) return { refusal: 'unknown' };
  const message = read(raw);
  return message ? { message } : { refusal: 'malformed' };
}

/** @type {Record<string, (raw: any) => Message | null>} */
const readers = Object.assign(Object.create(null), { hello, frames, status });

/** @param {any} raw @returns {Hello | null} */
function hello(raw) {
  if (typeof raw.session !== 'string' || raw.session === '') return null;
  return {
    type: 'hello',
    bench: text(raw.bench),
    virtual: raw.virtual === true,
    source: text(raw.source),
    session: raw.session,
    lag_s: number(raw.lag_s, NaN),
    well: well(raw.well),
    weight_N: weight(raw.apparatus),
    ...calibrations(raw.calibrations),
  };
}

/**
 * When the readings' calibrations were done, the older of the two, and what is amiss with any.
 * @param {any} raw
 */
export function calibrations(raw) {
  const all = (Array.isArray(raw) ? raw : []).filter(isObject);
  const dates = ['distance', 'force'].map((kind) => Date.parse(all.find((c) => c.kind === kind)?.date));
  return { calibrated: number(Math.min(...dates), NaN), cautions: all.map((c) => text(c.caution)).filter(Boolean) };
}

/** @param {any} raw @returns {Well | null} */
function well(raw) {
  if (!isObject(raw)) return null;
  const { height_m, potential_J } = raw;
  const whole = numbers(height_m) && numbers(potential_J) &&
    height_m.length === potential_J.length && height_m.length >= 2;
  if (!whole) return null;
  for (let i = 1; i < height_m.length; i++) {
    if (!(height_m[i] > height_m[i - 1])) return null;
  }
  return { height_m, potential_J };
}

/**
 * Gravitational energy per height: weight of the bob and half that of the spring,
 * whose top does not move.
 * @param {any} raw
 */
function weight(raw) {
  const spring = raw?.spring?.mass_kg?.value;
  const bob = raw?.bob?.mass_kg?.value;
  return number((bob + spring / 2) * raw?.gravity_m_s2?.value, NaN);
}

/** @param {any} raw @returns {Frames | null} */
function frames(raw) {
  const n = raw.n;
  if (!Number.isInteger(n) || n < 0) return null;
  const t_s = n === 0 && raw.t_s === undefined ? [] : raw.t_s;
  if (!numbers(t_s) || t_s.length !== n) return null;
  const flags = raw.flags ?? null;
  if (flags !== null && !(Array.isArray(flags) && flags.length === n)) return null;
  /** @type {Record<string, Column>} */
  const columns = {};
  for (const name of CHANNELS) {
    const column = raw[name];
    if (column === undefined || column === null) continue;
    if (!Array.isArray(column) || column.length !== n) return null;
    if (!column.every((v) => v === null || Number.isFinite(v))) return null;
    columns[name] = column;
  }
  const lost = number(raw.lost, 0);
  return { type: 'frames', seq: number(raw.seq, 0), n, lost, t_s, flags: flags && flags.map(text), columns };
}

/** @param {any} raw @returns {Status | null} */
function status(raw) {
  if (typeof raw.link !== 'string') return null;
  const lines = isObject(raw.lines) ? raw.lines : {};
  const clock = isObject(raw.clock) ? raw.clock : {};
  const run = isObject(raw.run) ? raw.run : {};
  const reasons = isObject(lines.refused) ? Object.values(lines.refused) : [];
  return {
    type: 'status',
    virtual: typeof raw.virtual === 'boolean' ? raw.virtual : null,
    link: raw.link,
    link_detail: text(raw.link_detail),
    rate_per_s: number(raw.rate_per_s, NaN),
    accepted: number(lines.accepted, 0),
    refused: reasons.reduce((/** @type {number} */ sum, n) => sum + number(n, 0), 0),
    clock: { known: clock.known === true, ppm: number(clock.ppm, NaN), u_ppm: number(clock.u_ppm, NaN) },
    run: {
      active: run.active === true,
      name: text(run.name),
      rows: number(run.rows, 0),
      lost: number(run.lost, 0),
      length_s: number(run.length_s, 0),
      trouble: text(run.trouble),
    },
    fresh: raw.fresh === true,
    viewers: number(raw.viewers, 0),
    sealed: raw.trials?.sealed === true,
  };
}

/** @param {unknown} v @returns {v is Record<string, any>} */
const isObject = (v) => typeof v === 'object' && v !== null && !Array.isArray(v);
/** @param {unknown} v */
const text = (v) => (typeof v === 'string' ? v : '');
/** @param {unknown} v @param {number} otherwise */
const number = (v, otherwise) => (typeof v === 'number' && Number.isFinite(v) ? v : otherwise);
/** @param {unknown} v @returns {v is number[]} */
const numbers = (v) => Array.isArray(v) && v.every(Number.isFinite);
