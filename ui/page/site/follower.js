// SPDX-License-Identifier: ISC
/* Where the song is at any moment: the last report, carried on by the beat and the chart. */
import { Beat } from './clock.js';
import { PART } from './core.js';

const BY_EAR = { listening: 'hears', found: 'hears', lost: 'unheard' };
const SILENT = 5000; /* ms without a message after which the plugin counts as gone */
const LETTERS = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** `F#m` to { tonic, minor }; minor undefined where the name does not say so (the chart will). */
export function readKey(name) {
  const found = /^([A-G])([#b]?)(m?)$/.exec(name || '');
  if (!found) return null;
  const accidental = found[2] === '#' ? 1 : found[2] === 'b' ? -1 : 0;
  return { tonic: (LETTERS[found[1]] + accidental + 12) % 12, minor: found[3] ? true : undefined };
}

const samePlace = (a, b) => a && b && a.length === b.length && a.every((x, i) => x === b[i]);

export class Follower {
  constructor(core, clock) {
    this.core = core;
    this.clock = clock;
    this.beat = new Beat();
    this.state = null;
    this.last = 0; /* when the plugin's last message came, by our clock */
    this.form = false; /* is the chart known? */
    this.chords = new Map(); /* names of the form's changes */
    this.disputed = false; /* the chart has another chord than the plugin reports */
  }

  /** A message of the server. */
  receive(state, received) {
    const was = this.state;
    this.state = state;
    this.last = state.quiet < 0 ? -Infinity : received - state.quiet;
    if (state.place && state.transport && !(was && samePlace(was.place, state.place) &&
        samePlace(was.transport, state.transport))) {
      this.reportPlace(was, received);
    }
    this.core.loop(...(state.loop || [0, 0]));
    this.compare();
  }

  reportPlace(was, now) {
    const [at, chorus, bar, , beat] = this.state.place;
    const [rolling, tempo, beats] = this.state.transport;
    const stood = was && was.transport && !was.transport[0];
    this.beat.report({ at: this.clock.ours(at), chorus, bar, beat: Math.max(0, beat - 1), beats,
      tempo: rolling ? tempo : 0, jump: stood }, now);
  }

  /** The place at `now` by the chart; null if it has none such. */
  place(now) {
    const report = this.beat.reported;
    if (!this.form || !report || !report.bar) return null;
    const unit = this.state.transport[3] || 4;
    return this.core.place(report.chorus, report.bar, report.beat, this.beat.moved(now) * 4 / unit);
  }

  /** Where the chart and the plugin disagree, the plugin is right: this page may have another chart. */
  compare() {
    const report = this.beat.reported;
    this.disputed = false;
    if (!this.form || !report || !report.bar || !this.state.chord) return;
    const [at, now] = this.state.chord;
    const since = this.state.transport[0] ? Math.max(0, at - this.state.place[0]) * report.tempo / 60000 : 0;
    const unit = this.state.transport[3] || 4;
    const place = this.core.place(report.chorus, report.bar, report.beat + 1e-3, since * 4 / unit);
    const charted = place ? this.names(place.now)[0] : '';
    this.disputed = !place || charted !== now;
  }

  silent(now) {
    return !this.state || now - this.last > SILENT;
  }

  /** All that a picture needs, at `now`. */
  at(now) {
    const s = this.state;
    const report = this.beat.reported;
    const quiet = this.silent(now);
    const view = { status: quiet ? 'silent' : 'waiting', placed: false, lit: false, rolling: false, now: '', next: '',
      nowDegree: '', nextDegree: '', left: 0, lasts: 0, change: -1, over: -1, index: -1, nextBar: -1, part: PART.nowhere,
      loop: s && s.loop };
    if (quiet || !report || !s.transport) return view;
    const [rolling, tempo, beats, unit] = s.transport;
    view.rolling = rolling;
    view.lit = s.lit;
    const place = this.disputed ? null : this.place(now);
    if (!report.bar) {
      view.part = report.chorus > 0 ? PART.over : PART.nowhere;
      view.status = view.part === PART.over ? 'over' : BY_EAR[s.hearing] || (rolling ? 'lost' : 'waiting');
      return view;
    }
    view.placed = true;
    view.status = rolling ? 'playing' : 'stopped';
    view.sure = s.hearing === 'found' ? s.place[5] : 1;
    if (place) this.fromChart(view, place, tempo);
    else this.fromReport(view, now, tempo, beats, unit);
    if (view.part === PART.over) {
      view.placed = false;
      view.status = 'over';
    }
    return view;
  }

  fromChart(view, place, tempo) {
    Object.assign(view, { part: place.part, chorus: place.chorus, bar: place.bar, bars: place.bars, felt: place.felt,
      beat: place.beat, beats: place.beats,
      feltBeats: place.feltBeats, left: place.left, lasts: place.lasts, index: place.index, nextBar: place.nextBar,
      change: place.next, over: place.now, tempo: tempo * place.feltBeats / (place.beats || 1) });
    [view.now, view.nowDegree] = this.names(place.now);
    [view.next, view.nextDegree] = this.names(place.next);
  }

  /** A change's name and degree, asked once. */
  names(change) {
    if (change < 0) return ['', ''];
    if (!this.chords.has(change)) {
      this.chords.set(change, [this.core.name('now', change), this.core.name('nowDegree', change)]);
    }
    return this.chords.get(change);
  }

  /** Another chart, or another key. */
  songChanged() {
    this.chords.clear();
    if (this.state) this.compare();
  }

  /** Without a chart: what was reported, kept inside its bar. */
  fromReport(view, now, tempo, beats, unit) {
    const report = this.beat.reported;
    const [at, ...chord] = this.state.chord || [0, '', '', '', '', 0];
    const thirds = unit >= 8 && beats > 3 && beats % 3 === 0 ? 3 : 1;
    const beat = Math.min(report.beat + this.beat.moved(now), (beats || 1) - 1e-3);
    const since = report.tempo > 0 ? (now - this.clock.ours(at)) * report.tempo / 60000 : 0;
    const [, , bar, bars] = this.state.place;
    Object.assign(view, { chorus: report.chorus, bar, bars, felt: Math.max(0, beat) / thirds, tempo: tempo / thirds,
      feltBeats: Math.ceil((beats || 1) / thirds),
      part: bar < 0 ? PART.before : bars && bar > bars ? PART.ending : PART.chorus,
      left: chord[1] ? Math.max(0, chord[4] - since) / thirds : 0 });
    [view.now, view.next, view.nowDegree, view.nextDegree] = chord;
  }
}

/** How near the next chord is: 0 until four felt beats before it (or until the present one begins), 1 when it comes. */
export function fillOf(view) {
  const soon = view.lasts > 0 && view.lasts < 4 ? view.lasts : 4;
  return view.placed && view.next && view.left < soon ? Math.min(1, 1 - view.left / soon) : 0;
}
