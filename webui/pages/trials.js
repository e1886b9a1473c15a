// The Trials page: hears of the round as it goes, asks for the trials when they change.

import { Commander } from './ask.js';
import { ageText, follow, lineText, NOTHING, silence } from './benchline.js';
import { fillPages, fillWords, find, set } from './element.js';
import { PAGES } from './nav.js';
import { tellOfWhat } from './ofwhat.js';
import { RoundView } from './round.js';
import { load, save, settle } from './settings.js';
import { sheetWords } from './sheetwords.js';
import { askTrials, sinceOf } from './trialchanges.js';
import { groupsOf, keyOf, suspects, unitsFor } from './trialrows.js';
import { TrialTable } from './trialtable.js';
import { Voice } from './voice.js';
import { footnote, overruled, regrouped, sentence, tally, trialSpoken, units, words } from './trialwords.js';

/** Asked again after this time [ms] when the daemon could not answer. */
const AGAIN = 2000;
/** What was done is told for so long [ms]. */
const TOLD = 10_000;

class Page {
  constructor() {
    this.heard = NOTHING;
    /** @type {TrialsAnswer | null} */
    this.answer = null;
    this.asking = false;
    this.met = false; // the daemon has been heard
    /** @type {Omit<import('./trialtable.js').Shown, 'real'> | null} */
    this.shown = null;
    /** @type {import('./trialrest.js').Rest | null} */
    this.rest = null;
    this.turn = 0; // of drawing it; an older one stops
    this.away = ''; // why the last question was not answered
    this.settings = settle(load(), false);
    this.commander = new Commander(find, (text) => set(find('refusal'), text));
    this.voice = new Voice(find('speech'));
    const act = this.act.bind(this);
    this.round = new RoundView(act, this.voice);
    this.table = new TrialTable(find('trials'), (t, counts) => this.overrule(t, counts), (t, group) => this.act('group', { run: t.run, group }, regrouped(group)));
    choose('unit', Object.entries(units), this.settings.unit, (unit) => {
      this.settings = { ...this.settings, unit: /** @type {any} */ (unit) };
      save(this.settings);
      this.draw();
    });
  }

  /**
   * Gives a command, and asks how things stand then.
   * @param {string} name @param {object} body @param {string} done what is told then @param {HTMLElement} [refusal] where it is said why not
   * @returns {Promise<any>} what came back, {} where that is nothing; null = refused
   */
  act(name, body, done, refusal = find('refusal')) {
    set(find('told'), '');
    return new Promise((resolve) => this.commander.order(`/api/trials/${name}${sinceOf(this.answer)}`, body, (answer) => {
      set(refusal, answer.refusal);
      if (!answer.refusal) {
        this.tell(done);
        this.look();
      }
      resolve(answer.refusal ? null : answer.data ?? {});
    }));
  }

  /** @param {string} text */
  tell(text) {
    clearTimeout(this.telling);
    set(find('told'), text);
    this.telling = setTimeout(() => set(find('told'), ''), TOLD);
  }

  /** @param {Trial} t @param {boolean} counts */
  overrule(t, counts) {
    const n = (this.answer?.trials.findIndex((o) => keyOf(o) === keyOf(t)) ?? 0) + 1;
    this.act('overrule', { run: t.run, index: t.index, counts }, overruled(n, counts));
  }

  /** @param {import('./benchline.js').Heard} heard */
  hear(heard) {
    const again = heard.open && !this.heard.open && this.met;
    this.met ||= heard.open;
    const other = heard.bench !== this.heard.bench || heard.virtual !== this.heard.virtual;
    this.heard = heard;
    if (other) this.drawTable();
    set(find('bench'), heard.bench ? `${heard.bench}: trials` : 'Trials');
    find('virtual').hidden = !heard.virtual;
    set(find('link'), lineText(heard));
    find('link').dataset.live = String(heard.open && heard.fresh);
    set(find('calibrated'), ageText(heard));
    if (again) this.look(); // another daemon may count its changes from the beginning
    else if (this.stale() && !this.asking) this.look();
    this.drawRound();
  }

  /** The daemon has told of a change that is not shown yet. */
  stale() {
    return (this.heard.round?.revision ?? 0) > (this.answer?.revision ?? 0);
  }

  /** Asks for the trials; one question at a time, and again where they changed meanwhile. */
  async look() {
    this.again = this.asking;
    if (this.asking) return;
    this.asking = true;
    const { status, data, refusal } = await askTrials(this.answer);
    this.asking = false;
    if (refusal !== this.away) set(find('refusal'), refusal);
    this.away = refusal;
    if (!refusal) this.take(data);
    else if (status === 0 || status >= 500) setTimeout(() => this.away && this.look(), AGAIN);
    if (this.again || (!refusal && this.stale())) this.look();
  }

  /** @param {TrialsAnswer} t */
  take(t) {
    const before = this.answer;
    this.answer = t;
    if (t.sealed && !before?.sealed) this.voice.forget(); // it may hold what was lost
    this.round.fill(t);
    this.draw();
    if (!before || t.trials.length <= before.trials.length) return;
    const n = t.trials.length;
    this.voice.tell(trialSpoken(n, t.trials[n - 1].row, this.units().lost));
  }

  units() {
    return unitsFor(this.settings.unit, this.answer?.trials ?? []);
  }

  drawRound() {
    const { answer, heard } = this;
    const { round } = heard;
    const t = { armed: (round ?? answer)?.armed ?? false, state: (round ?? answer)?.state ?? '', recording: answer?.recording ?? '' };
    this.round.draw(t, silence(heard));
  }

  draw() {
    const t = this.answer;
    if (!t) return;
    const units = this.units();
    const groups = groupsOf(t.trials, t.table);
    /** @type {string[]} */
    const labels = [];
    for (const g of groups) for (const i of g.members) labels[i] = g.label;
    document.body.dataset.sealed = String(t.sealed);
    for (const id of ['sealed-word', 'sealed-about', 'csv-sealed']) find(id).hidden = !t.sealed;
    find('csv').hidden = find('unit-choice').hidden = t.sealed;
    set(find('trouble'), sentence(t.trouble));
    set(find('tally'), tally(t.trials));
    find('no-trials').hidden = t.trials.length > 0;
    find('trials-box').hidden = !t.trials.length;
    set(find('footnote'), footnote(t.sealed));
    this.shown = { trials: t.trials, suspected: suspects(groups), labels, sealed: t.sealed, units };
    this.drawTable();
    this.drawRound();
    this.drawRest({ answer: t, groups, labels, units });
  }

  /** The table is seen first; what comes of it may take a frame longer. @param {import('./trialrest.js').Drawn} drawn */
  drawRest(drawn) {
    const turn = ++this.turn;
    const frame = document.hidden ? (/** @type {() => void} */ then) => then() : requestAnimationFrame; // hidden there are none
    frame(() => setTimeout(async () => {
      const { Rest } = await import('./trialrest.js');
      if (turn !== this.turn) return;
      this.rest ??= new Rest(this.act.bind(this), (key) => this.table.goTo(key));
      this.rest.draw(drawn);
    }));
  }

  /** What is told of a trial hangs on the bench too: simulated ones are marked beside a real one. */
  drawTable() {
    const { bench, virtual } = this.heard;
    if (this.shown) this.table.draw({ ...this.shown, real: bench !== '' && !virtual });
  }
}

/** @param {string} id @param {[string, string][]} options @param {string} now @param {(value: string) => void} changed */
function choose(id, options, now, changed) {
  const select = find(id);
  select.replaceChildren(...options.map(([value, text]) => new Option(text, value, value === now, value === now)));
  select.onchange = () => changed(select.value);
}

fillWords({ ...words, ...sheetWords });
fillPages(find('pages'), PAGES);
tellOfWhat();
find('csv').href = '/api/trials.csv';
const page = new Page();
page.look();
follow((heard) => page.hear(heard));
// The small word stands in for the large one where that is out of sight.
new IntersectionObserver(([e]) => {
  find('state-small').hidden = e.isIntersecting;
}).observe(find('state'));
