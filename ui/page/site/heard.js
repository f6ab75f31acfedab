// SPDX-License-Identifier: ISC
/* What the teacher plays, over the comb of the stage: rings of light, a needle over a bend, rays. */
import { TECHNIQUES } from './core.js';
import { box, svg } from './paint.js';

/* The key's blue third and fifth by half steps above its tonic, and where players hold them, in cents: core/trainer. */
const BLUE = { 3: [15, 65], 6: [0, 45] };
const SCALE = 70; /* cents from the middle of a needle's scale to its end */
const ON_IT = 10;
const RAYS = 12;

export class Heard {
  /** `stage` has the harp, its layout, tonic and glass; `rings` is the layer that is drawn in. */
  constructor(stage, rings) {
    this.stage = stage;
    this.rings = rings;
    this.ringed = '';
  }

  /** Rings of light round the holes that sound, a needle over a bend, rays where a target was `landed` on. `notes`: [hole, how,
      MIDI note, cents], of the same harp. */
  show(notes, landed) {
    const here = notes.filter(([hole, how, note]) => this.stage.shows(hole - 1, how) && this.stage.harp[hole - 1][how].note === note)
      .map((heard) => this.heardAs(...heard));
    const [[hole, how, cents]] = [...here, []];
    const bent = here.length === 1 && how > 1;
    const key = JSON.stringify([here.map((x) => [x[0], x[1]]), landed, bent && this.zone(hole, how)]);
    if (key !== this.ringed) {
      this.ringed = key;
      this.rings.replaceChildren();
      here.forEach((x) => this.ringDraw(...x, landed));
      this.needle = bent ? this.needleDraw(hole, how) : null;
    }
    if (this.needle) this.needle.move(cents);
  }

  /** In the zone of a blue note that is no tone of the chord: [from, to] in cents; null elsewhere. */
  zone(hole, how) {
    const steps = (this.stage.harp[hole - 1][how].note - this.stage.tonic + 12) % 12;
    return !BLUE[steps] || (this.stage.minor && steps === 3) || this.stage.inChord(hole, how) ? null : BLUE[steps];
  }

  /** A note on its way up from a blue note is that still: hole, technique, and cents. */
  heardAs(hole, how, note, cents) {
    for (let bend = 2; bend < 8; ++bend) {
      const lamp = this.stage.harp[hole - 1][bend];
      const off = 100 * (note - lamp.note) + cents;
      const zone = lamp.note && off > 0 && this.zone(hole, bend);
      if (zone && off <= zone[1]) return [hole, bend, off];
    }
    return [hole, how, cents];
  }

  /** The middle of a lamp's place, half its width and height, and a scale. */
  ringOf(hole, how) {
    const c = this.stage.l.cell(hole - 1, how);
    const k = Math.min(1.4, Math.min(c.w, c.h) / 76);
    return { x: c.x + c.w / 2, y: c.y + c.h / 2, a: c.w / 2 + k, b: c.h / 2 + k, k };
  }

  /** Light with a dark edge. */
  stroked(tag, attributes, width) {
    svg(tag, { ...attributes, fill: 'none', stroke: '#11161C', 'stroke-width': 1.8 * width }, this.rings);
    return svg(tag, { ...attributes, fill: 'none', stroke: '#FFF3D6', 'stroke-width': width }, this.rings);
  }

  ringDraw(hole, how, cents, landed) {
    const { x, y, a, b, k } = this.ringOf(hole, how);
    const thick = Math.max(2.5, 6 * k);
    const rays = Array.from({ length: landed ? RAYS : 0 }, (_, i) => {
      const t = 2 * Math.PI * (i + 0.5) / RAYS;
      const [u, v] = [Math.sin(t), -Math.cos(t)];
      const far = (u ** 4 + v ** 4) ** -0.25;
      return [['M', 9], ['L', 24]].map(([to, out]) => `${to}${x + (a * far + out * k) * u} ${y + (b * far + out * k) * v}`).join('');
    });
    if (landed) this.stroked('path', { d: rays.join(''), 'stroke-linecap': 'round' }, thick);
    this.stroked('rect', { x: x - a, y: y - b, width: 2 * a, height: 2 * b, rx: 0.4 * a }, thick)
      .dataset.ring = `${hole}-${TECHNIQUES[how]}`;
  }

  /** A scale over the lamp, flat on the left; the goal on it is filled while the needle is there. */
  needleDraw(hole, how) {
    const { x, y, a, b, k } = this.ringOf(hole, how);
    const [low, high] = this.zone(hole, how) || [0, 0];
    const [from, to] = [low - ON_IT, high + ON_IT];
    const at = (cents) => Math.max(-1, Math.min(1, cents / SCALE)) * 1.6 * a;
    const h = Math.max(7, 13 * k);
    const top = y - b - h / 2;
    const light = { stroke: '#FFF3D6', 'stroke-width': Math.max(1, 1.5 * k) };
    box(this.rings, x + at(-SCALE), top, 3.2 * a, h, h / 2, '#11161C', light);
    const goal = box(this.rings, x + at(from), top, at(to) - at(from), h, h / 4, '#11161C', { ...light, 'stroke-width': Math.max(1.5, 3 * k), class: 'goal' });
    const needle = svg('polygon', { class: 'needle', fill: '#F4ECDF', stroke: '#11161C', 'stroke-width': Math.max(1, 2 * k),
      points: `${x},${top + h / 2} ${x - 0.8 * h},${top - 1.3 * h} ${x + 0.8 * h},${top - 1.3 * h}` }, this.rings);
    return { move: (cents) => {
      needle.style.transform = `translateX(${at(cents).toFixed(1)}px)`;
      needle.dataset.cents = cents;
      goal.setAttribute('fill', cents >= from && cents <= to ? '#FFF3D6' : '#11161C');
    } };
  }
}
