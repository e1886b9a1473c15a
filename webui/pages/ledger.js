// The ledger: where the joules were at the last turning points, and which are lost.

import { unitOf } from './axistext.js';
import { ledgerCaption, ledgerHeads, noPoints, side } from './morewords.js';
import { ABSENT, decimal, uncertainty } from './numbers.js';
import { COVERAGE, decimalsFor } from './scale.js';
import { plusMinus, words } from './words.js';

const ROWS = 8;
const EVERY = 1000;

/** @param {(id: string) => any} find */
export const open = (find) => [new Ledger(find('ledger'), find('ledger-table'))];

class Ledger {
  /** @param {HTMLDetailsElement} details @param {HTMLTableElement} table */
  constructor(details, table) {
    this.details = details;
    this.drawn = -Infinity;
    this.version = -1;
    const caption = table.createCaption();
    caption.textContent = ledgerCaption;
    const head = table.createTHead().insertRow();
    for (const text of ledgerHeads) {
      const th = document.createElement('th');
      th.scope = 'col';
      th.textContent = text;
      head.append(th);
    }
    this.body = table.createTBody();
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (!this.details.open || state.version === this.version || now - this.drawn < EVERY) return;
    this.drawn = now;
    this.version = state.version;
    const points = state.shown.kept.slice(-ROWS).reverse();
    this.body.replaceChildren();
    if (!points.length) {
      const cell = this.body.insertRow().insertCell();
      cell.colSpan = ledgerHeads.length;
      cell.textContent = noPoints;
    }
    for (const point of points) this.row(state, point);
  }

  /** @param {State} state @param {TurningPoint} point */
  row(state, point) {
    const { history, putIn } = state.shown;
    const sample = history.at(point.n);
    if (!sample) return;
    const unit = unitOf(state);
    const expanded = COVERAGE * sample.u_total_J * unit.factor;
    const decimals = decimalsFor(expanded);
    /** @param {number} v */
    const joules = (v) => (Number.isFinite(v) ? `${decimal(v * unit.factor, decimals)} ${unit.name}` : ABSENT);
    const counted = point.t >= putIn.since;
    const texts = [
      words.secondsAgo(decimal(history.newest - point.t, 1)),
      side[`${point.high}`],
      `${decimal(sample.height_m, 3)} ${words.metres}`,
      `${decimal(sample.extension_m, 3)} ${words.metres}`,
      joules(sample.elastic_J),
      joules(sample.gravitational_J - state.offset),
      joules(sample.total_J - state.offset) + (expanded > 0 ? ` ${plusMinus(uncertainty(expanded, decimals))}` : ''),
      counted ? joules(putIn.level - sample.total_J) : '',
    ];
    const tr = this.body.insertRow();
    for (const text of texts) tr.insertCell().textContent = text;
  }
}
