// SPDX-License-Identifier: ISC
/* The chart: bars in rows of four; the playing one is lit, the next chord's is framed and fills. */
import { fitted, signed } from './paint.js';
import { withSigns } from './words.js';

const TOUCH_HOLD = 8000; /* ms for which it stays where it was scrolled to by hand */

const el = (tag, name, parent, text) => {
  const element = document.createElement(tag);
  if (name) element.className = name;
  if (text !== undefined) signed(element, text);
  if (parent) parent.append(element);
  return element;
};

export class Chart {
  constructor(list, core) {
    this.list = list;
    this.core = core;
    this.bars = [];
    this.now = this.next = -1;
    this.moved = -Infinity;
    this.measures = null;
    list.addEventListener('scroll', () => { this.scrolled = list.scrollTop; }, { passive: true });
    const touched = () => { this.moved = performance.now(); };
    for (const what of ['wheel', 'touchmove', 'keydown', 'pointerdown']) {
      list.addEventListener(what, touched, { passive: true });
    }
  }

  /** Where space is short, only whole rows are shown. */
  wholeRows(wanted) {
    const { list } = this;
    list.style.maxHeight = '';
    if (!wanted) return;
    const row = parseFloat(getComputedStyle(list).gridAutoRows);
    list.style.maxHeight = `${Math.max(1, Math.floor((list.clientHeight - 4) / row)) * row + 4}px`;
  }

  /** Builds the whole chart; `known` false: there is none. */
  build(known) {
    this.list.replaceChildren();
    this.bars = [];
    this.now = this.next = -1;
    this.measures = null;
    const count = known ? this.core.bars() : 0;
    const width = this.list.clientWidth / 4;
    let before = null;
    let column = 0;
    for (let i = 0; i < count; ++i) {
      const bar = this.core.bar(i);
      column = bar.opens ? 0 : column % 4;
      this.bars.push(this.barBuild(i, bar, before, column++, width));
      before = bar;
    }
  }

  barBuild(i, bar, before, column, width) {
    const item = el('li', `bar${bar.ends ? ' ends' : ''}${column === 3 ? ' last' : ''}${i === 0 || (before && before.ends) ? ' begins' : ''}`, this.list);
    if (column === 0) item.style.gridColumnStart = 1;
    const light = el('div', `light chords-${bar.chords > 2 ? 'many' : bar.chords}`, item);
    const names = [];
    for (let k = 0; k < bar.chords; ++k) {
      const name = this.core.name('bar', i * 8 + k);
      const degree = this.core.name('barDegree', i * 8 + k);
      const share = bar.chords === 1 ? 1 : 2;
      const cell = el('div', 'chord', light);
      const size = bar.chords === 1 ? 1.25 : 0.95;
      const space = (width - 22) / share - 2;
      const top = el('span', 'name', cell, withSigns(name));
      top.style.fontSize = `${fitted(withSigns(name), true, size * this.em(), space)}px`;
      if (degree !== name && bar.chords <= 2) {
        el('span', 'degree', cell, withSigns(degree)).style.fontSize =
          `${fitted(withSigns(degree), false, 0.8 * this.em(), space)}px`;
      }
      names.push(name);
    }
    const section = bar.opens ? this.core.name('section', i) : '';
    if (section) el('span', 'section', item, section);
    if (before ? before.beats !== bar.beats || before.unit !== bar.unit : false) {
      el('span', 'meter', item, `${bar.beats}/${bar.unit}`);
    }
    item.setAttribute('aria-label', `bar ${i + 1}${section ? `, ${section}` : ''}: ${names.join(', ') || 'no chord'}`);
    return item;
  }

  em() {
    return parseFloat(getComputedStyle(this.list).fontSize);
  }

  /** The bar that plays and the one in which the next chord comes, -1 for none; `step`: how full its frame is, 0 to 1. */
  show(now, next, step) {
    if (now !== this.now) {
      this.mark(this.now, 'now', false);
      this.mark(now, 'now', true);
      this.now = now;
      this.follow();
    }
    if (next !== this.next) {
      this.mark(this.next, 'next', false);
      this.mark(next, 'next', true);
      this.next = next;
    }
    if (this.step !== step) {
      this.step = step;
      this.list.style.setProperty('--fill', step);
    }
  }

  mark(index, name, on) {
    const item = this.bars[index];
    if (!item) return;
    item.classList.toggle(name, on);
    if (name === 'now') {
      if (on) item.setAttribute('aria-current', 'true');
      else item.removeAttribute('aria-current');
    }
  }

  /** Positions of the bars. Measured once: measuring after drawing would force the browser to lay out the page at once. */
  measure() {
    const { list } = this;
    this.measures = { shown: list.clientHeight, tops: this.bars.map((bar) => bar.offsetTop - list.offsetTop),
      height: this.bars[0].offsetHeight };
    this.scrolled = list.scrollTop;
  }

  /** Scrolls by whole rows so that the playing row and the one after it are visible; after the beat's own frame. */
  follow() {
    if (!this.bars[this.now] || performance.now() - this.moved < TOUCH_HOLD) return;
    if (!this.measures) this.measure();
    const { shown, tops, height } = this.measures;
    const top = tops[this.now];
    if (top >= this.scrolled && top + 2 * height <= this.scrolled + shown) return;
    this.scrolled = shown < 2 * height ? top : Math.max(0, Math.min(top, top + 2 * height - shown + 2));
    setTimeout(() => { this.list.scrollTop = this.scrolled; });
  }
}
