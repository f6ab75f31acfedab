// SPDX-License-Identifier: ISC
/* The lane: the planned phrases as tab for this pupil's harp. The playing bar stands still and a bead of light moves along
   its line; the next bar waits below and replaces it at the bar line. */
import { TECHNIQUES, PART, isDrawn } from './core.js';
import { fitted, svg, widthOf, write } from './paint.js';
import { barWords, withSigns, tabOf } from './words.js';

const BARS = 2;
const COMMON_LEAST = 0.62; /* of the figures' size; smaller only where notes are closer than that */
const READABLE = 5; /* pixels: smaller figures are left out */
const INK = { now: '#F4ECDF', next: '#D6CFC4', chord: ['#FFDB94', '#E9B566'], quiet: '#A9B4BF', line: '#4A5866', degree: '#FFDB94',
  answer: '#B9DAFF' };

/** Notes that begin at once, together. */
function onsetsOf(bar) {
  const onsets = [];
  for (const note of bar.notes) {
    const last = onsets[onsets.length - 1];
    if (last && last.at === note.at) last.notes.push(note);
    else onsets.push({ at: note.at, end: Math.min(bar.beats, note.at + note.lasts), notes: [note] });
  }
  return onsets;
}

const figuresOf = (onset, draws) => onset.notes.filter((note) => isDrawn(note.how) === draws)
  .map((note) => tabOf(note.hole, note.how)).join('+');

export class Lane {
  constructor(box, core) {
    this.box = box;
    this.core = core;
    this.rows = [];
    this.bars = [];
    this.hits = new Set();
    this.from = [0, 0];
  }

  /** A planned note was played. */
  hit(chorus, bar, beat) {
    this.hits.add(`${chorus} ${bar} ${beat.toFixed(2)}`);
    if (this.rows[0]) this.hitsFind(this.rows[0], this.bars[0], 0);
  }

  /** Empty rows for the bars, `width` by `height` pixels each. */
  build(width, height) {
    this.box.replaceChildren();
    this.rows = Array.from({ length: BARS }, (_, i) => {
      const row = document.createElement('div');
      row.className = i ? 'waits' : 'plays';
      const picture = svg('svg', { viewBox: `0 0 ${width} ${height}`, width, height }, row);
      this.box.append(row);
      return { row, picture, onsets: [] };
    });
    this.shown = null;
    this.bars = [];
    this.bead = document.createElement('i');
    this.rows[0].row.append(this.bead);
    const head = Math.max(11, height * 0.145);
    const low = Math.max(11, height * 0.15);
    const size = Math.min(44, (height - 1.5 * head - low) / 2.1); /* blow over the line, draw under it */
    this.m = { width, height, size, head, low, pad: Math.max(8, width * 0.025), line: head * 1.5 + size, thick: Math.max(3.5, height * 0.045) };
    this.bead.style.cssText = `height:${size * 0.55}px;top:${this.m.line - size * 0.275}px;width:${this.m.thick + 1}px`;
  }

  x(bar, beat) {
    return this.m.pad + beat / bar.beats * (this.m.width - 2 * this.m.pad);
  }

  /** The bars from where the music is: the song's first where that is not known, none where the chart ends. True if they
      changed. */
  show(view, calm) {
    const lost = view.part === PART.over || (view.placed && !view.beats);
    const from = view.placed ? [view.chorus, view.bar] : [0, 0];
    const shown = `${lost} ${from} ${view.loop}`;
    const moved = this.shown !== shown;
    if (moved) {
      this.shown = shown;
      if (from[0] < this.from[0] || (from[0] === this.from[0] && from[1] < this.from[1])) this.hits.clear(); /* gone back */
      this.from = from;
      this.bars = this.rows.map((_, i) => (lost ? null : this.core.lane(...from, i)));
      this.bars.forEach((bar, i) => this.barDraw(this.rows[i], bar, i));
    }
    const playing = view.placed && this.bars[0] && view.part !== PART.before;
    const beat = calm ? Math.floor(view.beat + 1e-6) : view.beat;
    this.bead.hidden = !playing;
    if (playing) this.bead.style.transform = `translateX(${(this.x(this.bars[0], beat) - this.m.thick / 2).toFixed(1)}px)`;
    this.light(playing ? view.beat : -1, view.rolling);
    return moved;
  }

  /** Past notes are dim; those that should sound glow. */
  light(beat, rolling) {
    for (const onset of this.rows[0].onsets) {
      const name = (onset.end <= beat ? 'past' : onset.at <= beat && rolling ? 'sounds' : '') + (onset.hit ? ' hit' : '');
      if (name !== onset.name) {
        onset.name = name;
        onset.group.setAttribute('class', name);
      }
    }
  }

  /** How notes of these bars are marked on the comb: { '3-draw2': 'soon', 'now' or 'sounds' }. */
  marks(view) {
    const marks = {};
    if (!view.placed) return marks;
    for (let i = BARS - 1; i >= 0; --i) {
      for (const note of this.bars[i] ? this.bars[i].notes : []) {
        const id = `${note.hole}-${TECHNIQUES[note.how]}`;
        const sounds = !i && view.rolling && note.at <= view.beat && view.beat < note.at + note.lasts;
        if (sounds || marks[id] !== 'sounds') marks[id] = sounds ? 'sounds' : i ? 'soon' : 'now';
      }
    }
    return marks;
  }

  /* ---- one bar ---- */

  barDraw(row, bar, waits) {
    row.onsets = [];
    row.picture.replaceChildren();
    if (!bar) return;
    this.lineDraw(row.picture, bar);
    this.headDraw(row.picture, bar, waits);
    row.onsets = onsetsOf(bar);
    this.hitsFind(row, bar, waits);
    const space = row.onsets.map((onset, i) => Math.max(1, this.x(bar, i + 1 < row.onsets.length ? row.onsets[i + 1].at : bar.beats) -
      this.x(bar, onset.at) - Math.max(3, 0.16 * this.m.size)));
    const fits = row.onsets.map((onset, i) => Math.min(...[false, true].map((draws) => {
      const figures = figuresOf(onset, draws);
      return figures ? fitted(figures, true, this.m.size, space[i]) : this.m.size;
    })));
    const common = Math.max(COMMON_LEAST * this.m.size, Math.min(this.m.size, ...fits));
    row.onsets.forEach((onset, i) => this.onsetDraw(row.picture, bar, onset, Math.min(common, fits[i]), space[i], waits));
    if (bar.answers && !bar.notes.length) {
      write(row.picture, 'answer', { x: this.m.width / 2, y: this.m.line - this.m.size * 0.6, size: this.m.size * 0.8, ink: INK.answer });
    }
  }

  /** Which of a bar's notes were played. */
  hitsFind(row, bar, waits) {
    const [chorus, from] = this.from;
    const nth = Math.max(chorus + (waits && bar.bar <= from ? 1 : 0), bar && bar.bar > 0 ? 1 : 0);
    for (const onset of row.onsets) onset.hit = this.hits.has(`${nth} ${bar.bar} ${(onset.at + 1).toFixed(2)}`);
  }

  lineDraw(parent, bar) {
    const { width, pad, line } = this.m;
    const ticks = Array.from({ length: bar.beats }, (_, i) => `M${this.x(bar, i).toFixed(1)} ${line - 4}v8`).join('');
    svg('path', { d: `M${pad} ${line}H${width - pad}${ticks}`, stroke: INK.line, 'stroke-width': 2, fill: 'none' }, parent);
  }

  /** Which bar, its chords, whether the pupil answers, and which phrase begins: as far as there is space for them. */
  headDraw(parent, bar, waits) {
    const { core, m } = this;
    const chords = bar.index < 0 ? 0 : core.bar(bar.index).chords;
    const names = Array.from({ length: chords }, (_, k) => withSigns(core.name('bar', bar.index * 8 + k))).join(' ');
    const words = [[barWords(bar), false, INK.quiet, 0.4], [names, true, INK.chord[waits], 0.5],
      [bar.answers && bar.notes.length ? 'answer' : '', true, INK.answer, 1],
      [bar.planned < 0 ? '' : core.name('phrase', bar.planned), false, INK.quiet, 1]];
    let x = m.pad;
    for (const [text, bold, ink, share] of words) {
      const left = m.width - m.pad - x;
      const size = fitted(text, bold, m.head, left * share);
      if (text && size > 0.75 * m.head) {
        write(parent, text, { x, size, bold, at: 'start', ink, base: m.head * 1.15 });
        x += widthOf(text, bold) * size + m.head * 0.7;
      }
    }
  }

  onsetDraw(parent, bar, onset, size, space, waits) {
    const { m } = this;
    const x = this.x(bar, onset.at);
    const end = this.x(bar, onset.end);
    const ink = waits ? INK.next : INK.now;
    onset.group = svg('g', {}, parent);
    this.strokeDraw(onset.group, onset.notes[0], x, end, ink);
    if (size < READABLE) return;
    for (const draws of [false, true]) {
      const figures = figuresOf(onset, draws);
      const y = m.line + (draws ? 0.6 : -0.6) * m.size;
      if (figures) write(onset.group, figures, { x, y, size, width: space, at: 'start', ink });
    }
    write(onset.group, withSigns(this.core.degree(onset.notes[onset.notes.length - 1].degree)), { x, size: m.low, width: space,
      at: 'start', ink: INK.degree, base: m.line + m.size * 1.05 + m.low * 0.8 });
  }

  /** A dot that is filled once the note was played, where that is heard, and a stroke as long as the note: it goes on into a slur, has a slant before it for a scoop, behind it for a fall, and is hollow for another note
      than in the phrase. */
  strokeDraw(parent, note, x, end, ink) {
    const { line, thick } = this.m;
    const w = Math.max(thick, end - x - (note.slur ? 0 : thick * 0.8));
    const edge = note.replaced ? { class: 'hollow', fill: '#11161C', stroke: ink, 'stroke-width': 1.5 } : { class: 'full', fill: ink };
    svg('rect', { x, y: line - thick / 2, width: w, height: thick, rx: thick / 2, ...edge }, parent);
    svg('circle', { cx: x + thick * 0.7, cy: line, r: thick * 0.9, 'stroke-width': thick * 0.45 }, parent);
    const slant = (from, to) => svg('path', { d: `M${from} ${line}L${to} ${line + thick * 2.2}`, stroke: ink, 'stroke-width': thick * 0.6 }, parent);
    if (note.scoop) slant(x + thick * 0.4, x - thick * 1.3);
    if (note.fall) slant(x + w - thick * 0.4, x + w + thick * 1.3);
  }
}
