// The Upkeep page: asks how things stand, at a quick pace while a calibration is on.

import { ask, Commander } from './ask.js';
import { confirm } from './confirm.js';
import { drawChart, driftCard } from './driftview.js';
import { fillPages, fillWords, find, set } from './element.js';
import { PAGES } from './nav.js';
import { SessionView } from './session.js';
import { card } from './standing.js';
import { fillList } from './tables.js';
import { watchText, words } from './upkeepwords.js';

/** Pace [ms] of asking while a calibration is on, and else. */
const QUICK = 250;
const SLOW = 5000;

class Page {
  constructor() {
    this.commander = new Commander(find, (text) => set(find('refusal'), text));
    this.session = new SessionView((name, body, refusal, done) => this.act(name, body, refusal, done), confirm);
    this.seen = '';
    this.timer = 0;
    this.asked = 0; // answers to older questions are not shown
    this.away = ''; // why the last question was not answered
    this.drawCharts = () => {};
  }

  /**
   * Gives a command and shows how things stand then, or why not.
   * @param {string} name @param {object} body @param {HTMLElement} refusal where that is said
   * @param {string} [done] what is told when it is done
   * @returns {Promise<boolean>} it was done
   */
  act(name, body, refusal, done) {
    set(find('told'), '');
    this.asked++;
    return new Promise((resolve) => this.commander.order(`/api/upkeep/${name}`, body, (answer) => {
      set(refusal, answer.refusal);
      this.asked++;
      if (!answer.refusal) {
        if (done) set(find('told'), done);
        this.show(answer.data);
        if (done) this.checks();
      }
      resolve(!answer.refusal);
    }));
  }

  async look() {
    clearTimeout(this.timer);
    if (!document.hidden) {
      const n = ++this.asked;
      const answer = await ask('/api/upkeep');
      if (n === this.asked) {
        // Only what a question showed is taken back by the next.
        if (answer.refusal !== this.away) set(find('refusal'), answer.refusal);
        this.away = answer.refusal;
        if (answer.refusal) this.session.away(answer.refusal);
        else this.show(answer.data);
      }
    }
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.look(), this.session.session ? QUICK : SLOW);
  }

  /** @param {any} answer of /api/upkeep */
  show(answer) {
    const was = Boolean(this.session.session);
    this.session.draw(answer.session, performance.now(), answer.technician);
    if (Boolean(answer.session) !== was) {
      clearTimeout(this.timer);
      this.timer = window.setTimeout(() => this.look(), QUICK);
    }
    const rest = JSON.stringify([answer.kept, answer.watched, Boolean(answer.session), answer.standing.map((/** @type {any} */ s) => ({ ...s, age_h: s.age_h && Math.floor(s.age_h) }))]);
    if (rest === this.seen) return;
    this.seen = rest;
    find('not-kept').hidden = answer.kept;
    fillList(find('watch'), answer.watched.map(watchText));
    const mayBegin = answer.kept && !answer.session;
    find('standing').replaceChildren(...answer.standing.map((/** @type {any} */ s) => card(s, mayBegin, (kind) => this.act('begin', { kind }, find('refusal')))));
  }

  async checks() {
    const answer = await ask('/api/upkeep/checks');
    const all = answer.data?.checks ?? [];
    find('no-checks').hidden = all.length > 0 || Boolean(answer.refusal);
    const cards = all.map(driftCard);
    find('checks').replaceChildren(...cards);
    this.drawCharts = () => cards.forEach((/** @type {Element} */ e, /** @type {number} */ i) => drawChart(e, all[i]));
    this.drawCharts();
  }

  async bench() {
    const { data } = await ask('/api/status');
    if (!data) return;
    set(find('bench'), `${data.bench}: upkeep`);
    find('virtual').hidden = !data.virtual;
  }
}

fillWords(words);
fillPages(find('pages'), PAGES);
const page = new Page();
addEventListener('resize', () => page.drawCharts());
document.addEventListener('visibilitychange', () => document.hidden || page.look());
page.bench();
page.checks();
page.look();
