// The controls at the desk: freeze, step and slow motion, parts, settings, keys.

import { commandOf, PARTS } from './commands.js';
import { pushButton, set } from './element.js';
import { SPEEDS } from './held.js';
import { decimal } from './numbers.js';
import { CHOICES, save, settle } from './settings.js';
import { beforeFreeze, partNames, speedText, words } from './words.js';

/** Least time [ms] between two changes of what a screen reader says of the step control. */
const EVERY = 1000;

export class Desk {
  /**
   * @param {(id: string) => any} find
   * @param {State} state
   * @param {() => void} arranged called after a setting or the part shown has changed
   * @param {(name: 'arrange' | 'help' | 'ledger' | 'sketch') => void} want asks for what is loaded late
   */
  constructor(find, state, arranged, want) {
    this.state = state;
    this.arranged = arranged;
    this.want = want;
    this.freezeButton = find('freeze');
    this.count = find('count');
    this.stepper = find('stepper');
    this.slider = find('step');
    this.part = find('part');
    this.help = find('help');
    this.panels = [find('ledger'), find('arrange')];
    /** Called after a setting has changed. @type {() => void} */
    this.chosen = () => {};
    this.version = -1;
    this.told = -Infinity;
    this.reduced = matchMedia('(prefers-reduced-motion: reduce)');
    this.speeds = SPEEDS.map((speed) => {
      const button = pushButton(speedText(speed), () => this.play(speed));
      find('speeds').append(button, ' ');
      return button;
    });
    for (const part of PARTS) this.part.append(new Option(partNames[part], part));
    this.listen(find);
  }

  /** @param {(id: string) => any} find */
  listen(find) {
    const { state } = this;
    this.freezeButton.onclick = () => this.toggleFreeze();
    this.count.onclick = () => state.countFromNow();
    find('earlier').onclick = () => state.stepTurning(-1);
    find('later').onclick = () => state.stepTurning(1);
    find('reload').onclick = () => location.reload();
    find('help-open').onclick = () => this.openHelp();
    this.part.onchange = () => this.lookAt(this.part.value);
    this.panels[0].ontoggle = () => this.want('ledger');
    this.panels[1].ontoggle = () => this.want('arrange');
    this.slider.oninput = () => state.show(Number(this.slider.value));
    document.addEventListener('keydown', (event) => this.key(event));
    this.reduced.addEventListener('change', () => this.choose({}));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.defaultPrevented || this.help.open) return;
    const target = /** @type {HTMLElement} */ (event.target);
    // The step control has the same arrow keys, but its own way with page keys.
    const paging = target === this.slider && /^Page/.test(event.key);
    const typing = target.matches('input, select, textarea, summary') && !paging;
    const command = commandOf(event, { typing, frozen: this.state.frozen, characters: this.state.settings.keys === 'on' });
    if (!command) return;
    event.preventDefault();
    command.run(this);
  }

  toggleFreeze() {
    this.state.freeze(!this.state.frozen, new Date());
  }

  /** Runs on from the cursor at a speed, or stands still when it does so already. @param {number} speed */
  play(speed) {
    this.state.play(this.state.held?.speed === speed ? 0 : speed, new Date());
  }

  /** @param {number} readings */
  step(readings) {
    if (this.state.held) this.state.show(this.state.held.cursor + readings);
  }

  /** @param {string} part one of PARTS, or that again for all */
  lookAt(part) {
    const { dataset } = document.body;
    dataset.part = dataset.part === part ? 'all' : part;
    this.part.value = dataset.part;
    for (const { classList } of document.querySelectorAll('.picture')) classList.toggle('alone', classList.contains(dataset.part));
    if (part === 'sketch') this.want(part);
    this.arranged();
  }

  /** Closes what is open, else shows all parts, else lets a frozen page run on. */
  escape() {
    const open = this.panels.find((panel) => panel.open);
    if (open) {
      open.open = false;
      open.querySelector('summary').focus();
    } else if (document.body.dataset.part !== 'all') {
      this.lookAt('all');
    } else {
      this.state.freeze(false, null);
    }
  }

  openHelp() {
    this.want('help');
    this.help.showModal();
  }

  /** Goes on to the next answer to a setting. @param {string} name */
  next(name) {
    const answers = CHOICES[/** @type {'unit'} */ (name)];
    const now = answers.indexOf(String(/** @type {any} */ (this.state.settings)[name]));
    this.choose({ [name]: answers[(now + 1) % answers.length] });
  }

  /** @param {Record<string, string>} change */
  choose(change) {
    const settings = settle({ ...this.state.settings, ...change }, this.reduced.matches);
    if ('zero' in change) this.state.axis.reset();
    this.state.settings = settings;
    this.state.version++;
    save(settings);
    this.arranged();
    this.chosen();
  }

  /** @param {State} state @param {number} now [ms] */
  draw(state, now) {
    if (state.version === this.version) return;
    const { held } = state;
    if (!held && this.stepper.hidden) return;
    this.version = state.version;
    set(this.freezeButton, held ? words.run_on : words.freeze);
    this.freezeButton.setAttribute('aria-pressed', String(Boolean(held)));
    this.speeds.forEach((button, i) => button.setAttribute('aria-pressed', String(held?.speed === SPEEDS[i])));
    this.stepper.hidden = !held;
    this.count.hidden = Boolean(held);
    if (!held) return;
    const { history } = held.record;
    this.slider.min = String(history.first);
    this.slider.max = String(history.end - 1);
    this.slider.value = String(held.cursor);
    if (held.speed && now - this.told < EVERY) return;
    this.told = now;
    this.slider.setAttribute('aria-valuetext', beforeFreeze(decimal(history.newest - held.t, 2)));
  }
}
