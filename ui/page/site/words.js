// SPDX-License-Identifier: ISC
/* How things are written, and said to screen readers. */
import { TECHNIQUES, PART, ROLE } from './core.js';

/** `Bb7` to `B♭7`. */
export const withSigns = (name) => name.replace(/b/g, '♭').replace(/#/g, '♯');

const spoken = (name) => name.replace(/b/g, ' flat ').replace(/#/g, ' sharp ').replace(/m(?=\d|$)/, ' minor ')
  .replace(/\s+/g, ' ').trim();

const HALVES = ['', '½', '1', '1½'];
const over = (how) => how === 8 || how === 9;

/** `6 draw, bend ½` */
export function noteWords(hole, how) {
  const name = TECHNIQUES[how];
  if (over(how)) return `${hole} ${name}`;
  const bend = Number(name.slice(4)) || 0;
  return `${hole} ${name.slice(0, 4)}${bend ? `, bend ${HALVES[bend]}` : ''}`;
}

/** As tab, without the sign for draw: `3''`, `6o`. */
export const tabOf = (hole, how) => `${hole}${over(how) ? 'o' : "'".repeat(Number(TECHNIQUES[how].slice(4)) || 0)}`;

/** Which bar of the song it is. */
export const barWords = ({ part, bar }) => (bar < 0 ? `lead-in ${-bar}` : `${part === PART.ending ? 'ending' : 'bar'} ${bar}`);

/** A bar of the lane in words: its head, and what is played in it. */
export function planWords(core, bar) {
  const title = bar.planned < 0 ? '' : `, ${core.name('phrase', bar.planned)}`;
  const notes = bar.notes.map((note, i) => `${i && bar.notes[i - 1].at === note.at ? 'with ' : ''}${noteWords(note.hole, note.how)}`);
  return [`${barWords(bar)}${title}`, `${bar.answers ? 'answer: ' : ''}${notes.join('; ') || (bar.answers ? 'yours' : 'rest')}`];
}

/** The label of a row of lamps. */
export const ROW_WORDS = ['blow', 'draw', 'bend ½', 'bend 1', 'bend 1½', 'bend ½', 'bend 1', 'bend 1½', 'overblow',
  'overdraw'];

export const ordinal = (n) => `${n}${n === 1 ? 'st' : n === 2 ? 'nd' : n === 3 ? 'rd' : 'th'}`;

export const KEYS = ['C', 'D♭', 'D', 'E♭', 'E', 'F', 'F♯', 'G', 'A♭', 'A', 'B♭', 'B'];
export const TUNINGS = ['Richter', 'raised third blow', 'country', 'natural minor', 'harmonic minor', 'solo'];

/** Upper and lower line beside the chord now. */
export function placeWords(view) {
  if (view.part === PART.leadIn || view.part === PART.before) {
    const bars = -view.bar;
    return [view.part === PART.leadIn ? 'lead-in' : 'before the song', `${bars} ${bars === 1 ? 'bar' : 'bars'} to bar 1`];
  }
  if (view.part === PART.ending) return ['ending', `bar ${view.bar - view.bars}`];
  return [`chorus ${view.chorus}`, view.bars ? `bar ${view.bar} of ${view.bars}` : `bar ${view.bar}`];
}

/** Whole beats to the next chord, counted down to 1. */
export const countdown = (view) => Math.max(1, Math.ceil(view.left - 1e-3));

export const STATUS = { gone: 'no connection', silent: 'no signal from the DAW', waiting: 'not started', lost: 'no bars', stopped: 'stopped', hears: 'listening', unheard: 'lost it',
  playing: 'playing', over: 'song over' };

/** Two lines for Now's corner where there is no chord to show. */
export const LOST = {
  gone: ['No connection,', 'trying again'],
  silent: ['No signal', 'from the DAW'],
  waiting: ['Waiting for bar 1:', 'nothing is playing'],
  lost: ['Waiting for bar 1:', 'the DAW tells no bars'],
  hears: ['Listening:', 'the bar comes when it is sure'],
  unheard: ['Lost it:', 'listening for the bar'],
  over: ['The song is over', ''],
};

const degreeSpoken = (name) => (name === 'R' ? 'root' : spoken(name));

/** The lamps in words, best first, for screen readers. */
export function lampWords(core, lamps) {
  const groups = [['Thirds and sevenths', [ROLE.third, ROLE.seventh]], ['Root, fifth and other chord tones',
    [ROLE.root, ROLE.fifth, ROLE.chord]], ['Blue notes', [ROLE.blue]], ['Safe to hold', [ROLE.safe]]];
  return groups.map(([title, roles]) => [title, lamps.flatMap((hole, h) => hole.flatMap((lamp, how) =>
    (lamp.note && lamp.reached && roles.includes(lamp.role)
      ? [`${noteWords(h + 1, how)}: ${degreeSpoken(core.degree(lamp.degree))}`] : []))).join('; ') || 'none']);
}

/** One sentence for a change of chord. */
export function changeWords(view, target) {
  const next = view.next ? `Next ${spoken(view.next)}${target ? `, land on ${target}` : ''}.` : '';
  return `${view.now ? spoken(view.now) : 'no chord'}, ${placeWords(view).reverse().join(', ')}. ${next}`;
}
