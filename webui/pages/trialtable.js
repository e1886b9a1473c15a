// The table of trials: the newest on top, each row made anew only where it differs.

import { make } from './element.js';
import { ABSENT, decimal } from './numbers.js';
import { keyOf, measured } from './trialrows.js';
import { detailOf } from './trialdetail.js';
import { heads, openName, overruleName, reasons, timeText, verdictText, words } from './trialwords.js';

/** Rows made at once, and then at a time while the browser is idle. */
const FIRST = 24;
const MORE = 100;

/**
 * What a table shows: trials in order of time, what is suspected of each, whether this bench is a real one, the units.
 * @typedef {import('./trialrows.js').Units} Units
 * @typedef {{trials: Trial[], suspected: Map<number, string[]>, labels: string[], sealed: boolean, real: boolean, units: Units}} Shown
 * @typedef {{n: number, trial: Trial, group: string, suspected: string[], units: Units, sealed: boolean, simulated: boolean}} Line n: number of the trial, from 1
 * @typedef {{above: string, head: string, unit: '' | 'm' | 's' | keyof Units, wide: number, energy?: boolean, cell: (line: Line) => string}} Column wide [em]
 */

/** Widths [em] of number, time, group and verdict: what the cells hold widens no column, so that a row more moves no other. */
const WIDTHS = [4.6, 6, 7.5, 15.5];

/** @param {Estimate | undefined} e @param {number} [factor] */
const value = (e, factor) => measured(e, factor).value;
/** @param {Estimate | undefined} e @param {number} factor */
const both = (e, factor) => {
  const { value: v, U } = measured(e, factor);
  return U === ABSENT ? v : `${v} \u00b1 ${U}`;
};

/** @param {'start' | 'lowest' | 'end'} name @returns {Column[]} */
const placeColumns = (name) => [
  { above: heads[name], head: heads.height, unit: 'm', wide: 4.8, cell: ({ trial }) => value(trial.row[name]?.height_m) },
  { above: heads[name], head: heads.total, unit: 'total', wide: 4.8, energy: true, cell: ({ trial, units }) => value(trial.row[name]?.total_J, units.total.factor) },
];

/** Of the figures, after number, time, group and verdict of a trial. @type {readonly Column[]} */
export const COLUMNS = Object.freeze([
  { above: heads.lost, head: heads.first, unit: 'lost', wide: 10.4, energy: true, cell: ({ trial, units }) => both(trial.row.first_fall_loss_J, units.lost.factor) },
  { above: heads.lost, head: heads.cycle, unit: 'lost', wide: 10.4, energy: true, cell: ({ trial, units }) => both(trial.row.loss_per_cycle_J, units.lost.factor) },
  ...placeColumns('start'), ...placeColumns('lowest'), ...placeColumns('end'),
  { above: heads.swing, head: heads.decay, unit: '', wide: 6.5, energy: true, cell: ({ trial }) => trial.row.decay_law || ABSENT },
  { above: heads.swing, head: heads.amplitude, unit: 'm', wide: 6, cell: ({ trial }) => value(trial.row.amplitude_m) },
  { above: heads.swing, head: heads.period, unit: 's', wide: 5.2, cell: ({ trial }) => value(trial.row.period_s) },
]);

/** @param {boolean} sealed */
export const columnsFor = (sealed) => COLUMNS.filter((c) => !sealed || !c.energy);

export class TrialTable {
  /**
   * @param {HTMLTableElement} table @param {(trial: Trial, counts: boolean) => void} overrule
   * @param {(trial: Trial, group: string) => void} regroup the trials of its run
   */
  constructor(table, overrule, regroup) {
    this.table = table;
    this.overrule = overrule;
    this.regroup = regroup;
    this.head = '';
    this.body = document.createElement('tbody');
    /** @type {Map<string, {text: string, row: HTMLTableRowElement, line: Line, detail: HTMLTableRowElement | null}>} */
    this.rows = new Map();
    /** @type {Line[]} newest first, not made yet */
    this.waiting = [];
    this.turn = 0; // of filling; an older one stops
  }

  /** @param {Shown} shown */
  draw({ trials, suspected, labels, sealed, real, units }) {
    const head = JSON.stringify([sealed, units]);
    if (head !== this.head) {
      this.head = head;
      this.columns = columnsFor(sealed);
      this.body = document.createElement('tbody');
      this.rows.clear();
      this.table.replaceChildren(this.widths(), this.headRows(units), this.body);
    }
    const lines = trials.map((trial, i) => ({ n: i + 1, trial, group: labels[i], suspected: suspected.get(i) ?? [], units, sealed, simulated: real && trial.virtual })).reverse();
    const upTo = Math.max(FIRST, 1 + lines.findLastIndex((l) => this.rows.has(keyOf(l.trial))));
    this.waiting = lines.slice(upTo);
    this.place(lines.slice(0, upTo));
    this.fillLater(++this.turn);
  }

  /** Makes what is new or differs, moves nothing that stays. @param {Line[]} lines all that are to stand in the table */
  place(lines) {
    const kept = new Set(lines.map((l) => keyOf(l.trial)));
    for (const [key, { row, detail }] of this.rows) {
      if (kept.has(key)) continue;
      row.remove();
      detail?.remove();
      this.rows.delete(key);
    }
    /** @type {ChildNode | null} */
    let last = null;
    for (const line of lines) {
      const { row, detail } = this.rowOf(line);
      for (const part of detail ? [row, detail] : [row]) {
        const next = /** @type {ChildNode | null} */ (last ? last.nextSibling : this.body.firstChild);
        if (part !== next) this.body.insertBefore(part, next);
        last = part;
      }
    }
  }

  /** The row of a line; what has focus in it keeps it. @param {Line} line */
  rowOf(line) {
    const key = keyOf(line.trial);
    const text = JSON.stringify([line.n, line.trial, line.group, line.suspected, line.simulated]);
    const old = this.rows.get(key);
    if (old?.text === text) return old;
    const row = this.make(line);
    const made = { text, row, line, detail: /** @type {HTMLTableRowElement | null} */ (null) };
    this.rows.set(key, made);
    if (old) {
      const focus = old.row.contains(document.activeElement) ? document.activeElement?.className : '';
      old.row.replaceWith(row);
      if (focus) /** @type {HTMLElement | null} */ (row.querySelector(`.${focus}`))?.focus();
      if (old.detail) {
        made.detail = this.detail(line);
        old.detail.replaceWith(made.detail);
        row.querySelector('.open')?.setAttribute('aria-expanded', 'true');
      }
    }
    return made;
  }

  /** @param {number} turn */
  fillLater(turn) {
    if (!this.waiting.length) return;
    const idle = window.requestIdleCallback ?? ((/** @type {() => void} */ f) => setTimeout(f, 30));
    idle(() => {
      if (turn !== this.turn) return;
      this.append(MORE);
      this.fillLater(turn);
    });
  }

  /** @param {number} n */
  append(n) {
    const fresh = document.createDocumentFragment();
    for (const line of this.waiting.splice(0, n)) fresh.append(this.rowOf(line).row);
    this.body.append(fresh);
  }

  widths() {
    const group = document.createElement('colgroup');
    for (const wide of [...WIDTHS, ...(this.columns ?? []).map((c) => c.wide)]) {
      const col = document.createElement('col');
      col.style.width = `${wide}em`;
      group.append(col);
    }
    return group;
  }

  /** @param {Units} units */
  headRows(units) {
    const head = document.createElement('thead');
    const [above, below] = [make('tr', ''), make('tr', '')];
    const th = (/** @type {string} */ text, /** @type {string} */ scope, /** @type {number} */ wide, /** @type {number} */ high) => {
      const e = /** @type {HTMLTableCellElement} */ (make('th', '', text));
      e.scope = scope;
      e.colSpan = wide;
      e.rowSpan = high;
      return e;
    };
    above.append(...[heads.number, heads.time, heads.group, heads.verdict].map((text) => th(text, 'col', 1, 2)));
    for (const e of [above.children[1], above.children[2]]) e.className = 'where';
    const columns = this.columns ?? [];
    columns.forEach((c, i) => {
      const unit = c.unit === 'lost' || c.unit === 'total' ? units[c.unit].name : c.unit;
      const name = unit ? `${c.head}, ${unit}` : c.head;
      if (!c.above) above.append(th(name, 'col', 1, 2));
      else if (columns[i - 1]?.above !== c.above) above.append(th(c.above, 'colgroup', columns.filter((o) => o.above === c.above).length, 1));
      if (c.above) below.append(th(name, 'col', 1, 1));
    });
    head.append(above, below);
    return head;
  }

  /** @param {Line} line */
  make(line) {
    const { n, trial } = line;
    const row = document.createElement('tr');
    row.dataset.counts = String(trial.row.counts);
    const number = make('th', '');
    number.setAttribute('scope', 'row');
    const open = make('button', 'open', decimal(n, 0));
    open.setAttribute('type', 'button');
    open.setAttribute('aria-label', openName(n));
    open.setAttribute('aria-expanded', 'false');
    open.onclick = () => this.toggle(keyOf(trial));
    number.append(open);
    row.append(
      number, make('td', 'word where', timeText(trial, new Date())), make('td', 'word where', line.group), this.verdict(line),
      ...(this.columns ?? []).map((c) => make('td', '', c.cell(line))),
    );
    return row;
  }

  /** @param {Line} line */
  verdict({ n, trial, suspected, simulated }) {
    const cell = make('td', 'verdict');
    cell.append(make('strong', '', `${trial.row.counts ? '' : '\u2715 '}${verdictText(trial.row)}`));
    const over = make('button', 'overrule', trial.row.counts ? words.leave_out : words.count);
    over.setAttribute('type', 'button');
    over.setAttribute('aria-label', overruleName(n, trial.row.counts));
    over.onclick = () => this.overrule(trial, !trial.row.counts);
    cell.append(over);
    for (const text of reasons(trial.row, suspected, simulated)) cell.append(make('span', 'reason', text));
    return cell;
  }

  /** @param {Line} line */
  detail(line) {
    const row = document.createElement('tr');
    row.className = 'detail';
    const [cell, inside] = [make('td', ''), make('div', '')];
    cell.setAttribute('colspan', String((this.columns?.length ?? 0) + 4));
    inside.append(...detailOf(line, (group) => this.regroup(line.trial, group)));
    cell.append(inside);
    row.append(cell);
    return row;
  }

  /** Opens or closes what is known of a trial. @param {string} key @param {boolean} [open] */
  toggle(key, open) {
    const it = this.rows.get(key);
    if (!it || open === Boolean(it.detail)) return;
    if (it.detail) {
      it.detail.remove();
      it.detail = null;
    } else {
      it.detail = this.detail(it.line);
      it.row.after(it.detail);
    }
    it.row.querySelector('.open')?.setAttribute('aria-expanded', String(Boolean(it.detail)));
  }

  /** Opens a trial and takes the person there. @param {string} key */
  goTo(key) {
    while (!this.rows.has(key) && this.waiting.length) this.append(MORE);
    this.toggle(key, true);
    const it = this.rows.get(key);
    it?.row.scrollIntoView({ block: 'nearest' });
    /** @type {HTMLElement | null | undefined} */ (it?.row.querySelector('.open'))?.focus();
  }
}
