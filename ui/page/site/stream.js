// SPDX-License-Identifier: ISC
/* The state from the server: a stream of events that is opened again whenever it falls silent, and the server's clock. */

const SILENCE = 3000; /* ms; the server sends something every second */
const HANGS = 2500; /* ms until an attempt to connect that says nothing is given up; more than a proxy's (HALL.md) */
const RETRIES = [300, 700, 1000]; /* ms */
const APART = 200; /* ms: a thousand pages do not come back at once */

/** Calls `onState(state, received)` for every message, and `onConnection()` when the connection comes or goes. */
export class StateStream {
  constructor(clock, onState, onConnection) {
    this.clock = clock;
    this.onState = onState;
    this.onConnection = onConnection;
    this.connected = false;
    this.tries = 0;
    this.last = performance.now();
    this.open();
    setInterval(() => this.watch(), 250);
    setInterval(() => this.askTime(), 8000);
    addEventListener('online', () => this.open());
    document.addEventListener('visibilitychange', () => {
      if (!document.hidden) this.wake();
    });
  }

  open() {
    clearTimeout(this.retry);
    if (this.source) this.source.close();
    this.last = performance.now();
    const source = new EventSource('news');
    this.source = source;
    source.onmessage = (event) => {
      if (source === this.source) this.receive(event.data);
    };
    source.onerror = () => {
      if (source === this.source) this.lose();
    };
  }

  receive(text) {
    const received = performance.now();
    const state = JSON.parse(text);
    this.from = state.from;
    this.last = received;
    if (!this.connected) {
      this.connected = true;
      this.tries = 0;
      this.clock.forget();
      this.setClock();
    }
    this.clock.message(state.sent, received);
    this.onState(state, received);
    this.onConnection();
  }

  lose() {
    this.source.close();
    this.connected = false;
    this.onConnection();
    clearTimeout(this.retry);
    this.retry = setTimeout(() => this.open(), RETRIES[Math.min(this.tries++, RETRIES.length - 1)] + APART * Math.random());
  }

  watch() {
    const silent = performance.now() - this.last;
    if (!this.connected && silent > HANGS) this.open();
    else if (silent > SILENCE) this.lose();
  }

  /** Visible again: reconnects at once if something was missed. */
  wake() {
    if (performance.now() - this.last > 2500) this.open();
    else this.askTime();
  }

  /** Several round trips at the beginning, of which the quickest counts. */
  async setClock() {
    for (let i = 0; i < 5 && this.connected; ++i) {
      await this.askTime();
      await new Promise((done) => setTimeout(done, 60 + 60 * i));
    }
  }

  async askTime() {
    if (!this.connected || document.hidden) return;
    const asked = performance.now();
    try {
      const answer = await fetch('time', { cache: 'no-store' });
      const answered = performance.now();
      const [time, from] = (await answer.text()).split(' ').map(Number);
      if (answer.ok && from === this.from) this.clock.trip(asked, answered, time); /* not another server's clock */
    } catch {
      /* the stream notices too */
    }
  }
}
