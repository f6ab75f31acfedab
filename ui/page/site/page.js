// SPDX-License-Identifier: ISC
/* The page: receives the state, asks the core, draws. start.js creates it. */
import { ScreenWakeLock } from './wake_lock.js';
import { Follower, fillOf, readKey } from './follower.js';
import { Chart } from './chart.js';
import { ServerClock } from './clock.js';
import { HOLES, TECHNIQUES } from './core.js';
import { Lane } from './lane.js';
import { Settings } from './settings.js';
import { StateStream } from './stream.js';
import { forgetWidths, signed } from './paint.js';
import { Stage } from './stage.js';
import { STATUS, TUNINGS, changeWords, lampWords, noteWords, planWords } from './words.js';

const $ = (id) => document.getElementById(id);
const LEAD = 16; /* ms: a picture is seen with the frame after the one it is drawn in */
const LANDED = 800; /* ms for which a target that was landed on is celebrated */
const AHEAD = 700; /* ms before the next chord its lamps are prepared */
const LETTER = /-(BZ|CA|CL|CO|CR|GT|MX|NI|PA|PH|PR|SV|US|VE)\b/; /* where paper is Letter: Unicode CLDR */
const calm = matchMedia('(prefers-reduced-motion: reduce)');

export class Page {
  constructor(core) {
    this.core = core;
    this.tick = this.tick.bind(this);
    this.clock = new ServerClock();
    this.follower = new Follower(core, this.clock);
    this.stage = new Stage($('under'), $('stage'), $('beats'), core);
    this.chart = new Chart($('chart'), core);
    this.lane = new Lane($('lane'), core);
    this.plan = false; /* is there a plan? */
    this.settings = new Settings(() => this.playerChanged());
    this.wakeLock = new ScreenWakeLock((held) => { document.body.dataset.awake = held; });
    this.chartNumber = 0;
    this.planNumber = 0;
    this.song = '';
    this.lampsKey = this.saidKey = '';
    this.heard = []; /* what the teacher plays: [hole, how, MIDI note, cents] */
    this.hits = 0; /* the number of the last one seen */
    for (const id of ['chorus', 'practised']) $(id).addEventListener('click', () => this.practise());
    this.prepared = ''; /* for which change lamps have been prepared */
    this.idleUntil = 0; /* until when nothing needs to be drawn */
    this.connected = false;
    this.playerChanged();
    this.stream = new StateStream(this.clock, (state, received) => this.receive(state, received), () => this.connection());
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

  receive(state, received) {
    this.sheets = state.sheets;
    this.shows = state.show || 4;
    if ((state.chorus || '') !== this.chorus) this.sayChorus(state.chorus);
    if (state.sums[2] !== this.choruses) this.practised(state.sums[2]);
    if (state.chart !== this.chartNumber) this.fetchChart(state.chart, state.sums[0]);
    if (state.plan !== null && state.plan !== this.planNumber) this.fetchPlan(state.plan, state.sums[1]);
    if (state.harp) {
      const [key, tuning, , song] = state.harp;
      if (song !== this.song) {
        this.song = song;
        this.songChanged();
      }
      const harp = readKey(key);
      if (harp) this.settings.suggest(harp.tonic, TUNINGS.indexOf(tuning));
    }
    this.follower.receive(state, received);
    this.hear(state);
    this.wake();
  }

  /** What the teacher plays is shown on the teacher's harp alone. */
  hear(state) {
    const [key, tuning] = state.harp || [];
    const { tonic } = readKey(key) || {};
    const v = this.settings.value;
    this.heard = v.key === tonic && v.tuning === TUNINGS.indexOf(tuning) && state.heard || [];
    $('lane').classList.toggle('heard', Boolean(state.heard));
    for (const [number, chorus, bar, beat, target] of state.hits || []) {
      if (number <= this.hits) continue;
      this.hits = number;
      if (target) this.landed = performance.now();
      else this.lane.hit(chorus, bar, beat);
    }
  }

  /** The line after the teacher's chorus, for a while; not what had been said before this page came. */
  sayChorus(words = '') {
    $('chorus').textContent = this.chorus === undefined ? '' : words && words[0].toUpperCase() + words.slice(1);
    this.chorus = words;
    clearTimeout(this.hush);
    this.hush = setTimeout(() => { $('chorus').textContent = ''; }, 15000);
  }

  /** The choruses are others. */
  practised(sum) {
    this.choruses = sum;
    $('practised').hidden = !sum;
    if ($('practice').open) this.practise();
  }

  async practise() {
    const [{ showPractice }, answer] = await Promise.all([import('./practice.js'), fetch(`practice?sum=${this.choruses}`, { cache: 'no-store' })]);
    if (answer.ok) showPractice($('practice'), await answer.json());
  }

  async fetchChart(number, sum) {
    this.chartNumber = number;
    try {
      const answer = await fetch(`chart?sum=${sum}`, { cache: 'no-store' });
      if (!answer.ok) throw new Error(answer.status);
      const text = await answer.text();
      this.follower.form = text !== '' && this.core.chart(text);
      this.songChanged();
    } catch {
      this.chartNumber = -1; /* with the next message again */
    }
  }

  async fetchPlan(number, sum) {
    this.planNumber = number;
    try {
      const answer = number ? await fetch(`plan?sum=${sum}`, { cache: 'no-store' }) : null;
      if (answer && !answer.ok) throw new Error(answer.status);
      const text = answer ? await answer.text() : '';
      if (number !== this.planNumber) return; /* another one has come meanwhile */
      this.plan = text !== '' && this.core.plan(text);
      this.core.line();
      this.build();
    } catch {
      this.planNumber = -1; /* with the next message again */
    }
  }

  songChanged() {
    const key = readKey(this.song) || { tonic: 7 };
    this.core.key(key.tonic, key.minor);
    this.settings.songKey = this.stage.tonic = key.tonic;
    this.stage.minor = key.minor;
    this.core.line();
    this.follower.songChanged();
    this.title();
    this.foot();
    if (this.plan) this.build(); /* the lane comes, goes, or is another */
    else this.chart.build(this.follower.form);
    this.lampsKey = '';
    this.wake();
  }

  playerChanged() {
    const v = this.settings.value;
    this.core.player(v);
    this.core.line();
    this.wakeLock.want(v.awake);
    $('say').setAttribute('aria-live', v.say ? 'polite' : 'off');
    this.foot();
    this.build();
  }

  connection() {
    if (this.connected !== this.stream.connected) {
      this.connected = this.stream.connected;
      this.lost = performance.now();
      if (!this.connected) this.chartNumber = this.planNumber = this.hits = -1; /* another server numbers them anew */
      this.wake();
    }
  }

  /* ---- what seldom changes ---- */

  title() {
    const title = this.follower.form ? this.core.name('title') : '';
    $('title').textContent = title || (this.follower.form ? 'Untitled' : 'Reedlamp');
    document.title = title ? `${title} - Reedlamp` : 'Reedlamp';
  }

  foot() {
    const [whose, harp, means] = this.settings.words(this.core.position());
    $('whose').textContent = whose;
    $('harp').replaceChildren();
    signed($('harp'), harp);
    $('means').textContent = means;
    this.sheetLink();
  }

  /** The link to the lesson sheet for this harp, where there is a chart and the server draws sheets. */
  sheetLink() {
    const v = this.settings.value;
    const paper = LETTER.test(navigator.language) ? 'letter' : 'a4';
    $('sheet').hidden = !this.sheets || !this.follower.form;
    $('sheet').href = `sheet.pdf?harp=${v.key}&register=${v.register}&tuning=${v.tuning}&bends=${v.draws}&blow_bends=${
      v.blows}&overblows=${Number(v.overblows)}&paper=${paper}`;
  }

  /** Lays everything out anew for the size of the screen. */
  build() {
    this.laneBuild();
    const space = $('comb').getBoundingClientRect();
    this.core.chords('', '', true, -1);
    this.stage.build(Math.max(280, space.width), Math.max(200, this.heightFor(space)), this.core.lamps(),
      this.settings.value.overblows);
    this.chart.wholeRows(this.hasLane());
    this.chart.build(this.follower.form);
    this.lampsKey = '';
    this.wake();
  }

  isTall() {
    return getComputedStyle(document.body).getPropertyValue('--shape').trim() === 'tall';
  }

  /** Upright, the comb gets what lane and chart leave; else all there is. */
  heightFor(space) {
    if (!this.isTall()) return space.height;
    const all = document.documentElement.clientHeight;
    const others = $('head').offsetHeight + $('foot').offsetHeight + $('lane').offsetHeight;
    const most = this.hasLane() ? (all < 600 ? 1 : 2) : 3;
    const rows = Math.max(1, Math.min(most, Math.ceil((this.follower.form ? this.core.bars() : 12) / 4)));
    const row = 3.7 * parseFloat(getComputedStyle($('chart')).fontSize);
    return Math.max((this.hasLane() ? 0.4 : 0.5) * all, all - others - rows * row - 24);
  }

  hasLane() {
    return this.follower.form && this.plan;
  }

  laneBuild() {
    const lane = $('lane');
    lane.hidden = !this.hasLane();
    $('phrases').hidden = lane.hidden;
    if (lane.hidden) return;
    const all = document.documentElement.clientHeight;
    const height = this.isTall() ? Math.min(130, Math.max(62, all * 0.115)) : Math.min(150, Math.max(62, all * (all < 480 ? 0.2 : 0.18)));
    const edge = getComputedStyle(lane);
    this.lane.build(lane.clientWidth - parseFloat(edge.paddingLeft) - parseFloat(edge.paddingRight), Math.floor(height));
  }

  /* ---- what moves with the music ---- */

  status(now, view) {
    if (this.connected) return view.status;
    return now - (this.lost || 0) > 1500 ? 'gone' : view.status;
  }

  /** Draws some thirty times a second while the music plays, and exactly on the beat; else seldom. */
  tick(now) {
    this.asked = false;
    if (now >= this.idleUntil) this.draw(now);
    clearTimeout(this.timer);
    this.schedule(now);
  }

  draw(now) {
    const shownAt = now + LEAD;
    const view = this.follower.at(shownAt);
    this.idleUntil = now + (view.rolling && view.placed ? Math.min(30, this.toBeat(view)) : 200);
    const status = this.status(now, view);
    const gone = status === 'gone' && (view.status === 'silent' || now - this.lost > 4000);
    if (gone) Object.assign(view, { placed: false, lit: false, now: '', next: '', index: -1, nextBar: -1 });
    const fill = fillOf(view);
    this.showStatus(status);
    this.showSure(status, view);
    this.showLamps(view, fill > 0);
    this.stage.corners(view, gone ? 'gone' : view.status, this.target);
    this.stage.filled(fill, calm.matches);
    this.stage.hear(gone || view.status === 'silent' ? [] : this.heard, now - this.landed < LANDED);
    this.stage.beat(view, calm.matches);
    this.chart.show(view.index, view.placed && view.next ? view.nextBar : -1,
      Math.round((calm.matches ? Math.floor(fill * 4) / 4 : fill) * 16) / 16);
    this.showLane(view);
    this.lookAhead(view, shownAt);
  }

  showLane(view) {
    if (!this.hasLane()) {
      this.stage.mark({});
      return;
    }
    const moved = this.lane.show(view, calm.matches);
    this.stage.mark(this.lane.marks(view));
    if (moved) setTimeout(() => this.tellLane());
  }

  /** The bars of the lane for screen readers. */
  tellLane() {
    $('phrases').lastChild.replaceChildren(...this.lane.bars.filter(Boolean).flatMap((bar) => planWords(this.core, bar)
      .map((text, i) => Object.assign(document.createElement(i ? 'dd' : 'dt'), { textContent: text }))));
  }

  /** Shortly before the next chord its lamps are prepared, after this frame. */
  lookAhead(view, shownAt) {
    if (!view.rolling || !view.next || view.left <= 0 || !(view.tempo > 0)) return;
    const left = view.left * 60000 / view.tempo;
    const mark = `${view.chorus} ${view.change} ${this.lampsKey}`;
    if (left > AHEAD || left < LEAD || this.prepared === mark) return;
    this.prepared = mark;
    setTimeout(() => {
      const then = this.follower.at(shownAt + left + 1);
      this.stage.prepare(this.lampsOf(then), fillOf(then) > 0, this.settings.value.names);
    });
  }

  /** Draws again with the next frame, or later, since frames cost battery. */
  schedule(now) {
    const wait = this.idleUntil - now - 16;
    if (wait > 8) this.timer = setTimeout(() => this.frame(), wait);
    else this.frame();
  }

  frame() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(this.tick);
  }

  /** Something happened: draws at once. */
  wake() {
    this.idleUntil = 0;
    clearTimeout(this.timer);
    this.frame();
  }

  /** Milliseconds to the next felt beat. */
  toBeat(view) {
    return view.tempo > 0 ? (Math.floor(view.felt) + 1 - view.felt) * 60000 / view.tempo : Infinity;
  }

  /** How sure the ear is stands beside the status, which is read aloud when it changes. */
  showSure(status, view) {
    const sure = status === 'playing' && view.sure < 1 ? `${Math.round(100 * view.sure)} % sure` : '';
    if ($('sure').textContent !== sure) $('sure').textContent = sure;
  }

  showStatus(status) {
    if (document.body.dataset.status === status) return;
    document.body.dataset.status = status;
    $('status').textContent = STATUS[status];
  }

  /** Before the first chord the lamps are out, but the next chord's frames are shown. */
  lampsOf(view) {
    this.core.show(this.shows, view.over);
    this.core.chords(view.nowDegree, view.nextDegree, view.placed && view.lit, view.change);
    const lamps = this.core.lamps();
    if (!this.isLit(view)) {
      lamps.forEach((hole) => hole.forEach((lamp) => Object.assign(lamp, { role: lamp.reached ? 0 : 1, blue: 0 })));
    }
    return lamps;
  }

  isLit(view) {
    return view.placed && view.lit && view.nowDegree !== '';
  }

  showLamps(view, soon) {
    const key = JSON.stringify([view.placed && view.lit, view.nowDegree, view.nextDegree, view.change, view.over, this.shows, soon]);
    if (key === this.lampsKey) return;
    this.lampsKey = key;
    const lamps = this.lampsOf(view);
    this.target = null;
    for (let h = 0; h < HOLES; ++h) {
      TECHNIQUES.forEach((_, how) => {
        if (lamps[h][how].target) this.target = [h + 1, how];
      });
    }
    this.stage.lamps(lamps, soon, this.settings.value.names, calm.matches);
    clearTimeout(this.saying);
    this.saying = setTimeout(() => this.say(view, lamps, this.isLit(view)), 60);
  }

  /** For screen readers. */
  say(view, lamps, lit) {
    const key = JSON.stringify([lit, view.nowDegree, view.nextDegree, this.target]);
    if (key === this.saidKey) return;
    this.saidKey = key;
    const target = this.target ? noteWords(...this.target) : '';
    $('say').textContent = view.placed ? changeWords(view, target) : '';
    const list = $('worth');
    list.replaceChildren();
    if (!lit) return;
    for (const [title, words] of lampWords(this.core, lamps)) {
      list.append(Object.assign(document.createElement('dt'), { textContent: title }),
        Object.assign(document.createElement('dd'), { textContent: words }));
    }
  }
}
