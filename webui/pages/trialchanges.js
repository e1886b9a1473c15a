// What has changed since the page last asked: the daemon tells no more than that.

import { ask } from './ask.js';
import { keyOf } from './trialrows.js';

const ALL = '/api/trials';

/** How the trials stand, all of them. @param {TrialsAnswer | null} known @returns {Promise<import('./ask.js').Answer>} */
export async function askTrials(known) {
  const answer = await ask(ALL + sinceOf(known));
  if (answer.refusal) return answer;
  const data = whole(known, answer.data);
  return data ? { ...answer, data } : ask(ALL);
}

/** The part of a question that says what is known. @param {TrialsAnswer | null} known */
export const sinceOf = (known) => (known ? `?since=${encodeURIComponent(known.mark)}` : '');

/**
 * An answer with all trials, also where it tells those that changed only: the others keep
 * their order, and stay the very objects that they were. Null where it does not go with
 * what is known: ask for all.
 * @param {TrialsAnswer | null} known @param {TrialsAnswer} answer @returns {TrialsAnswer | null}
 */
export function whole(known, answer) {
  if (!answer.since) return answer;
  if (!known || answer.since !== known.mark) return null;
  const changed = new Set(answer.trials.map(keyOf));
  const kept = known.trials.filter((t) => !changed.has(keyOf(t)));
  /** @type {Trial[]} */
  const trials = [];
  let [old, fresh] = [0, 0];
  while (trials.length < answer.count) {
    const next = answer.trials[fresh]?.at === trials.length ? answer.trials[fresh++] : kept[old++];
    if (!next) return null;
    trials.push(next);
  }
  return old === kept.length && fresh === answer.trials.length ? { ...answer, trials } : null;
}
