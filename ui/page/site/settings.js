// SPDX-License-Identifier: ISC
/* My harp: what this pupil plays and can do, and how the page is to be; remembered on this phone. */
import { KEYS, TUNINGS, ordinal } from './words.js';

const STORAGE_KEY = 'reedlamp.mine';
const DEFAULTS = { chosen: false, key: 0, register: 0, tuning: 0, draws: 3, blows: 3, overblows: false, names: false,
  awake: true, say: true };

const within = (value, least, most, otherwise) =>
  (Number.isInteger(value) && value >= least && value <= most ? value : otherwise);

/** What is remembered, as far as it is valid. */
function load() {
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem(STORAGE_KEY)) || {};
  } catch {
    /* no storage here, or not JSON */
  }
  const s = DEFAULTS;
  const flag = (name) => (typeof kept[name] === 'boolean' ? kept[name] : s[name]);
  return { chosen: flag('chosen'), key: within(kept.key, 0, 11, s.key), register: within(kept.register, -1, 1, s.register),
    tuning: within(kept.tuning, 0, 5, s.tuning), draws: within(kept.draws, 0, 3, s.draws),
    blows: within(kept.blows, 0, 3, s.blows), overblows: flag('overblows'), names: flag('names'), awake: flag('awake'),
    say: flag('say') };
}

export class Settings {
  /** Calls `onChange()` after every change. */
  constructor(onChange) {
    this.value = load();
    this.onChange = onChange;
    this.dialog = document.getElementById('settings');
    this.form = this.dialog.querySelector('form');
    this.songKey = null;
    document.getElementById('change').addEventListener('click', () => this.open());
    this.form.addEventListener('input', () => this.read());
    this.dialog.addEventListener('click', (event) => {
      if (event.target === this.dialog) this.dialog.close();
    });
  }

  /** Until a harp is chosen here, lamps are lit for the plugin's. */
  suggest(key, tuning) {
    const v = this.value;
    if (v.chosen || key < 0 || (v.key === key && v.tuning === tuning)) return;
    v.key = key;
    v.tuning = Math.max(0, tuning);
    this.onChange();
  }

  open() {
    this.fill();
    this.dialog.showModal();
  }

  /** Fills the form; each key with the position it gives. */
  fill() {
    const fields = this.form.elements;
    [...fields.key.options].forEach((option) => {
      const key = Number(option.value);
      const steps = this.songKey === null ? null : ((this.songKey - key + 12) * 7) % 12 + 1;
      option.textContent = steps === null ? KEYS[key] : `${KEYS[key]}, ${ordinal(steps)} position`;
    });
    for (const name of ['key', 'register', 'tuning', 'draws', 'blows']) fields[name].value = this.value[name];
    for (const name of ['overblows', 'names', 'awake', 'say']) fields[name].checked = this.value[name];
  }

  /** From the form. */
  read() {
    const fields = this.form.elements;
    const harp = ['key', 'register', 'tuning', 'draws', 'blows'];
    const was = JSON.stringify(this.value);
    for (const name of harp) this.value[name] = Number(fields[name].value);
    for (const name of ['overblows', 'names', 'awake', 'say']) this.value[name] = fields[name].checked;
    this.value.chosen = true;
    try {
      localStorage.setItem(STORAGE_KEY, JSON.stringify(this.value));
    } catch {
      /* no storage here */
    }
    if (JSON.stringify(this.value) !== was) this.onChange();
  }

  /** Two short lines for the foot of the page. */
  words(position) {
    const v = this.value;
    const bend = ['none', '½ step', '1 step', '1½ steps'];
    const short = ['none', '½', '1', '1½'];
    const harp = `${KEYS[v.key]}${v.register ? (v.register < 0 ? ' low' : ' high') : ''}${
      v.tuning ? `, ${TUNINGS[v.tuning]}` : ''}, ${ordinal(position)} position`;
    const means = `${v.draws === v.blows ? bend[v.draws] : `${short[v.draws]} drawn, ${short[v.blows]} blown`}${
      v.overblows ? ', overblows' : ''}`;
    return [v.chosen ? 'my harp' : "the teacher's harp", harp, means];
  }
}
