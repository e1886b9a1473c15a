// When the bench was calibrated: asked of the daemon once per session.

/**
 * The older of the two dates that a bench answers with.
 * @param {any} bench answer of /api/bench
 * @returns {Date | null} null when one of them is not stated
 */
export function oldestCalibration(bench) {
  const dates = [bench?.calibration?.distance?.date, bench?.calibration?.force?.date].map((d) => new Date(d ?? NaN));
  // A date that nobody has set is that of the year 1.
  if (dates.some((d) => !(d.getUTCFullYear() > 1))) return null;
  return dates[0] < dates[1] ? dates[0] : dates[1];
}

/** @param {State} state */
export async function askCalibration(state) {
  const session = state.hello?.session;
  try {
    const answer = await fetch('/api/bench');
    const bench = answer.ok ? await answer.json() : null;
    if (state.hello?.session !== session || !bench) return;
    state.calibrated = oldestCalibration(bench);
    state.version++;
  } catch {
    // The daemon went away; with the next session it is asked again.
  }
}
