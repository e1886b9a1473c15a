// The Show page: socket -> state -> views, and one animation loop.

import { Banner } from './banner.js';
import { energies, extension, force } from './chart.js';
import { ColumnView } from './column.js';
import { Desk } from './desk.js';
import { fillPages, fillWords, find } from './element.js';
import { PAGES } from './nav.js';
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

/** What few need is loaded when they ask for it. */
const late = {
  arrange: () => import('./arrange.js'),
  help: () => import('./help.js'),
  ledger: () => import('./ledger.js'),
  sealed: () => import('./sealed.js'),
  sketch: () => import('./sketchdesk.js'),
};

/** @param {State} state @param {Paper} paper */
function applySettings(state, paper) {
  const { look, seat, below } = state.settings;
  document.documentElement.dataset.look = look;
  document.documentElement.dataset.seat = String(seat);
  document.documentElement.style.setProperty('--seat', String(seat));
  document.body.dataset.below = below;
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
  fillWords(words);
  fillPages(find('pages'), PAGES);
  const reduced = matchMedia('(prefers-reduced-motion: reduce)').matches;
  const state = new State(settle(load(), reduced));
  const paper = new Paper(find('probe'));
  const arranged = () => applySettings(state, paper);
  const pictures = [
    new Strip(find('energies'), paper, energies), new ColumnView(find('column'), paper), new WellView(find('well'), paper),
    new Strip(find('extension'), paper, extension), new Strip(find('force'), paper, force),
  ];
  /** @type {Set<string>} */
  const wanted = new Set();
  /** @param {keyof typeof late} name */
  const want = (name) => {
    if (wanted.has(name)) return;
    wanted.add(name);
    late[name]().then(({ open }) => texts.push(...open(find, state, paper, desk)), () => wanted.delete(name));
  };
  const desk = new Desk(find, state, arranged, want);
  const readouts = new Readouts(find('sum'));
  /** @type {View[]} */
  const texts = [
    readouts, new Banner(find), desk, new Runs(find, state), new Speech(find('speech'), () => readouts.tell()),
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
    state.tick(now, Date.now());
    if (state.sealed) want('sealed');
    for (const view of texts) view.draw(state, now);
    const key = state.calm ? `${paper.version},${state.frozen && state.version},${state.liveness.why}` : '';
    if (state.calm && key === seen && now - drawn < CALM) return;
    seen = key;
    drawn = now;
    for (const view of pictures) view.draw(state, now);
  };
  requestAnimationFrame(frame);
}

start();
