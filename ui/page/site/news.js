// SPDX-License-Identifier: ISC
/* News from the server: a stream that is opened again whenever it falls silent, and its clock. */

const SILENCE = 5000; /* the server says something every two seconds */
const TRIES = [300, 700, 1500, 2000];

/** Calls `heard(state, came)` for every message and `changed()` when the connection comes or goes. */
export class News {
  constructor(clock, heard, changed) {
    this.clock = clock;
    this.heard = heard;
    this.changed = changed;
    this.connected = false;
    this.tries = 0;
    this.last = performance.now();
    this.open();
    setInterval(() => this.watch(), 500);
    setInterval(() => this.ask(), 8000);
    addEventListener('online', () => this.open());
    document.addEventListener('visibilitychange', () => {
      if (!document.hidden) this.wake();
    });
  }

  open() {
    clearTimeout(this.again);
    if (this.source) this.source.close();
    this.last = performance.now();
    const source = new EventSource('news');
    this.source = source;
    source.onmessage = (event) => {
      if (source === this.source) this.take(event.data);
    };
    source.onerror = () => {
      if (source === this.source) this.lose();
    };
  }

  take(text) {
    const came = performance.now();
    const state = JSON.parse(text);
    this.last = came;
    if (!this.connected) {
      this.connected = true;
      this.tries = 0;
      this.clock.forget();
      this.setClock();
    }
    this.clock.news(state.sent, came);
    this.heard(state, came);
    this.changed();
  }

  lose() {
    this.source.close();
    this.connected = false;
    this.changed();
    clearTimeout(this.again);
    this.again = setTimeout(() => this.open(), TRIES[Math.min(this.tries++, TRIES.length - 1)]);
  }

  watch() {
    if (performance.now() - this.last > SILENCE) {
      this.last = performance.now();
      this.lose();
    }
  }

  /** Seen again: what was missed meanwhile is asked for at once. */
  wake() {
    if (performance.now() - this.last > 2500) this.open();
    else this.ask();
  }

  /** Several round trips at the beginning: the quickest counts. */
  async setClock() {
    for (let i = 0; i < 5 && this.connected; ++i) {
      await this.ask();
      await new Promise((done) => setTimeout(done, 60 + 60 * i));
    }
  }

  async ask() {
    if (!this.connected || document.hidden) return;
    const asked = performance.now();
    try {
      const answer = await fetch('time', { cache: 'no-store' });
      const answered = performance.now();
      if (answer.ok) this.clock.trip(asked, answered, Number(await answer.text()));
    } catch {
      /* the stream will tell */
    }
  }
}
