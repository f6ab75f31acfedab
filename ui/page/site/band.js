// SPDX-License-Identifier: ISC
/* What the band plays at any moment: the last report, carried on by the beat and the chart. */
import { Beat } from './clock.js';
import { PART } from './core.js';

const SILENT = 5000; /* without a word for so long, the band has gone */
const LETTERS = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** `F#m` to { tonic, minor }; minor undefined where the name does not say so (the chart will). */
export function readKey(name) {
  const found = /^([A-G])([#b]?)(m?)$/.exec(name || '');
  if (!found) return null;
  const step = found[2] === '#' ? 1 : found[2] === 'b' ? -1 : 0;
  return { tonic: (LETTERS[found[1]] + step + 12) % 12, minor: found[3] ? true : undefined };
}

const samePlace = (a, b) => a && b && a.length === b.length && a.every((x, i) => x === b[i]);

export class Band {
  constructor(core, clock) {
    this.core = core;
    this.clock = clock;
    this.beat = new Beat();
    this.state = null;
    this.came = 0; /* when the last word of the band reached us, by our clock */
    this.form = false; /* is the chart known? */
    this.named = new Map();
    this.doubt = false; /* the chart says otherwise than the band */
  }

  /** A message of the server. */
  hear(state, came) {
    const was = this.state;
    this.state = state;
    this.came = state.quiet < 0 ? -Infinity : came - state.quiet;
    if (state.place && state.transport && !(was && samePlace(was.place, state.place) &&
        samePlace(was.transport, state.transport))) {
      this.anchor(was, came);
    }
    this.compare();
  }

  anchor(was, now) {
    const [at, chorus, bar, , beat] = this.state.place;
    const [rolling, tempo, beats] = this.state.transport;
    const stood = was && was.transport && !was.transport[0];
    this.beat.tell({ at: this.clock.ours(at), chorus, bar, beat: Math.max(0, beat - 1), beats,
      tempo: rolling ? tempo : 0, leap: stood }, now);
  }

  /** Where the chart says we are at `now`; null if it does not know. */
  place(now) {
    const told = this.beat.told;
    if (!this.form || !told || !told.bar) return null;
    const unit = this.state.transport[3] || 4;
    return this.core.place(told.chorus, told.bar, told.beat, this.beat.moved(now) * 4 / unit);
  }

  /** The band's own words count for more than our reading of the chart. */
  compare() {
    const told = this.beat.told;
    this.doubt = false;
    if (!this.form || !told || !told.bar || !this.state.chord) return;
    const [at, now] = this.state.chord;
    const since = this.state.transport[0] ? Math.max(0, at - this.state.place[0]) * told.tempo / 60000 : 0;
    const unit = this.state.transport[3] || 4;
    const place = this.core.place(told.chorus, told.bar, told.beat + 1e-3, since * 4 / unit);
    const said = place ? this.names(place.now)[0] : '';
    this.doubt = !place || said !== now;
  }

  silent(now) {
    return !this.state || now - this.came > SILENT;
  }

  /** Everything a picture needs, at `now`. */
  at(now) {
    const s = this.state;
    const told = this.beat.told;
    const quiet = this.silent(now);
    const seen = { status: quiet ? 'silent' : 'waiting', placed: false, lit: false, rolling: false, now: '', next: '',
      nowDegree: '', nextDegree: '', left: 0, lasts: 0, change: -1, index: -1, nextBar: -1, part: PART.nowhere };
    if (quiet || !told || !s.transport) return seen;
    const [rolling, tempo, beats, unit] = s.transport;
    seen.rolling = rolling;
    seen.lit = s.lit;
    const place = this.doubt ? null : this.place(now);
    if (!told.bar) {
      seen.part = told.chorus > 0 ? PART.over : PART.nowhere;
      seen.status = seen.part === PART.over ? 'over' : 'waiting';
      return seen;
    }
    seen.placed = true;
    seen.status = rolling ? 'playing' : 'stopped';
    if (place) this.fromChart(seen, place, tempo);
    else this.fromWords(seen, now, tempo, beats, unit);
    if (seen.part === PART.over) {
      seen.placed = false;
      seen.status = 'over';
    }
    return seen;
  }

  fromChart(seen, place, tempo) {
    Object.assign(seen, { part: place.part, chorus: place.chorus, bar: place.bar, bars: place.bars, felt: place.felt,
      beat: place.beat, beats: place.beats,
      feltBeats: place.feltBeats, left: place.left, lasts: place.lasts, index: place.index, nextBar: place.nextBar,
      change: place.next, tempo: tempo * place.feltBeats / (place.beats || 1) });
    [seen.now, seen.nowDegree] = this.names(place.now);
    [seen.next, seen.nextDegree] = this.names(place.next);
  }

  /** A change's name and degree, asked once. */
  names(change) {
    if (change < 0) return ['', ''];
    if (!this.named.has(change)) {
      this.named.set(change, [this.core.name('now', change), this.core.name('nowDegree', change)]);
    }
    return this.named.get(change);
  }

  /** The chart or the key is another one. */
  renamed() {
    this.named.clear();
    if (this.state) this.compare();
  }

  /** Without a chart: what was told, held inside its bar. */
  fromWords(seen, now, tempo, beats, unit) {
    const told = this.beat.told;
    const [at, ...chord] = this.state.chord || [0, '', '', '', '', 0];
    const thirds = unit >= 8 && beats > 3 && beats % 3 === 0 ? 3 : 1;
    const beat = Math.min(told.beat + this.beat.moved(now), (beats || 1) - 1e-3);
    const since = told.tempo > 0 ? (now - this.clock.ours(at)) * told.tempo / 60000 : 0;
    const [, , bar, bars] = this.state.place;
    Object.assign(seen, { chorus: told.chorus, bar, bars, felt: Math.max(0, beat) / thirds, tempo: tempo / thirds,
      feltBeats: Math.ceil((beats || 1) / thirds),
      part: bar < 0 ? PART.before : bars && bar > bars ? PART.ending : PART.chorus,
      left: chord[1] ? Math.max(0, chord[4] - since) / thirds : 0 });
    [seen.now, seen.next, seen.nowDegree, seen.nextDegree] = chord;
  }
}

/** How near the next chord is: 0 four felt beats before it (or when the present one began), 1 when it comes. */
export function fillOf(seen) {
  const soon = seen.lasts > 0 && seen.lasts < 4 ? seen.lasts : 4;
  return seen.placed && seen.next && seen.left < soon ? Math.min(1, 1 - seen.left / soon) : 0;
}
