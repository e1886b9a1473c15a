// Questions and commands to the daemon; refusals come back as sentences.

import { unexplained, unreachable } from './commonwords.js';

/**
 * What came back: data where the daemon did as asked, else why not. Status 0 = no answer.
 * @typedef {{status: number, data: any, refusal: string}} Answer
 */

/** @param {string} path @returns {Promise<Answer>} */
export const ask = (path) => exchange(path, { cache: 'no-store' });

/** @param {string} path @param {object} body @returns {Promise<Answer>} */
export const command = (path, body) => exchange(path, {
  method: 'POST',
  headers: { 'Content-Type': 'application/json' },
  body: JSON.stringify(body),
});

/** @param {string} path @param {RequestInit} how @returns {Promise<Answer>} */
async function exchange(path, how) {
  try {
    const answer = await fetch(path, how);
    const data = answer.status === 204 ? null : await answer.json().catch(() => null);
    return { status: answer.status, data, refusal: answer.ok ? '' : refusalText(data, answer.statusText) };
  } catch {
    return { status: 0, data: null, refusal: unreachable };
  }
}

/**
 * The sentence of an RFC 9457 document, or the next best.
 * @param {any} problem @param {string} otherwise
 */
export function refusalText(problem, otherwise) {
  const text = problem?.detail || problem?.title || otherwise || unexplained;
  const whole = text[0].toUpperCase() + text.slice(1);
  return /[.!?]$/.test(whole) ? whole : `${whole}.`;
}

/**
 * Commands that may need the bench key: when the daemon asks for it, the form for it is
 * shown, and the command is given again once it has it.
 */
export class Commander {
  /** @param {(id: string) => any} find @param {(text: string) => void} refused shows why a key is not taken */
  constructor(find, refused) {
    this.form = find('key-form');
    this.key = find('key');
    this.refused = refused;
    /** @type {((answer: Answer) => void) | null} what waits for the key */
    this.waiting = null;
    this.form.onsubmit = (/** @type {Event} */ event) => {
      event.preventDefault();
      this.give();
    };
  }

  /**
   * Gives a command; done is called with its answer, again when it was given anew.
   * @param {string} path @param {object} body @param {(answer: Answer) => void} done
   */
  async order(path, body, done) {
    const answer = await command(path, body);
    if (answer.status === 401) {
      this.waiting = () => this.order(path, body, done);
      this.form.hidden = false;
      this.key.focus();
    }
    done(answer);
  }

  /** The daemon answers with a cookie that no script can read. */
  async give() {
    const answer = await command('/api/key', { key: this.key.value });
    this.key.value = '';
    this.refused(answer.refusal);
    if (answer.refusal) return;
    this.form.hidden = true;
    const again = this.waiting;
    this.waiting = null;
    again?.(answer);
  }
}
