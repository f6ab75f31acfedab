// SPDX-License-Identifier: ISC
// Compares Reedlamp's chords with the chord dictionary of tonal 6.0.1 (MIT, npm): what is written,
// on twelve roots, as pitch classes and as intervals.
//
//   node check.mjs path/to/chords_dump
//
// Exit status 0 only if nothing differs; the last line counts. Needs node_modules; if it is not
// there, `npm ci` fetches what package-lock.json pins.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import vm from "node:vm";

const VERSION = "6.0.1";

// Every way to write a quality (core/harmony/CHORDS.md), by hand: none may be missing from the dump.
const WRITTEN = [
  "", "m", "-", "7", "maj7", "M7", "m7", "mMaj7", "6", "m6", "6/9", "9", "m9", "maj9", "9sus4",
  "11", "m11", "13", "maj13", "7b9", "7#9", "7b5", "7#5", "7#11", "7alt", "m7b5", "ø", "dim", "o",
  "dim7", "o7", "aug", "+", "sus2", "sus4", "7sus4", "add9", "5",
  "madd9", "m6/9", "m9b5", "m13", "mMaj9", "maj7#11", "maj7#5", "maj7b5", "9#11", "13b9", "13#11", "7b13", "7#5#9",
  "7b5b9", "7b9#9", "7b9b13", "7#9b13", "7sus4b9", "13sus4", "7no3", "m7#5", "(b5)",
  "ø7", "°7", "°", "maj", "M", "ma7", "Δ7", "△7", "Δ", "min", "mi7", "7sus", "sus", "9sus", "69", "7+", "+7",
  "aug7", "7(b9)", "7(#9,b13)", "7-9", "7+9", "7-5", "m7(b5)", "min7b5", "m(maj7)", "-maj7", "(add9)", "add2",
  "2", "m69",
];

// Where tonal knows the same chord by another name. Everything else goes by the name it has here,
// and tonal has it all: of those that lead sheets quarrel about, 11 (no third), 13 (no 11), m11,
// add9, 5 and 9sus4 are the same in both.
const ALIASES = {
  "7alt": {
    tonal: "alt7",
    why: "the shell of an altered dominant (root, 3, b7 and b9) is alt7 there; its own 7alt is 7#5#9, "
       + "one voicing among several. CHORDS.md gives 7alt the altered scale, which holds both, "
       + "and the shell as its tones",
  },
  "m6/9": { tonal: "m69", why: "no slash there" },
  "maj7b5": { tonal: "M7b5", why: "not by this name there" },
  "7sus4b9": { tonal: "b9sus", why: "not in this order there" },
  "(b5)": { tonal: "Mb5", why: "not in brackets there" },
};

// The same pitches by another name there: a 2 for the 9, a b6 for the #5.
const OTHER_DEGREES = ["m9b5", "m7#5"];

// Chords that tonal does not have.
const UNKNOWN = ["7no3"];

// Where tonal has the same name for a chord with other tones. Kept honest below: an entry whose
// two chords agree after all is an error. CHORDS.md is followed, not tonal.
const SAME_NAME_OTHER_CHORD = {
  "7alt": ["R", "3", "#5", "b7", "#9"],
  "7b13": ["R", "3", "b7", "b13"],
  "7b5b9": ["R", "3", "5", "b7", "b9", "#11"],
};

const LETTERS = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
const folder = (name) => new URL(name, import.meta.url);

function stop(message) {
  console.error(`tonal check: ${message}`);
  process.exit(1);
}

function installed() {
  const about = folder("node_modules/tonal/package.json");
  return existsSync(about) && JSON.parse(readFileSync(about, "utf8")).version === VERSION;
}

function loadTonal() {
  if (!installed()) {
    const npm = spawnSync("npm", ["ci", "--ignore-scripts", "--no-audit", "--no-fund"],
      { cwd: folder("."), stdio: ["ignore", "ignore", "inherit"] });
    if (npm.status !== 0 || !installed()) {
      stop(`npm ci did not bring tonal ${VERSION}`);
    }
  }
  // The one-file build needs none of its parts; a context of its own keeps it off our globals.
  const room = vm.createContext({});
  vm.runInContext(readFileSync(folder("node_modules/tonal/browser/tonal.min.js"), "utf8"), room);
  return vm.runInContext("Tonal", room);
}

function readDump(program) {
  if (!program) {
    stop("say where chords_dump is: node check.mjs path/to/chords_dump");
  }
  const run = spawnSync(program, { encoding: "utf8" });
  if (run.status !== 0) {
    stop(`${program} failed: ${run.error?.message ?? run.stderr}`);
  }
  return run.stdout.trim().split("\n").map((line) => JSON.parse(line));
}

// tonal's `7m`, `9A`, `7d` as our `b7`, `#9`, `bb7`.
function degreeOf(interval) {
  const [, number, kind] = /^(\d+)([PMmAd])$/.exec(interval);
  const perfect = [1, 4, 5].includes(((Number(number) - 1) % 7) + 1);
  const sign = { P: "", M: "", m: "b", A: "#", d: perfect ? "b" : "bb" }[kind];
  return number === "1" ? "R" : sign + number;
}

function classOf(note) {
  const [, letter, signs] = /^([A-G])([#b]*)$/.exec(note);
  const alter = [...signs].reduce((sum, sign) => sum + (sign === "#" ? 1 : -1), 0);
  return (LETTERS[letter] + alter + 24) % 12;
}

const key = (list) => [...list].map(String).sort().join(" ");

// As written where tonal reads that, else by the name it is shown by here.
function theirs(tonal, line) {
  const { root } = line;
  const known = tonal.ChordType.get(line.written).aliases?.includes(line.written);
  const written = known || ALIASES[line.written] ? line.written : line.name;
  const name = ALIASES[written]?.tonal ?? written;
  const type = tonal.ChordType.get(name);
  const chord = tonal.Chord.getChord(name, root);
  // An unknown name is empty there; a name tonal reads as some other one must not pass either.
  if (type.empty || !type.aliases.includes(name)) {
    return null;
  }
  return { degrees: type.intervals.map(degreeOf), classes: chord.notes.map(classOf) };
}

function compare(tonal, line) {
  const other = theirs(tonal, line);
  if (!other) {
    return "tonal has no such chord";
  }
  const degrees = key(line.degrees) !== key(other.degrees) && !OTHER_DEGREES.includes(line.name);
  const classes = key(line.classes) !== key(other.classes);
  return degrees || classes
    ? `here ${line.degrees} (${line.classes}), there ${other.degrees} (${other.classes})`
    : null;
}

const tonal = loadTonal();
const dump = readDump(process.argv[2]);
const wrong = [];

let compared = 0;
for (const line of dump) {
  const set = line.name in SAME_NAME_OTHER_CHORD && !(line.name in ALIASES);
  if (set || UNKNOWN.includes(line.name)) {
    if (UNKNOWN.includes(line.name) && !tonal.ChordType.get(line.name).empty) {
      wrong.push(`tonal has ${line.name} after all`);
    }
    continue;
  }
  ++compared;
  const difference = compare(tonal, line);
  if (difference) {
    wrong.push(`${line.root}${line.written}: ${difference}`);
  }
}
for (const written of WRITTEN) {
  const roots = dump.filter((line) => line.written === written).map((line) => classOf(line.root));
  if (new Set(roots).size !== 12 || roots.length !== 12) {
    wrong.push(`"${written}" is in the dump on ${roots.length} roots, not on each of twelve`);
  }
}
for (const line of dump.filter(({ written }) => !WRITTEN.includes(written))) {
  wrong.push(`${line.root}${line.written}: not a quality of CHORDS.md`);
}
for (const [written, expected] of Object.entries(SAME_NAME_OTHER_CHORD)) {
  const there = tonal.ChordType.get(written).intervals.map(degreeOf);
  const here = dump.find((line) => line.written === written)?.degrees ?? [];
  if (key(there) !== key(expected) || key(here) === key(there)) {
    wrong.push(`"${written}": said to be ${expected} in tonal and other tones here; now ${there}, ${here}`);
  }
}

wrong.forEach((what) => console.error(what));
console.log(`tonal ${VERSION}: ${compared} of ${dump.length} chords compared (${WRITTEN.length} ways to write a `
  + `quality, 12 roots), ${wrong.length} differences`);
process.exitCode = wrong.length ? 1 : 0;
