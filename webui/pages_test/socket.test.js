import assert from 'node:assert/strict';
import test from 'node:test';
import { Line } from '../pages/socket.js';

/** A line on sockets and a clock of our own. */
function bench(random = () => 1) {
  const made = { sockets: [], timers: new Map(), events: [] };
  let id = 0;
  class Socket {
    constructor(url) {
      Object.assign(this, { url, readyState: 0, sent: [], closed: false });
      made.sockets.push(this);
    }
    send(text) { this.sent.push(text); }
    close() { this.closed = true; }
  }
  made.line = new Line('ws://x/live', {
    opened: () => made.events.push('opened'),
    closed: () => made.events.push('closed'),
    received: (text) => made.events.push(text),
  }, {
    WebSocket: Socket, random,
    setTimeout: (f, ms) => { made.timers.set(++id, { f, ms }); return id; },
    clearTimeout: (i) => made.timers.delete(i),
  });
  /** Runs the one timer that is set and returns how long it was. */
  made.elapse = () => {
    const [[i, { f, ms }], ...others] = made.timers;
    assert.equal(others.length, 0, 'one timer at a time');
    made.timers.delete(i);
    f();
    return ms;
  };
  return made;
}

test('what arrives is handed on, and answers are sent', () => {
  const b = bench();
  b.line.open();
  b.line.send({ early: true });
  b.sockets[0].readyState = 1;
  b.sockets[0].onopen();
  b.sockets[0].onmessage({ data: 'a' });
  b.line.send({ type: 'ack', seq: 4 });
  assert.deepEqual(b.events, ['opened', 'a']);
  assert.deepEqual(b.sockets[0].sent, ['{"type":"ack","seq":4}']);
});

test('a lost line is opened again, at growing intervals up to five seconds', () => {
  const b = bench();
  b.line.open();
  const waits = [];
  for (let i = 0; i < 7; i++) {
    b.sockets.at(-1).onclose();
    waits.push(b.elapse());
  }
  assert.deepEqual(waits, [300, 600, 1200, 2400, 4800, 5000, 5000]);
  assert.equal(b.sockets.length, 8);
});

test('intervals are spread, so that a room of pages does not return at once', () => {
  const b = bench(() => 0);
  b.line.open();
  b.sockets[0].onclose();
  assert.equal(b.elapse(), 150);
});

test('a message makes the next interval short again', () => {
  const b = bench();
  b.line.open();
  for (let i = 0; i < 4; i++) {
    b.sockets.at(-1).onclose();
    b.elapse();
  }
  b.sockets.at(-1).onmessage({ data: '' });
  b.sockets.at(-1).onclose();
  assert.equal(b.elapse(), 300);
});

test('a line that says nothing is given up, once', () => {
  const b = bench();
  b.line.open();
  b.sockets[0].onopen();
  assert.equal(b.elapse(), 5000);
  assert.ok(b.sockets[0].closed);
  b.sockets[0].onclose();
  b.sockets[0].onmessage({ data: 'late' });
  assert.deepEqual(b.events, ['opened', 'closed']);
});

test('opening twice makes one socket', () => {
  const b = bench();
  b.line.open();
  b.line.open();
  assert.equal(b.sockets.length, 1);
});
