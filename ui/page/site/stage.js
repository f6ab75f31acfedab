// SPDX-License-Identifier: ISC
/* The picture: now in the upper left corner, the comb of lamps, next in the lower right one. */
import { HOLES, TECHNIQUES, ROLE } from './core.js';
import { Heard } from './heard.js';
import { box, fitted, signed, svg, widthOf, write } from './paint.js';
import { LOST, ROW_WORDS, countdown, noteWords, placeWords, withSigns } from './words.js';

const level = (how) => (how >= 8 ? 1 : Number(TECHNIQUES[how].slice(4)) || 0);

/* The glass of each lamp, dullest first: part of its socket's width and height, figures, halo. */
const GLASS = {
  off: { rank: 0 },
  pass: { rank: 1, ink: '#D8AE82', w: 0.73, h: 0.61, words: 0.71, round: 0.67 },
  rub: { rank: 2, ink: '#A9C9EC', w: 0.73, h: 0.61, words: 0.71, round: 0.67 },
  safe: { rank: 3, ink: '#FFE6BF', w: 0.93, h: 0.88, words: 1, round: 1 },
  blue: { rank: 4, ink: '#050E18', w: 0.93, h: 0.88, words: 1, round: 1 },
  chord: { rank: 5, ink: '#1B1105', w: 0.93, h: 0.88, words: 1, round: 1 },
  root: { rank: 6, ink: '#1B1105', w: 1, h: 1, words: 1, round: 1, halo: 0.6 },
  third: { rank: 7, ink: '#1B1105', w: 1, h: 1, words: 1, round: 1, halo: 1 },
};
const OF_ROLE = ['off', 'off', 'pass', 'safe', 'blue', 'chord', 'chord', 'root', 'third', 'third'];
const glassOf = (lamp) => (lamp.role === ROLE.blue && lamp.brightness < 5 ? 'rub' : OF_ROLE[lamp.role]);

const SHADES = { pass: ['#48341F', '#48341F'], rub: ['#25405F', '#25405F'], safe: ['#7C4A1A', '#643A14'],
  blue: ['#6F9FD2', '#4F83BD'], chord: ['#F0A93F', '#D58B2A'], root: ['#FFDB94', '#F8C062'],
  third: ['#FFF3D6', '#FFE3A8'] };

const STEPS = 16; /* of the fill */

/** The layout for a harp: each corner is at least two rows high. */
function layoutOf(W, H, lamps, shows) {
  const taken = Array.from({ length: HOLES }, (_, h) => [0, 1].map((draws) => Math.max(0, ...TECHNIQUES.map((_, how) =>
    (shows(h, how) && lamps[h][how].draws === draws ? level(how) : 0)))));
  const most = (from, to, draws) => Math.max(...taken.slice(from, to).map((hole) => hole[draws]));
  const above = Math.max(most(0, 10, 0), most(0, 6, 0) + 2) + 1;
  const below = Math.max(most(0, 10, 1), most(6, 10, 1) + 2) + 1;
  const roomy = W >= 620;
  const gutter = roomy ? Math.min(76, W * 0.085) : W * 0.028;
  const pitchX = (W - gutter - W * (roomy ? 0.014 : 0.028)) / HOLES;
  const gap = H > 500 ? 4 : 2;
  const rail = Math.min(56, Math.max(24, Math.min(pitchX, H * 0.082)));
  const pitchY = Math.min((H - rail - 2 * gap) / (above + below), pitchX * 1.75);
  const railY = above * pitchY + gap;
  let from = 6; /* the hole from which on the lower right corner is free */
  while (from > 1 && taken[from - 1][1] <= below - 1 - 2) --from;
  const free = below - 1 - most(from, 10, 1);
  const used = railY + rail + gap + below * pitchY;
  const pad = pitchY / 9;
  const nowRows = above - 1 - most(0, 6, 0);
  const nowHoles = roomy && taken[6][0] > most(0, 6, 0) ? 5 : 6; /* left of the lamps above hole 7 their row's word */
  const nextFrom = Math.max(from, 4);
  const nextX = gutter + nextFrom * pitchX + pad;
  return { W, H: used, roomy, nextFrom, gutter, pitchX, pitchY, gap, rail, railY, above, below,
    now: { x: gutter + pad / 4, y: 0, w: nowHoles * pitchX - pad, h: nowRows * pitchY - pad },
    next: { x: nextX, y: used - free * pitchY + pad, w: gutter + 10 * pitchX - nextX, h: free * pitchY - pad },
    cell: (h, how) => ({ x: gutter + h * pitchX, w: pitchX, h: pitchY,
      y: lamps[h][how].draws ? railY + rail + gap + level(how) * pitchY : railY - gap - (level(how) + 1) * pitchY }) };
}

/** A lamp's measures, its middle at 0, 0. */
function lampOf(l) {
  const w = l.pitchX - Math.max(4, Math.min(16, 0.21 * l.pitchX - 3));
  const h = l.pitchY - Math.max(5, Math.min(18, 0.15 * l.pitchY));
  const k = Math.min(1.4, Math.min(w, h) / 58);
  return { w, h, k, radius: Math.max(6, 12 * k), size: Math.min(0.57 * w, 0.8 * h) };
}

export class Stage {
  /** `under` is the layer of what seldom changes: teeth, rail, halos. The rest is painted without it. */
  constructor(under, element, beats, core) {
    this.under = under;
    this.svg = element;
    this.beatsBox = beats;
    this.core = core;
    this.fill = -1;
    this.words = '';
    this.beats = { key: '', boxes: [] };
  }

  /** For a harp and a size: teeth, rail, row labels. `lamps` as the core has them. */
  build(W, H, lamps, overblows) {
    this.shows = (h, how) => lamps[h][how].note > 0 && (how < 8 || overblows);
    const l = layoutOf(W, H, lamps, this.shows);
    this.l = l;
    this.m = lampOf(l);
    for (const layer of [this.under, this.svg]) {
      layer.replaceChildren();
      layer.setAttribute('viewBox', `0 0 ${W} ${l.H}`);
      layer.style.height = `${l.H}px`;
    }
    this.define();
    this.teeth(lamps);
    this.rail();
    this.rowWords();
    this.halos = svg('g', {}, this.under);
    this.cells = svg('g', {}, this.svg);
    this.phrases = svg('g', {}, this.svg);
    this.heard = new Heard(this, svg('g', {}, this.svg));
    this.marked = '';
    this.harp = lamps;
    this.corner = svg('g', {}, this.svg);
    this.nextGroup = svg('g', {}, this.svg);
    this.shown = new Map();
    this.pieces = new Map();
    this.words = '';
    this.fill = -1;
    this.beats = { key: '', boxes: [] };
    return l.H;
  }

  define() {
    const defs = svg('defs', {}, this.svg);
    for (const [name, [middle, edge]] of Object.entries(SHADES)) {
      const shade = svg('radialGradient', { id: `glass-${name}`, cx: 0.5, cy: 0.45, r: 0.75 }, defs);
      svg('stop', { offset: 0, 'stop-color': middle }, shade);
      svg('stop', { offset: 1, 'stop-color': edge }, shade);
    }
    const halo = svg('radialGradient', { id: 'halo' }, svg('defs', {}, this.under));
    svg('stop', { offset: 0.25, 'stop-color': '#FFC768', 'stop-opacity': 0.5 }, halo);
    svg('stop', { offset: 1, 'stop-color': '#FFC768', 'stop-opacity': 0 }, halo);
    const frame = this.frame();
    box(svg('clipPath', { id: 'in-frame' }, defs), frame.x, frame.y, frame.w, frame.h, frame.radius, '#000');
    this.clip = svg('rect', { x: 0, y: 0, width: this.l.W, height: 0 }, svg('clipPath', { id: 'level' }, defs));
  }

  frame() {
    const { w, h, radius } = this.m;
    const over = Math.min(4, Math.max(1.5, (this.l.pitchX - w) / 2 - 0.5));
    return { x: -w / 2 - over, y: -h / 2 - over, w: w + 2 * over, h: h + 2 * over, radius: radius + over };
  }

  teeth(lamps) {
    const group = svg('g', {}, this.under);
    for (let h = 0; h < HOLES; ++h) {
      const cells = TECHNIQUES.map((_, how) => how).filter((how) => this.shows(h, how) && lamps[h][how].reached)
        .map((how) => this.l.cell(h, how));
      const from = Math.min(...cells.map((c) => c.y));
      const to = Math.max(...cells.map((c) => c.y + c.h));
      box(group, cells[0].x + 1, from, cells[0].w - 2, to - from, this.l.pitchX * 0.3, '#1E2731');
    }
  }

  rail() {
    const { gutter, pitchX, railY, rail } = this.l;
    const over = Math.min(6, pitchX / 8);
    box(this.under, gutter - over, railY, HOLES * pitchX + 2 * over, rail, Math.min(12, rail / 4), '#303C49');
    for (let h = 0; h < HOLES; ++h) {
      write(this.under, `${h + 1}`, { x: gutter + (h + 0.5) * pitchX, y: railY + rail / 2, size: Math.min(34, rail * 0.53) });
    }
  }

  /** Each row's word stands left of its first lamp, where there is space. */
  rowWords() {
    if (!this.l.roomy) return;
    const placed = new Set();
    TECHNIQUES.forEach((_, how) => {
      const first = Array.from({ length: HOLES }, (_, h) => h).find((h) => this.shows(h, how));
      if (first === undefined) return;
      const c = this.l.cell(first, how);
      const wide = first === 0 || c.y > this.l.railY;
      const x = wide ? this.l.gutter - 10 : c.x - 6;
      const key = `${Math.round(x)} ${Math.round(c.y)}`;
      if (placed.has(key)) return;
      placed.add(key);
      write(this.under, ROW_WORDS[how], { x, y: c.y + c.h / 2, size: 14, width: wide ? this.l.gutter - 14 : this.l.pitchX - 8,
        bold: false, at: 'end', ink: '#A9B4BF' });
    });
  }

  /* ---- lamps ---- */

  /** Draws lamps that changed. `soon`: the next chord is near. */
  lamps(lamps, soon, names, calm) {
    this.each(lamps, soon, names, (id, looks, c) => {
      const was = this.shown.get(id);
      if (was && was.looks === looks) return;
      this.replace(id, was, this.piece(id, looks, c), calm);
    });
  }

  /** Builds beforehand what lamps() will need. */
  prepare(lamps, soon, names) {
    this.each(lamps, soon, names, (id, looks, c) => this.piece(id, looks, c));
  }

  each(lamps, soon, names, visit) {
    for (let h = 0; h < HOLES; ++h) {
      TECHNIQUES.forEach((name, how) => {
        if (this.shows(h, how)) visit(`${h + 1}-${name}`, this.looksOf(lamps[h][how], soon, names), this.l.cell(h, how));
      });
    }
  }

  looksOf(lamp, soon, names) {
    const name = (n, next) => (names ? this.core.name('degreeNote', n + next) : this.core.degree(n));
    const coming = lamp.comes ? name(lamp.nextDegree, 32) : '';
    return [lamp.reached, glassOf(lamp), name(lamp.degree, 0), lamp.blue,
      lamp.comes && (soon || lamp.target) ? 1 : 0, soon ? 1 : 0, lamp.target, coming].join('|');
  }

  /** The elements of a lamp of certain looks: drawn once, then kept, since the same chords come again. */
  piece(id, looks, c) {
    const key = `${id}|${looks}`;
    if (!this.pieces.has(key)) {
      if (this.pieces.size > 3000) this.pieces.clear();
      const place = `translate(${(c.x + c.w / 2).toFixed(2)} ${(c.y + c.h / 2).toFixed(2)})`;
      const group = svg('g', { transform: place, 'data-looks': looks });
      const halo = svg('g', { transform: place });
      const how = looks.split('|');
      if (how[0] === '0') this.unreachable(group);
      else this.lamp(group, halo, how);
      this.pieces.set(key, { looks, glass: how[1], group, halo, going: 0 });
    }
    return this.pieces.get(key);
  }

  replace(id, was, piece, calm) {
    const fades = was && was.glass !== piece.glass && !calm;
    clearTimeout(piece.going);
    for (const [g, layer] of [[piece.group, this.cells], [piece.halo, this.halos]]) {
      g.setAttribute('class', fades ? 'comes' : '');
      layer.append(g);
    }
    piece.group.dataset.note = id;
    if (was) this.leave(was, fades);
    this.shown.set(id, piece);
  }

  leave(piece, fades) {
    delete piece.group.dataset.note;
    if (fades) {
      piece.group.setAttribute('class', 'goes');
      piece.halo.setAttribute('class', 'goes');
    }
    const gone = () => {
      piece.group.remove();
      piece.halo.remove();
    };
    if (fades) piece.going = setTimeout(gone, 130);
    else gone();
  }

  unreachable(group) {
    const { w, h, radius } = this.m;
    box(group, -w / 2, -h / 2, w, h, radius, 'none', { stroke: '#6F7F8F', 'stroke-width': 1.5, 'stroke-dasharray': '2 5' });
  }

  lamp(group, halo, [, name, figure, blue, framed, soon, target, coming]) {
    const { w, h, k, size } = this.m;
    const glass = GLASS[name];
    const dim = glass.rank < GLASS.safe.rank;
    const large = framed === '1' && soon === '1' && dim;
    if (glass.halo) {
      svg('ellipse', { rx: w * (0.72 + 0.33 * glass.halo), ry: h * (0.72 + 0.33 * glass.halo), fill: 'url(#halo)',
        opacity: glass.halo }, halo);
    }
    if (framed === '1') this.frameDraw(group, dim && soon === '1', target === '1');
    if (large) {
      const corner = h > 50 && name !== 'off' && w > 34;
      write(group, withSigns(coming), { x: 0, y: corner ? h * 0.07 : 0, size, width: w - 4, ink: '#E3B778' });
      if (corner) {
        write(group, withSigns(figure), { x: -w / 2 + 4, y: -h / 2 + 8 * k, size: 13 * k, at: 'start', ink: '#D8AE82' });
      }
    } else if (name === 'off') {
      svg('circle', { r: Math.max(2, 4 * k), fill: '#6F7F8F' }, group);
    } else {
      this.glassDraw(group, name, glass, figure, blue === '1');
    }
    if (target === '1') this.targetDraw(group, !dim && glass.rank > GLASS.safe.rank);
  }

  glassDraw(group, name, glass, figure, blue) {
    const { k, size, radius } = this.m;
    const w = this.m.w * glass.w;
    const h = this.m.h * glass.h;
    const r = radius * glass.round;
    const fill = `url(#glass-${name})`;
    if (name === 'blue') {
      const bite = Math.max(5, 10 * k);
      const inn = Math.max(1.4, 2.5 * k);
      const far = Math.sqrt(bite * bite - inn * inn);
      const [x, y] = [w / 2, h / 2];
      svg('path', { fill, d: `M${-x + r} ${-y}H${x - r}A${r} ${r} 0 0 1 ${x} ${-y + r}V${y - inn - far}A${bite} ${bite} 0 0 0 ${
        x - inn - far} ${y}H${-x + r}A${r} ${r} 0 0 1 ${-x} ${y - r}V${-y + r}A${r} ${r} 0 0 1 ${-x + r} ${-y}Z` }, group);
      svg('circle', { cx: x - inn, cy: y - inn, r: Math.max(3.6, 7 * k), fill: '#B9DAFF' }, group);
    } else {
      box(group, -w / 2, -h / 2, w, h, r, fill);
    }
    const text = withSigns(figure);
    write(group, text, { x: 0, y: 0, size: size * glass.words, width: w - 4, ink: glass.ink });
    if (blue && name !== 'blue' && glass.rank >= GLASS.rub.rank) {
      const small = name === 'rub';
      const inn = (small ? 1 : 3.5) * k;
      const drop = Math.max(small ? 2.8 : 3.8, (small ? 5.25 : 7) * k);
      svg('circle', { cx: w / 2 - inn, cy: h / 2 - inn, r: drop, fill: '#3E86DA', stroke: '#1E2731',
        'stroke-width': Math.max(1.5, 3 * k) }, group);
    }
  }

  frameDraw(group, fills, target) {
    const f = this.frame();
    const line = target ? Math.max(2.4, 4 * this.m.k) : Math.max(1.6, 2.5 * this.m.k);
    if (fills) {
      const inside = svg('g', { 'clip-path': 'url(#in-frame)' }, group);
      svg('rect', { class: 'fill', x: f.x, y: f.y, width: f.w, height: f.h, fill: '#46311A' }, inside);
    }
    box(group, f.x + line / 2, f.y + line / 2, f.w - line, f.h - line, f.radius - line / 2, 'none',
      { stroke: target ? '#FFDB94' : '#A87B42', 'stroke-width': line });
  }

  /** Two wedges that point at the one lamp to land on, from inside its frame; dark where the lamp is bright. */
  targetDraw(group, bright) {
    const edge = -this.frame().y;
    const size = Math.min(Math.max(6, 11 * this.m.k), this.m.h * 0.24);
    for (const side of [-1, 1]) {
      const [base, tip] = [edge * side, (edge - size) * side];
      svg('polygon', { points: `0,${tip} ${size * 0.85},${base} ${-size * 0.85},${base}`,
        fill: bright ? '#1B1105' : '#FFDB94' }, group);
    }
  }

  /** Marks of the planned phrase are white: a stroke at the foot of its lamps, hollow for the next bar; a ring round the
      note that should sound. `marks` as the lane has them. */
  mark(marks) {
    const key = JSON.stringify(marks);
    if (key === this.marked) return;
    this.marked = key;
    this.phrases.replaceChildren();
    const { w, h, k, radius } = this.m;
    const thick = Math.max(3, 5.5 * k);
    const over = Math.min(5 * k, (this.l.pitchX - w) / 2);
    for (const [id, mark] of Object.entries(marks)) {
      const [hole, how] = id.split('-');
      const c = this.l.cell(hole - 1, TECHNIQUES.indexOf(how));
      const [x, y] = [c.x + c.w / 2, c.y + c.h / 2];
      const foot = mark === 'soon' ? { stroke: '#F4ECDF', 'stroke-width': 1.2 } : {};
      box(this.phrases, x - w * 0.36, y + h / 2 + Math.max(0.5, k), w * 0.72, thick, thick / 2, mark === 'soon' ? '#11161C' : '#F4ECDF',
        { 'data-mark': id, 'data-how': mark, ...foot });
      if (mark === 'sounds') {
        box(this.phrases, x - w / 2 - over, y - h / 2 - over, w + 2 * over, h + 2 * over, radius + over, 'none',
          { stroke: '#F4ECDF', 'stroke-width': Math.max(2.5, 4 * k) });
      }
    }
  }

  /** What the teacher plays; see Heard. */
  hear(notes, landed) {
    this.heard.show(notes, landed);
  }

  /** Does a lamp shine as a tone of the chord? */
  inChord(hole, how) {
    const { glass } = this.shown.get(`${hole}-${TECHNIQUES[how]}`) || {};
    return glass !== undefined && GLASS[glass].rank >= GLASS.chord.rank;
  }

  /* ---- corners ---- */

  /** Now and next in words, drawn where they changed. `target`: [hole, how] or null. */
  corners(view, status, target) {
    const lost = !view.placed;
    const count = view.next ? countdown(view) : 0;
    const key = lost ? status : JSON.stringify([view.now, view.nowDegree, placeWords(view), view.next, view.nextDegree,
      count, target, !view.now && Math.floor(view.felt)]);
    if (key === this.words) return;
    this.words = key;
    this.corner.replaceChildren();
    this.nextGroup.replaceChildren();
    this.fill = -1;
    if (lost) this.lostDraw(LOST[status] || LOST.waiting);
    else {
      this.nowDraw(view);
      if (view.next) this.nextDraw(view, count, target);
    }
  }

  lostDraw([first, second]) {
    const { x, y, w, h } = this.l.now;
    const size = Math.min(h * 0.3, fitted(first, true, 60, w), second ? fitted(second, true, 60, w) : 60);
    write(this.corner, first, { x, y: y + h * 0.32, size, at: 'start' });
    write(this.corner, second, { x, y: y + h * 0.32 + size * 1.5, size, at: 'start', bold: false, ink: '#A9B4BF' });
  }

  nowDraw(view) {
    const { x, y, w, h } = this.l.now;
    const [upper, lower] = placeWords(view);
    const beatsHeight = h * 0.2;
    const foot = y + h - beatsHeight;
    const name = withSigns(view.now) || `${Math.floor(view.felt) + 1}`;
    const side = w * 0.4;
    const small = Math.min((h - beatsHeight) * 0.25, 30);
    write(this.corner, name, { x, size: (h - beatsHeight) / 0.75, width: w - side - w * 0.02, at: 'start', base: foot })
      .id = 'now-name';
    write(this.corner, lower, { x: x + w, size: small, width: side, at: 'end', base: foot }).id = 'now-bar';
    write(this.corner, upper, { x: x + w, size: small, width: side, at: 'end', base: foot - small * 1.35, bold: false,
      ink: '#A9B4BF' }).id = 'now-chorus';
    if (view.nowDegree) {
      write(this.corner, withSigns(view.nowDegree), { x: x + w, size: Math.min(small * 1.75, (h - beatsHeight) * 0.4), width: side,
        at: 'end', base: foot - small * 2.8, ink: '#FFDB94' });
    }
  }

  nextDraw(view, count, target) {
    const { x, y, w, h } = this.l.next;
    const right = x + w;
    const small = Math.min(h * 0.17, 26);
    const name = withSigns(view.next);
    const beats = svg('text', { x: right, y: y + small * 0.85, 'font-size': small, 'text-anchor': 'end', fill: '#F4ECDF' },
      this.nextGroup);
    beats.textContent = `in ${count} ${count === 1 ? 'beat' : 'beats'}`;
    beats.setAttribute('font-weight', 700);
    const foot = small * 1.15;
    const space = h - small * 1.15 - foot * 1.25;
    const size = fitted(name, true, space / 0.86, w);
    const base = y + small * 1.15 + (space + size * 0.75) / 2;
    const common = { x: right, y: base, 'font-size': size, 'text-anchor': 'end', 'font-weight': 700 };
    signed(svg('text', { ...common, fill: '#E9B566', 'clip-path': 'url(#level)' }, this.nextGroup), name);
    signed(svg('text', { ...common, fill: 'none', stroke: '#E9B566', 'stroke-width': Math.max(1, size / 42),
      id: 'next-name' }, this.nextGroup), name, false);
    this.nextBox = { top: base - size * 0.8, height: size * 0.86 };
    const degree = withSigns(view.nextDegree);
    const side = Math.min(w * 0.4, widthOf(degree, true) * foot * 1.15);
    write(this.nextGroup, degree, { x: right, size: foot * 1.15, width: side, at: 'end', ink: '#E9B566', base: y + h });
    if (target) {
      write(this.nextGroup, noteWords(...target), { x: right - side - foot * 0.6, size: foot, at: 'end', ink: '#FFDB94',
        width: right - side - foot * 0.6 - (this.l.gutter + this.l.nextFrom * this.l.pitchX + 4), base: y + h })
        .id = 'next-target';
    }
  }

  /** How full the frames of the next chord are, 0 to 1. */
  filled(fill, calm) {
    const step = Math.round((calm ? Math.floor(fill * 4) / 4 : fill) * STEPS);
    if (step === this.fill) return;
    this.fill = step;
    this.svg.style.setProperty('--fill', step / STEPS);
    if (this.nextBox) {
      this.clip.setAttribute('y', this.nextBox.top + this.nextBox.height * (1 - step / STEPS));
      this.clip.setAttribute('height', this.nextBox.height * step / STEPS + 2);
    }
  }

  /* ---- beats of the bar ---- */

  beat(view, calm) {
    const over = !view.placed;
    const count = over ? 0 : Math.min(12, view.feltBeats);
    const now = Math.floor(view.felt + 1e-6);
    const one = view.bar === 1 && view.part === 3;
    const key = over ? '' : `${count} ${now} ${one}`;
    if (key !== this.beats.key) this.beatsDraw(key, count, now, one);
    if (this.beats.lit) {
      const into = Math.max(0, view.felt - now);
      const seconds = view.tempo > 0 ? into * 60 / view.tempo : 1;
      const level = calm || !view.rolling ? 0.85 : Math.min(1, seconds / 0.03) * (0.7 + 0.3 * (1 - into) ** 2);
      this.beats.lit.style.opacity = level.toFixed(2);
    }
  }

  /** Elements over the picture, not in it: their glow would otherwise have the picture repainted with every frame. */
  beatsDraw(key, count, now, one) {
    const { x, y, w, h } = this.l.now;
    const tall = Math.max(6, Math.min(14, h * 0.085));
    const gap = Math.min(tall, w / count / 4);
    this.beatsBox.style.cssText = `left:${x}px;top:${y + h - tall}px;width:${w}px;height:${tall}px;gap:${gap}px`;
    this.beatsBox.replaceChildren();
    this.beats = { key };
    for (let i = 0; i < count; ++i) {
      const piece = document.createElement('i');
      piece.className = i < now ? 'past' : i > now ? 'to-come' : 'lit';
      this.beatsBox.append(piece);
      if (i === now) {
        this.beats.lit = document.createElement('b');
        this.beats.lit.dataset.beat = i;
        this.beats.lit.style.setProperty('--glow', `${(0.7 * tall * (i ? 1 : one ? 2 : 1.5)).toFixed(1)}px`);
        piece.append(this.beats.lit);
      }
    }
  }
}
