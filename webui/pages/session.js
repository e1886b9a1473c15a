// A calibration in progress: steadiness, what is typed, points, what they come to.

import { pair, percent, unitName } from './figures.js';
import { find, make, set } from './element.js';
import { residualPlot, FINE } from './residualplot.js';
import { picture } from './svg.js';
import { fillList, fillTable } from './tables.js';
import {
  asks, cautions, finished, finishLines, keptChecks, notSteady, parts, residualNames, steadyFigures, steadySpoken, steadyWord, steps, words,
} from './upkeepwords.js';

/** The screen reader hears of steadiness at most once in this time [ms]. */
const SPEAK = 1000;

/** @typedef {(command: string, body: object, refusal: HTMLElement, done?: string) => Promise<boolean>} Act */

export class SessionView {
  /** @param {Act} act gives a command and shows why it was refused @param {(title: string, lines: string[], yes: string) => Promise<boolean>} confirm */
  constructor(act, confirm) {
    this.act = act;
    this.confirm = confirm;
    /** @type {any} */
    this.session = null;
    this.seen = '';
    this.said = '';
    this.saidAt = -Infinity;
    onSubmit(find('take-form'), () => this.take());
    onSubmit(find('finish-form'), () => this.finish());
    find('arrange').onclick = () => this.act('arrange', { load: find('load').value, rule: find('rule').value }, find('take-refusal'));
    find('undo').onclick = () => this.act('undo', {}, find('take-refusal'));
    find('keep').onclick = () => this.keep();
    find('abandon').onclick = () => this.abandon();
  }

  async take() {
    const { steadiness } = this.session;
    const refusal = find('take-refusal');
    if (!steadiness.steady) return set(refusal, notSteady(steadiness.reason));
    const body = { load: find('load').value, rule: find('rule').value, period: find('period').value };
    if (!await this.act('take', body, refusal)) return;
    for (const id of ['load', 'rule', 'period']) find(id).value = '';
    find(this.session?.kind === 'distance' ? 'rule' : 'load').focus();
  }

  async finish() {
    const refusal = find('finish-refusal');
    const { kind, finding, not_yet: notYet } = this.session;
    if (!finding) return set(refusal, notYet);
    const signing = { by: find('by').value.trim(), note: find('note').value.trim(), due: find('due').value };
    if (!await this.confirm(asks.finish(kind), finishLines(this.session, signing), asks.yes.finish)) return;
    await this.act('finish', signing, refusal, finished(kind));
  }

  async keep() {
    if (!await this.confirm(asks.keep, asks.keepLines(this.session.points.length), asks.yes.keep)) return;
    await this.act('check', { note: find('note').value.trim() }, find('finish-refusal'), keptChecks);
  }

  async abandon() {
    const n = this.session.points.length;
    if (n && !await this.confirm(asks.abandon, asks.abandonLines(n), asks.yes.abandon)) return;
    await this.act('abandon', {}, find('finish-refusal'));
  }

  /**
   * @param {any} session null = none @param {number} now [ms]
   * @param {boolean} technician a simulated bench can be told what to hang
   */
  draw(session, now, technician) {
    const before = this.session?.kind;
    this.session = session;
    find('session').hidden = !session;
    if (!session && before) find('standing-title').focus();
    if (!session) return;
    if (session.kind !== before) this.begin(session.kind);
    find('arrange').hidden = !technician || session.kind === 'spring';
    this.steadiness(session, now);
    const { steadiness: _, ...rest } = session;
    const text = JSON.stringify(rest);
    if (text === this.seen) return;
    this.seen = text;
    this.points(session);
    this.finding(session);
  }

  /** Shows what a kind needs, with nothing typed yet. @param {string} kind */
  begin(kind) {
    this.seen = this.said = '';
    set(find('session-title'), `${words.begin}: ${parts[kind].toLowerCase()}`);
    set(find('steps'), steps[kind]);
    set(find('caution'), cautions[kind]);
    find('load-field').hidden = kind === 'distance';
    find('rule-field').hidden = kind === 'force';
    find('period-field').hidden = kind !== 'spring';
    find('steadiness').hidden = kind === 'spring';
    find('keep').hidden = find('keep-help').hidden = kind === 'spring';
    set(find('rule-label'), kind === 'spring' ? words.length : words.rule);
    set(find('rule-help'), kind === 'spring' ? words.length_help : words.rule_help);
    for (const id of ['load', 'rule', 'period', 'by', 'note', 'due']) find(id).value = '';
    for (const id of ['take-refusal', 'finish-refusal']) set(find(id), '');
    find('session-title').focus();
  }

  /** The daemon does not answer: nothing is known of the reading. @param {string} reason */
  away(reason) {
    const { session } = this;
    if (!session || session.kind === 'spring') return;
    const unknown = { steady: false, reason, readings: 0, mean: null, u: null, noise: null, drift: null, age_s: null };
    this.session = { ...session, steadiness: unknown };
    this.steadiness(this.session, performance.now());
  }

  /** @param {any} session @param {number} now [ms] */
  steadiness({ steadiness, indication, kind }, now) {
    find('take').setAttribute('aria-disabled', String(!steadiness.steady));
    if (kind === 'spring') return;
    const { word, sign } = steadyWord(steadiness);
    find('steadiness').dataset.steady = steadiness.steady ? 'yes' : 'no';
    set(find('steady-text'), word);
    set(find('steady-sign'), sign);
    set(find('steady-reason'), steadiness.reason);
    const list = find('steady-figures');
    const figures = steadyFigures(steadiness, indication);
    if (!list.children.length) for (const [name] of figures) list.append(make('dt', '', name), make('dd', ''));
    figures.forEach(([, text], i) => set(list.children[2 * i + 1], text));
    const spoken = steadySpoken(steadiness);
    if (spoken === this.said || now - this.saidAt < SPEAK) return;
    this.said = spoken;
    this.saidAt = now;
    set(find('speech'), spoken);
  }

  /** @param {any} session */
  points({ kind, indication, points, finding }) {
    const off = new Map((finding?.residuals ?? []).map((/** @type {any} */ r) => [r.point, r.off]));
    const typed = { force: ['load'], distance: ['rule'], spring: ['load', 'rule', 'period'] }[/** @type {'force'} */ (kind)];
    const read = kind !== 'spring';
    /** @type {Record<string, string>} */
    const heads = { load: 'load', rule: kind === 'spring' ? 'length' : 'height', period: 'period' };
    const head = ['', ...typed.map((t) => heads[t]), ...(read ? [`reading, ${unitName(indication)}`, 'u'] : []), residualNames(kind).off];
    fillTable(find('points'), '', head, points.map((/** @type {any} */ p, /** @type {number} */ i) => {
      const reading = pair(p.reading, p.u);
      const lies = off.get(i);
      return [String(i + 1), ...typed.map((t) => p[t] || (t === 'load' ? 'nothing' : '')), ...(read ? [reading.value, reading.u] : []), lies === undefined || lies === null ? '' : pair(lies * FINE, 0.1).value];
    }));
    find('undo').disabled = points.length === 0;
    find('keep').disabled = points.length === 0;
    const place = find('residuals');
    place.replaceChildren();
    if (!finding?.residuals.length) return;
    const width = Math.round(Math.max(260, Math.min(640, place.clientWidth)));
    const names = residualNames(kind);
    place.append(picture(residualPlot(finding.residuals, width, 240, names), width, 240, `${names.off}, over ${names.at}: the table of points lists the same`));
  }

  /** @param {any} session */
  finding({ finding, not_yet: notYet }) {
    set(find('not-yet'), notYet);
    set(find('summary'), finding?.summary ?? '');
    find('finish').setAttribute('aria-disabled', String(!finding));
    fillList(find('doubts'), finding?.doubts ?? []);
    const figures = finding?.figures ?? [];
    find('figures').hidden = !figures.length;
    const shares = figures.some((/** @type {any} */ f) => f.share !== null);
    const head = ['', 'value', 'standard uncertainty', ...(shares ? ['of the largest load'] : [])];
    fillTable(find('figures'), '', head, figures.map((/** @type {any} */ f) => {
      const p = pair(f.value, f.u);
      const unit = unitName(f.unit);
      return [f.name, `${p.value} ${unit}`, f.u === null ? '' : `${p.u} ${unit}`, ...(shares ? [percent(f.share)] : [])];
    }));
  }
}

/** @param {HTMLFormElement} form @param {() => void} then */
export function onSubmit(form, then) {
  form.onsubmit = (event) => {
    event.preventDefault();
    then();
  };
}
