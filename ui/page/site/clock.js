// SPDX-License-Identifier: ISC
/* Time: what the server's clock says now, and where the beat is between two reports. Pure; times in milliseconds. */

const WINDOW = 90e3; /* round trips older than this are forgotten: clocks drift */
const WORTH = 12; /* at most so many are kept */

/** The server's clock, from round trips: of several the quickest tells best, for it was held up least. */
export class ServerClock {
  constructor() {
    this.trips = [];
    this.oneWay = null; /* until a trip has been made: from the news alone, too late by their way here */
  }

  /** A question asked at `asked` and answered at `answered` (ours) with the server's time. */
  trip(asked, answered, theirs) {
    this.trips.push({ at: answered, took: answered - asked, ahead: theirs - (asked + answered) / 2 });
    this.trips = this.trips.filter((trip) => answered - trip.at < WINDOW).slice(-WORTH);
  }

  /** News sent at `sent` (theirs) came at `came` (ours). */
  news(sent, came) {
    const ahead = sent - came;
    this.oneWay = this.oneWay === null ? ahead : Math.max(ahead, this.oneWay - 1);
  }

  /** How far the server's clock is ahead of ours. */
  get ahead() {
    const best = this.trips.reduce((a, b) => (a && a.took <= b.took ? a : b), null);
    return best ? best.ahead : this.oneWay || 0;
  }

  /** A new connection, perhaps to another server. */
  forget() {
    this.trips = [];
    this.oneWay = null;
  }

  ours(theirs) {
    return theirs - this.ahead;
  }
}

const LEAP = 0.35; /* beats: from here on the band has jumped, and so do we */
const LEAN = 0.4; /* how much faster or slower than the music we run to catch up */

/** The beat between reports: it runs on at the tempo told. A report that differs a little bends the line, which
    never stands still nor turns back; one that differs a lot is a jump. */
export class Beat {
  constructor() {
    this.told = null;
    this.slip = 0; /* beats that we were ahead when told last */
    this.since = 0;
    this.least = 0; /* after a jump nothing before the place told is shown */
  }

  /** A place told: `at` our time of it; beat (from 0) of a bar of `beats`; `tempo` beats a minute, 0: standing. */
  tell(told, now) {
    const shown = this.told && this.told.tempo > 0 ? this.told.beat + this.moved(now) : null;
    let jumped = shown === null || told.tempo <= 0 || told.leap;
    this.told = told;
    this.slip = 0;
    this.since = now;
    this.least = -Infinity;
    if (!jumped) {
      const beats = told.beats || 4;
      const off = shown - (told.beat + this.moved(now));
      const apart = off - Math.round(off / beats) * beats;
      jumped = Math.abs(apart) >= LEAP;
      this.slip = jumped ? 0 : apart;
    }
    this.least = jumped ? 0 : -Infinity;
  }

  /** Beats since the place told, as they are to be shown at `now`. */
  moved(now) {
    if (!this.told || this.told.tempo <= 0) return 0;
    const pace = this.told.tempo / 60000;
    const left = Math.max(0, Math.abs(this.slip) - LEAN * pace * Math.max(0, now - this.since));
    return Math.max(this.least, (now - this.told.at) * pace + Math.sign(this.slip) * left);
  }
}
