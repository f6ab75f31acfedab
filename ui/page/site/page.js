// SPDX-License-Identifier: ISC
/* The page: hears the server, asks the core, draws. start.js begins it. */
import { Awake } from './awake.js';
import { Band, fillOf, readKey } from './band.js';
import { Chart } from './chart.js';
import { ServerClock } from './clock.js';
import { HOLES, HOWS } from './core.js';
import { Lane } from './lane.js';
import { Mine } from './mine.js';
import { News } from './news.js';
import { forgetWidths, signed } from './paint.js';
import { Stage } from './stage.js';
import { STATUS, TUNINGS, changeWords, lampWords, noteWords, planWords } from './words.js';

const $ = (id) => document.getElementById(id);
const LEAD = 16; /* ms: a picture is seen with the frame after the one it is drawn in */
const AHEAD = 700; /* ms before the next chord its lamps are made ready */
const LETTER = /-(BZ|CA|CL|CO|CR|GT|MX|NI|PA|PH|PR|SV|US|VE)\b/; /* where paper is Letter: Unicode CLDR */
const calm = matchMedia('(prefers-reduced-motion: reduce)');

export class Page {
  constructor(core) {
    this.core = core;
    this.tick = this.tick.bind(this);
    this.clock = new ServerClock();
    this.band = new Band(core, this.clock);
    this.stage = new Stage($('under'), $('stage'), $('wire'), core);
    this.chart = new Chart($('chart'), core);
    this.lane = new Lane($('lane'), core);
    this.plan = false; /* is there one? */
    this.mine = new Mine(() => this.playerChanged());
    this.awake = new Awake((kept) => { document.body.dataset.awake = kept; });
    this.chartNumber = 0;
    this.planNumber = 0;
    this.song = '';
    this.lampsKey = this.saidKey = '';
    this.ready = ''; /* of what the lamps to come are drawn */
    this.rest = 0; /* until when nothing needs to be drawn */
    this.connected = false;
    this.playerChanged();
    this.news = new News(this.clock, (state, came) => this.hear(state, came), () => this.connection());
    addEventListener('resize', () => this.build());
    calm.addEventListener('change', () => { this.lampsKey = ''; });
    if (document.fonts) {
      document.fonts.ready.then(() => {
        forgetWidths();
        this.build();
      });
    }
    this.frame();
  }

  /* ---- what comes in ---- */

  hear(state, came) {
    this.sheets = state.sheets;
    if (state.chart !== this.chartNumber) this.fetchChart(state.chart);
    if (state.plan !== null && state.plan !== this.planNumber) this.fetchPlan(state.plan);
    if (state.harp) {
      const [key, tuning, , song] = state.harp;
      if (song !== this.song) {
        this.song = song;
        this.songChanged();
      }
      const harp = readKey(key);
      if (harp) this.mine.suggest(harp.tonic, TUNINGS.indexOf(tuning));
    }
    this.band.hear(state, came);
    this.wake();
  }

  async fetchChart(number) {
    this.chartNumber = number;
    try {
      const answer = await fetch('chart', { cache: 'no-store' });
      if (!answer.ok) throw new Error(answer.status);
      const text = await answer.text();
      this.band.form = text !== '' && this.core.chart(text);
      this.songChanged();
    } catch {
      this.chartNumber = -1; /* with the next news again */
    }
  }

  async fetchPlan(number) {
    this.planNumber = number;
    try {
      const answer = number ? await fetch('plan', { cache: 'no-store' }) : null;
      if (answer && !answer.ok) throw new Error(answer.status);
      const text = answer ? await answer.text() : '';
      if (number !== this.planNumber) return; /* another one has come meanwhile */
      this.plan = text !== '' && this.core.plan(text);
      this.core.line();
      this.build();
    } catch {
      this.planNumber = -1; /* with the next news again */
    }
  }

  songChanged() {
    const key = readKey(this.song) || { tonic: 7 };
    this.core.key(key.tonic, key.minor);
    this.mine.songKey = key.tonic;
    this.core.line();
    this.band.renamed();
    this.title();
    this.foot();
    if (this.plan) this.build(); /* the lane comes, goes, or is another */
    else this.chart.build(this.band.form);
    this.lampsKey = '';
    this.wake();
  }

  playerChanged() {
    const v = this.mine.value;
    this.core.player(v);
    this.core.line();
    this.awake.want(v.awake);
    $('say').setAttribute('aria-live', v.say ? 'polite' : 'off');
    this.foot();
    this.build();
  }

  connection() {
    if (this.connected !== this.news.connected) {
      this.connected = this.news.connected;
      this.lost = performance.now();
      if (!this.connected) this.chartNumber = this.planNumber = -1; /* another server may count anew */
      this.wake();
    }
  }

  /* ---- what stands still ---- */

  title() {
    const title = this.band.form ? this.core.name('title') : '';
    $('title').textContent = title || (this.band.form ? 'Untitled' : 'Reedlamp');
    document.title = title ? `${title} - Reedlamp` : 'Reedlamp';
  }

  foot() {
    const [whose, harp, means] = this.mine.words(this.core.position());
    $('whose').textContent = whose;
    $('harp').replaceChildren();
    signed($('harp'), harp);
    $('means').textContent = means;
    this.sheetLink();
  }

  /** To the lesson sheet for the harp shown, where there is a chart and the server draws any. */
  sheetLink() {
    const v = this.mine.value;
    const paper = LETTER.test(navigator.language) ? 'letter' : 'a4';
    $('sheet').hidden = !this.sheets || !this.band.form;
    $('sheet').href = `sheet.pdf?harp=${v.key}&register=${v.register}&tuning=${v.tuning}&bends=${v.draws}&blow_bends=${
      v.blows}&overblows=${Number(v.overblows)}&paper=${paper}`;
  }

  /** Everything anew, for the size there is. */
  build() {
    this.laneBuild();
    const room = $('room').getBoundingClientRect();
    this.core.chords('', '', true, -1);
    this.stage.build(Math.max(280, room.width), Math.max(200, this.heightFor(room)), this.core.lamps(),
      this.mine.value.overblows);
    this.chart.whole(this.hasLane());
    this.chart.build(this.band.form);
    this.lampsKey = '';
    this.wake();
  }

  isTall() {
    return getComputedStyle(document.body).getPropertyValue('--shape').trim() === 'tall';
  }

  /** Upright, the comb takes what lane and chart can spare; else all there is. */
  heightFor(room) {
    if (!this.isTall()) return room.height;
    const all = document.documentElement.clientHeight;
    const others = $('head').offsetHeight + $('foot').offsetHeight + $('lane').offsetHeight;
    const most = this.hasLane() ? (all < 600 ? 1 : 2) : 3;
    const rows = Math.max(1, Math.min(most, Math.ceil((this.band.form ? this.core.bars() : 12) / 4)));
    const row = 3.7 * parseFloat(getComputedStyle($('chart')).fontSize);
    return Math.max((this.hasLane() ? 0.4 : 0.5) * all, all - others - rows * row - 24);
  }

  hasLane() {
    return this.band.form && this.plan;
  }

  laneBuild() {
    const lane = $('lane');
    lane.hidden = !this.hasLane();
    $('phrases').hidden = lane.hidden;
    if (lane.hidden) return;
    const all = document.documentElement.clientHeight;
    const high = this.isTall() ? Math.min(130, Math.max(62, all * 0.115)) : Math.min(150, Math.max(62, all * (all < 480 ? 0.2 : 0.18)));
    const edge = getComputedStyle(lane);
    this.lane.build(lane.clientWidth - parseFloat(edge.paddingLeft) - parseFloat(edge.paddingRight), Math.floor(high));
  }

  /* ---- what moves ---- */

  status(now, seen) {
    if (this.connected) return seen.status;
    return now - (this.lost || 0) > 1500 ? 'gone' : seen.status;
  }

  /** Drawn is some thirty times a second while the music plays, and exactly on the beat; else seldom. */
  tick(now) {
    this.asked = false;
    if (now >= this.rest) this.draw(now);
    clearTimeout(this.timer);
    this.again(now);
  }

  draw(now) {
    const shownAt = now + LEAD;
    const seen = this.band.at(shownAt);
    this.rest = now + (seen.rolling && seen.placed ? Math.min(30, this.toBeat(seen)) : 200);
    const status = this.status(now, seen);
    const gone = status === 'gone' && (seen.status === 'silent' || now - this.lost > 4000);
    if (gone) Object.assign(seen, { placed: false, lit: false, now: '', next: '', index: -1, nextBar: -1 });
    const fill = fillOf(seen);
    this.showStatus(status);
    this.showLamps(seen, fill > 0);
    this.stage.corners(seen, gone ? 'gone' : seen.status, this.target);
    this.stage.filled(fill, calm.matches);
    this.stage.beat(seen, calm.matches);
    this.chart.show(seen.index, seen.placed && seen.next ? seen.nextBar : -1,
      Math.round((calm.matches ? Math.floor(fill * 4) / 4 : fill) * 16) / 16);
    this.showLane(seen);
    this.lookAhead(seen, shownAt);
  }

  showLane(seen) {
    if (!this.hasLane()) {
      this.stage.mark({});
      return;
    }
    const moved = this.lane.show(seen, calm.matches);
    this.stage.mark(this.lane.marks(seen));
    if (moved) setTimeout(() => this.tellLane());
  }

  /** The bars of the lane for those who hear the page. */
  tellLane() {
    $('phrases').lastChild.replaceChildren(...this.lane.bars.filter(Boolean).flatMap((bar) => planWords(this.core, bar)
      .map((text, i) => Object.assign(document.createElement(i ? 'dd' : 'dt'), { textContent: text }))));
  }

  /** Shortly before the next chord its lamps are made ready, after this frame. */
  lookAhead(seen, shownAt) {
    if (!seen.rolling || !seen.next || seen.left <= 0 || !(seen.tempo > 0)) return;
    const left = seen.left * 60000 / seen.tempo;
    const mark = `${seen.chorus} ${seen.change} ${this.lampsKey}`;
    if (left > AHEAD || left < LEAD || this.ready === mark) return;
    this.ready = mark;
    setTimeout(() => {
      const then = this.band.at(shownAt + left + 1);
      this.stage.prepare(this.lampsOf(then), fillOf(then) > 0, this.mine.value.names);
    });
  }

  /** The next look: with the next frame, or after a rest, for frames cost a phone's battery. */
  again(now) {
    const rest = this.rest - now - 16;
    if (rest > 8) this.timer = setTimeout(() => this.frame(), rest);
    else this.frame();
  }

  frame() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(this.tick);
  }

  /** Something happened: looks at once. */
  wake() {
    this.rest = 0;
    clearTimeout(this.timer);
    this.frame();
  }

  /** Milliseconds to the next felt beat. */
  toBeat(seen) {
    return seen.tempo > 0 ? (Math.floor(seen.felt) + 1 - seen.felt) * 60000 / seen.tempo : Infinity;
  }

  showStatus(status) {
    if (document.body.dataset.status === status) return;
    document.body.dataset.status = status;
    $('status').textContent = STATUS[status];
  }

  /** Before the first chord the lamps are out, and the next chord's frames are there. */
  lampsOf(seen) {
    this.core.chords(seen.nowDegree, seen.nextDegree, seen.placed && seen.lit, seen.change);
    const lamps = this.core.lamps();
    if (!this.isLit(seen)) {
      lamps.forEach((hole) => hole.forEach((lamp) => Object.assign(lamp, { role: lamp.reached ? 0 : 1, blue: 0 })));
    }
    return lamps;
  }

  isLit(seen) {
    return seen.placed && seen.lit && seen.nowDegree !== '';
  }

  showLamps(seen, soon) {
    const key = JSON.stringify([seen.placed && seen.lit, seen.nowDegree, seen.nextDegree, seen.change, soon]);
    if (key === this.lampsKey) return;
    this.lampsKey = key;
    const lamps = this.lampsOf(seen);
    this.target = null;
    for (let h = 0; h < HOLES; ++h) {
      HOWS.forEach((_, how) => {
        if (lamps[h][how].target) this.target = [h + 1, how];
      });
    }
    this.stage.lamps(lamps, soon, this.mine.value.names, calm.matches);
    clearTimeout(this.saying);
    this.saying = setTimeout(() => this.say(seen, lamps, this.isLit(seen)), 60);
  }

  /** For those who hear the page. */
  say(seen, lamps, lit) {
    const key = JSON.stringify([lit, seen.nowDegree, seen.nextDegree, this.target]);
    if (key === this.saidKey) return;
    this.saidKey = key;
    const target = this.target ? noteWords(...this.target) : '';
    $('say').textContent = seen.placed ? changeWords(seen, target) : '';
    const list = $('worth');
    list.replaceChildren();
    if (!lit) return;
    for (const [title, words] of lampWords(this.core, lamps)) {
      list.append(Object.assign(document.createElement('dt'), { textContent: title }),
        Object.assign(document.createElement('dd'), { textContent: words }));
    }
  }
}
