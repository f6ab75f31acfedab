// SPDX-License-Identifier: ISC
/* What the server's clock says now, and where the beat is between two reports. Pure; times in milliseconds. */

const WINDOW = 90e3; /* round trips older than this are forgotten: clocks drift */
const TRIPS_MAX = 12;

/** The server's clock, from round trips: the quickest of several is the most exact. */
export class ServerClock {
  constructor() {
    this.trips = [];
    this.oneWay = null; /* from messages alone, late by their way here; used until there is a trip */
  }

  /** A request made at `asked` and answered at `answered` (our clock) with the server's time. */
  trip(asked, answered, theirs) {
    this.trips.push({ at: answered, took: answered - asked, ahead: theirs - (asked + answered) / 2 });
    this.trips = this.trips.filter((trip) => answered - trip.at < WINDOW).slice(-TRIPS_MAX);
  }

  /** A message sent at `sent` (their clock) was received at `received` (ours). */
  message(sent, received) {
    const ahead = sent - received;
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

const JUMP = 0.35; /* beats: a report that differs by that much is a jump */
const CATCH_UP = 0.4; /* how much faster or slower than the music the beat runs to catch up */

/** The beat between reports: it runs on at the reported tempo. A report that differs a little bends the line, which
    never stands still nor goes back; one that differs a lot is a jump. */
export class Beat {
  constructor() {
    this.reported = null;
    this.slip = 0; /* beats that we were ahead at the last report */
    this.since = 0;
    this.least = 0; /* after a jump nothing before the reported place is shown */
  }

  /** A place: `at` our time of it; beat (from 0) of a bar of `beats`; `tempo` beats a minute, 0: standing; `jump`: it
      is one. */
  report(place, now) {
    const shown = this.reported && this.reported.tempo > 0 ? this.reported.beat + this.moved(now) : null;
    let jumped = shown === null || place.tempo <= 0 || place.jump;
    this.reported = place;
    this.slip = 0;
    this.since = now;
    this.least = -Infinity;
    if (!jumped) {
      const beats = place.beats || 4;
      const off = shown - (place.beat + this.moved(now));
      const apart = off - Math.round(off / beats) * beats;
      jumped = Math.abs(apart) >= JUMP;
      this.slip = jumped ? 0 : apart;
    }
    this.least = jumped ? 0 : -Infinity;
  }

  /** Beats since the reported place, as they are to be shown at `now`. */
  moved(now) {
    if (!this.reported || this.reported.tempo <= 0) return 0;
    const pace = this.reported.tempo / 60000;
    const left = Math.max(0, Math.abs(this.slip) - CATCH_UP * pace * Math.max(0, now - this.since));
    return Math.max(this.least, (now - this.reported.at) * pace + Math.sign(this.slip) * left);
  }
}
