// The Show page: socket -> state -> views, and one animation loop.

import { Banner } from './banner.js';
import { Desk } from './desk.js';
import { Gauge } from './gauge.js';
import { Ledger } from './ledger.js';
import { Paper } from './paper.js';
import { parse } from './protocol.js';
import { Readouts } from './readouts.js';
import { Runs } from './runs.js';
import { load, settle } from './settings.js';
import { Line } from './socket.js';
import { Speech } from './speech.js';
import { State } from './state.js';
import { Strip } from './strip.js';
import { WellView } from './well.js';
import { words } from './words.js';

/** A calm page changes at most once in this time [ms]. */
const CALM = 1000;

/** @param {string} id @returns {any} */
function find(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no element ${id}`);
  return element;
}

/** Puts the words where the page asks for them. */
function fillWords() {
  /** @type {Record<string, any>} */
  const all = words;
  for (const e of document.querySelectorAll('[data-word]')) e.textContent = all[e.getAttribute('data-word') ?? ''];
  for (const e of document.querySelectorAll('[data-name]')) e.setAttribute('aria-label', all[e.getAttribute('data-name') ?? '']);
}

/** @param {State} state @param {Paper} paper */
function applySettings(state, paper) {
  const { look, seat } = state.settings;
  document.documentElement.dataset.look = look;
  document.documentElement.dataset.seat = String(seat);
  document.documentElement.style.setProperty('--seat', String(seat));
  paper.refresh();
}

/** @param {State} state */
function connect(state) {
  const url = `${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/live?rate=120&ack=yes`;
  const line = new Line(url, {
    opened: () => state.opened(),
    closed: () => state.closed(new Date()),
    received: (text) => {
      const { message, refusal } = parse(text);
      if (!message) return state.refuse(refusal);
      state.take(message, performance.now(), new Date());
      if (message.type === 'frames') line.send({ type: 'ack', seq: message.seq });
    },
  });
  line.open();
  addEventListener('online', () => line.open());
  document.addEventListener('visibilitychange', () => document.hidden || line.open());
}

function start() {
  fillWords();
  const reduced = matchMedia('(prefers-reduced-motion: reduce)').matches;
  const state = new State(settle(load(), reduced));
  const paper = new Paper(find('probe'));
  const arranged = () => applySettings(state, paper);
  const pictures = [new Strip(find('strip'), paper), new Gauge(find('gauge'), paper), new WellView(find('well'), paper)];
  const texts = [
    new Readouts(find('sum')), new Banner(find), new Desk(find, state, arranged), new Runs(find, state),
    new Ledger(find('ledger'), find('ledger-table')), new Speech(find('speech')),
  ];
  for (const query of ['(prefers-color-scheme: dark)', '(forced-colors: active)']) {
    matchMedia(query).addEventListener('change', arranged);
  }
  arranged();
  connect(state);

  let drawn = -Infinity;
  let seen = '';
  /** @param {number} now [ms] */
  const frame = (now) => {
    requestAnimationFrame(frame);
    state.tick(now);
    for (const view of texts) view.draw(state, now);
    const key = `${paper.version},${state.frozen && state.version},${state.liveness.why}`;
    if (state.calm && key === seen && now - drawn < CALM) return;
    seen = key;
    drawn = now;
    for (const view of pictures) view.draw(state, now);
  };
  requestAnimationFrame(frame);
}

start();
