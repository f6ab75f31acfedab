// SPDX-License-Identifier: ISC
/* My harp: what this pupil plays and can do, remembered on this phone. */
import { KEYS, TUNINGS, ordinal } from './words.js';

const PLACE = 'reedlamp.mine';
const STANDARD = { chosen: false, key: 0, register: 0, tuning: 0, draws: 3, blows: 3, overblows: false, names: false,
  awake: true, say: true };

const within = (value, least, most, otherwise) =>
  (Number.isInteger(value) && value >= least && value <= most ? value : otherwise);

/** What is remembered, if it makes sense. */
function recall() {
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem(PLACE)) || {};
  } catch {
    /* nothing can be remembered here, or nonsense was */
  }
  const s = STANDARD;
  const yes = (name) => (typeof kept[name] === 'boolean' ? kept[name] : s[name]);
  return { chosen: yes('chosen'), key: within(kept.key, 0, 11, s.key), register: within(kept.register, -1, 1, s.register),
    tuning: within(kept.tuning, 0, 5, s.tuning), draws: within(kept.draws, 0, 3, s.draws),
    blows: within(kept.blows, 0, 3, s.blows), overblows: yes('overblows'), names: yes('names'), awake: yes('awake'),
    say: yes('say') };
}

export class Mine {
  /** `changed()` after every change. */
  constructor(changed) {
    this.value = recall();
    this.changed = changed;
    this.dialog = document.getElementById('mine');
    this.form = this.dialog.querySelector('form');
    this.songKey = null;
    document.getElementById('change').addEventListener('click', () => this.open());
    this.form.addEventListener('input', () => this.take());
    this.dialog.addEventListener('click', (event) => {
      if (event.target === this.dialog) this.dialog.close();
    });
  }

  /** Until a harp is chosen here, the band's is lit. */
  suggest(key, tuning) {
    const v = this.value;
    if (v.chosen || key < 0 || (v.key === key && v.tuning === tuning)) return;
    v.key = key;
    v.tuning = Math.max(0, tuning);
    this.changed();
  }

  open() {
    this.fill();
    this.dialog.showModal();
  }

  /** The form as things are; positions stand beside the keys. */
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

  take() {
    const fields = this.form.elements;
    const harp = ['key', 'register', 'tuning', 'draws', 'blows'];
    const was = JSON.stringify(this.value);
    for (const name of harp) this.value[name] = Number(fields[name].value);
    for (const name of ['overblows', 'names', 'awake', 'say']) this.value[name] = fields[name].checked;
    this.value.chosen = true;
    try {
      localStorage.setItem(PLACE, JSON.stringify(this.value));
    } catch {
      /* then not */
    }
    if (JSON.stringify(this.value) !== was) this.changed();
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
    return [v.chosen ? 'my harp' : "the band's harp", harp, means];
  }
}
