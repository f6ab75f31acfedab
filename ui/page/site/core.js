// SPDX-License-Identifier: ISC
/* The plugin's core, compiled to WebAssembly. pupil.h says what each number means, and pupil.c asserts the layouts that
   are read here. */

export const HOLES = 10;
export const TECHNIQUES = ['blow', 'draw', 'blow1', 'blow2', 'blow3', 'draw1', 'draw2', 'draw3', 'overblow', 'overdraw'];
export const isDrawn = (how) => TECHNIQUES[how].includes('draw');
export const PART = { nowhere: 0, before: 1, leadIn: 2, chorus: 3, ending: 4, over: 5 };
export const ROLE = { off: 0, reach: 1, pass: 2, safe: 3, blue: 4, chord: 5, fifth: 6, root: 7, seventh: 8, third: 9 };

const NAMES = ['title', 'feel', 'key', 'now', 'nowDegree', 'bar', 'barDegree', 'section', 'degree', 'degreeNote',
  'role', 'tuning', 'phrase'];
const LAMP = ['note', 'reached', 'role', 'brightness', 'degree', 'blue', 'comes', 'nextDegree', 'target', 'draws'];
const PLACE = ['part', 'chorus', 'bar', 'index', 'beats', 'unit', 'feltBeats', 'now', 'next', 'nextBar', 'bars',
  'choruses'];

const BAR = ['part', 'bar', 'index', 'beats', 'unit', 'answers', 'planned', 'notes'];
const NOTE = 12; /* bytes */
const TEXT_MAX = 16384; /* bytes of a chart or a plan */

export async function loadCore(bytes) {
  const { instance } = await WebAssembly.instantiate(bytes, {});
  const c = instance.exports;
  const encoder = new TextEncoder();
  const decoder = new TextDecoder();
  const at = (from, size) => new Uint8Array(c.memory.buffer, from, size);
  const write = (...texts) => {
    const parts = texts.map((text) => encoder.encode(text));
    let to = c.rl_pupil_text();
    for (const part of parts) {
      at(to, part.length).set(part);
      to += part.length;
    }
    return parts.map((part) => part.length);
  };
  const name = (which, n = 0) => {
    const length = c.rl_pupil_name(NAMES.indexOf(which), n);
    return decoder.decode(at(c.rl_pupil_text(), length));
  };
  const degrees = [];
  return {
    /** Reads a chart; false if it is not valid (then there is no form). */
    chart: (text) => encoder.encode(text).length <= TEXT_MAX && c.rl_pupil_chart(write(text)[0]) === 1,
    /** Reads a plan; false if it is not valid or plans nothing. */
    plan: (text) => encoder.encode(text).length <= TEXT_MAX && c.rl_pupil_plan(write(text)[0]) === 1,
    /** tonic 0..11; minor true, false, or undefined: as the chart says. */
    key: (tonic, minor) => c.rl_pupil_key(tonic, minor === undefined ? -1 : Number(minor)),
    player: (p) => c.rl_pupil_player(p.key, p.register, p.tuning, p.draws, p.blows, Number(p.overblows)),
    line: () => c.rl_pupil_line(),
    position: () => c.rl_pupil_position(),
    /** How much is shown (1 to 4), and the index of the chord now among the changes, -1. */
    show: (level, change) => c.rl_pupil_show(level, change),
    /** Chords as degrees ('' for none); the next one's index among the changes, -1. */
    chords: (now, next, lit, change) => c.rl_pupil_chords(...write(now, next), Number(lit), change),
    /** All lamps: [hole - 1][how]. */
    lamps: () => {
      const bytes = at(c.rl_pupil_lamps(), HOLES * TECHNIQUES.length * LAMP.length);
      const lamp = (n) => Object.fromEntries(LAMP.map((name, i) => [name, bytes[n * LAMP.length + i]]));
      return Array.from({ length: HOLES }, (_, hole) => TECHNIQUES.map((_, how) => lamp(hole * TECHNIQUES.length + how)));
    },
    lampBytes: () => at(c.rl_pupil_lamps(), HOLES * TECHNIQUES.length * LAMP.length),
    /** A loop of the host, in bars from bar 1 of chorus 1; 0, 0: none. */
    loop: (from, to) => c.rl_pupil_loop(from, to),
    /** The place `quarters` quarter notes after a reported one; null if the chart does not have that. */
    place: (chorus, bar, beat, quarters) => {
      const where = c.rl_pupil_place(chorus, bar, beat, quarters);
      if (!where) return null;
      const view = new DataView(c.memory.buffer, where);
      const place = { beat: view.getFloat64(0, true), felt: view.getFloat64(8, true),
        left: view.getFloat64(16, true), lasts: view.getFloat64(24, true) };
      PLACE.forEach((name, i) => { place[name] = view.getInt32(32 + 4 * i, true); });
      return place;
    },
    /** A bar of the lane, `ahead` bars after the reported one (bar 0: the song's first); null if there is none. */
    lane: (chorus, bar, ahead) => {
      const where = c.rl_pupil_lane(chorus, bar, ahead);
      if (!where) return null;
      const view = new DataView(c.memory.buffer, where);
      const found = {};
      BAR.forEach((name, i) => { found[name] = view.getInt32(4 * i, true); });
      found.notes = Array.from({ length: found.notes }, (_, n) => {
        const from = 4 * BAR.length + NOTE * n;
        const [hole, how, degree, looks] = at(where + from + 8, 4);
        return { at: view.getFloat32(from, true), lasts: view.getFloat32(from + 4, true), hole, how, degree,
          replaced: (looks & 1) > 0, slur: (looks & 2) > 0, scoop: (looks & 4) > 0, fall: (looks & 8) > 0 };
      });
      return found;
    },
    bars: () => c.rl_pupil_bars(),
    bar: (index) => {
      const [chords, beats, unit, edges] = at(c.rl_pupil_bar(index), 4);
      return { chords, beats, unit, opens: (edges & 1) > 0, ends: (edges & 2) > 0 };
    },
    name,
    /** A degree's name, cached: these never change. */
    degree: (n) => {
      degrees[n] ??= name('degree', n);
      return degrees[n];
    },
  };
}
