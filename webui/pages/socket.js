// The line to the daemon: opens it, hands on what arrives, opens it again when lost.

/** First and longest wait [ms] before the next attempt; each is drawn from the upper half. */
const FIRST_WAIT = 300;
const LONGEST_WAIT = 5000;
/** A line that has said nothing for this long [ms] is given up: status comes every second. */
const DEAF = 5000;

/** @type {Surroundings} */
const browser = {
  get WebSocket() { return globalThis.WebSocket; },
  setTimeout: (f, ms) => Number(globalThis.setTimeout(f, ms)),
  clearTimeout: (id) => globalThis.clearTimeout(id),
  random: Math.random,
};

export class Line {
  /** @param {string} url @param {Handlers} handlers @param {Surroundings} [around] */
  constructor(url, handlers, around = browser) {
    this.url = url;
    this.handlers = handlers;
    this.around = around;
    this.attempt = 0;
    this.timer = 0;
    /** @type {WebSocket | null} */
    this.socket = null;
  }

  /** Opens the line now, unless it is open or opening. */
  open() {
    if (this.socket) return;
    this.around.clearTimeout(this.timer);
    const socket = new this.around.WebSocket(this.url);
    this.socket = socket;
    socket.onopen = () => {
      this.listenOn(socket);
      this.handlers.opened();
    };
    socket.onmessage = (event) => {
      if (socket !== this.socket) return;
      this.attempt = 0;
      this.listenOn(socket);
      this.handlers.received(event.data);
    };
    socket.onclose = () => this.lost(socket);
    this.listenOn(socket);
  }

  /** @param {object} message */
  send(message) {
    if (this.socket?.readyState === 1) this.socket.send(JSON.stringify(message));
  }

  /** Waits for the next word of a socket, and gives it up when none comes. @param {WebSocket} socket */
  listenOn(socket) {
    this.around.clearTimeout(this.timer);
    this.timer = this.around.setTimeout(() => {
      this.lost(socket);
      socket.close();
    }, DEAF);
  }

  /** @param {WebSocket} socket */
  lost(socket) {
    if (socket !== this.socket) return;
    this.socket = null;
    this.around.clearTimeout(this.timer);
    const wait = Math.min(LONGEST_WAIT, FIRST_WAIT * 2 ** this.attempt);
    this.attempt++;
    this.timer = this.around.setTimeout(() => this.open(), wait * (0.5 + 0.5 * this.around.random()));
    this.handlers.closed();
  }
}
