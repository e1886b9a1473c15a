// What the person at the desk has chosen; kept in the browser where it allows that.

const KEY = 'joulewell.show';

/** What each setting may be; the first is the default. */
export const CHOICES = Object.freeze({
  look: ['auto', 'light', 'dark'],
  unit: ['auto', 'J', 'mJ'],
  window: ['10', '20', '30', '60'],
  zero: ['lowest', 'floor'],
  seat: ['4', '2', '3', '5'],
  below: ['yes', 'no'],
  motion: ['auto', 'live', 'calm'],
  speech: ['events', 'off', 'often'],
  keys: ['on', 'off'],
});

/**
 * Settings from plain choices; anything unknown becomes the default.
 * @param {Record<string, unknown>} chosen
 * @param {boolean} reduced the system asks for less motion
 * @returns {Settings}
 */
export function settle(chosen, reduced) {
  /** @type {any} */
  const s = {};
  for (const [name, choices] of Object.entries(CHOICES)) {
    const wanted = String(chosen[name]);
    s[name] = choices.includes(wanted) ? wanted : choices[0];
  }
  s.window = Number(s.window);
  s.seat = Number(s.seat);
  s.calm = s.motion === 'calm' || (s.motion === 'auto' && reduced);
  return s;
}

/** @returns {Record<string, unknown>} */
export function load() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY) ?? '{}');
    return typeof kept === 'object' && kept !== null ? kept : {};
  } catch {
    return {};
  }
}

/** @param {Settings} settings */
export function save(settings) {
  try {
    localStorage.setItem(KEY, JSON.stringify(settings));
  } catch {
    // A browser that keeps nothing shows the defaults next time.
  }
}
