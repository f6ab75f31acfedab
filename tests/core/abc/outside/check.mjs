// SPDX-License-Identifier: ISC
// Compares the notes that core/abc/abc reads (pitch, onset, length in ticks) with those of two outside readers of ABC:
// abc2midi (Debian's abcmidi; what it writes is read with midi-file 1.2.4, MIT, npm) and abcjs 6.7.2 (MIT, npm).
//
//   node check.mjs path/to/abc_dump FILE.abc... [--book=BOOK]...
//
// A file holds one tune; a book holds many, which are compared one by one. In books, outside readers get no ornaments, grace
// notes and staccato dots, for they would play them: here they are left out.
//
// Exit status 0 only if nothing differs but what is explained below; the last line counts. Needs abc2midi, and
// node_modules; if they are not there, `npm ci` fetches what package-lock.json pins.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";

const VERSIONS = { abcjs: "6.7.2", "midi-file": "1.2.4" };
const QUARTER = 20160;

// Where an outside reader itself leaves the standard. Kept honest below: an entry that agrees after all is an error.
// Sections are those of the ABC 2.1 standard.
const KNOWN = {
  abc2midi: {
    "43-together-inside-and-outside": "lengths inside [ ] count for nothing where one stands behind; 4.17 multiplies them",
    "47-three-times": "|:: and ::| are played twice; 4.8 has them played three times",
    "48-last-ending-with-a-sign": "a :| behind the last ending repeats once more, without an ending; 4.9 gives that pass none",
    "60-clef-and-octave": "octave= takes the place of the 8 at the clef; 4.6 has each used independent of the other",
    "62-key-left-out": "octave= inside the music counts for nothing; 4.6 has it raise the music of the voice",
    "63-clef-taken-back": "a clef inside leaves the octave of the one above the music; 4.6 has the octave go with the 8",
    "54-ties-over-endings": "a tie reaches the first ending only; 4.11 has it lead to the note that follows",
  },
  abcjs: {
    "04-accidentals-octaves": "an accidental holds in its own octave only; 11.3 has it hold in all, if nothing is said",
    "21-groups-compound": "five and seven notes take the time of two in compound meters as well; 4.13 gives them three",
    "41-groups-by-default": "(3:: leaves its notes as long as they are; 4.13 gives what is left out its usual value",
    "42-broken-in-groups": "> inside a group lengthens the group's last note; 4.4 and 4.13 know of no such thing",
    "47-three-times": "|:: and ::| are played twice; 4.8 has them played three times",
    "48-last-ending-with-a-sign": "a :| behind the last ending repeats once more, without an ending; 4.9 gives that pass none",
    "51-key-without-signature": "exp counts for nothing; 3.1.14 has the signs behind it make the signature",
    "61-transposed-inside": "transpose= inside the music counts for nothing; 4.6 has it transpose the voice",
    "63-clef-taken-back": "a clef without an 8 leaves the octave of the one before; 4.6 has the octave go with the 8",
    "52-parts": "the order of P: counts for nothing; 3.1.9 has the parts played in it",
  },
};

const folder = (name) => new URL(name, import.meta.url);
const require = createRequire(import.meta.url);

function stop(message) {
  console.error(`abc check: ${message}`);
  process.exit(1);
}

function installed() {
  return Object.entries(VERSIONS).every(([name, version]) => {
    const about = folder(`node_modules/${name}/package.json`);
    return existsSync(about) && JSON.parse(readFileSync(about, "utf8")).version === version;
  });
}

function load() {
  if (!installed()) {
    const npm = spawnSync("npm", ["ci", "--ignore-scripts", "--no-audit", "--no-fund"],
      { cwd: folder("."), stdio: ["ignore", "ignore", "inherit"] });
    if (npm.status !== 0 || !installed()) {
      stop("npm ci did not bring what package.json names");
    }
  }
  return { abcjs: require("abcjs"), midi: require("midi-file") };
}

// Onsets from the tune's beginning, the lowest note of an onset first.
const inOrder = (notes) => notes.sort((a, b) => a.at - b.at || a.pitch - b.pitch);

function ours(program, file) {
  const run = spawnSync(program, [file], { encoding: "utf8" });
  if (run.status !== 0) {
    stop(`${program} failed: ${run.error?.message ?? run.stderr}`);
  }
  const tune = JSON.parse(run.stdout);
  return inOrder(tune.notes.map(([at, lasts, pitch]) => ({ at: at + tune.pickup, lasts, pitch })));
}

// abc2midi would play the chord symbols along, and the notes of a chord one after the other: it is told not to,
// behind K:, in a copy. It cuts lengths to 480ths of a quarter, and groups of five and seven add up what was cut.
function abc2midi(midi, file, scratch) {
  const [copy, out] = [join(scratch, "tune.abc"), join(scratch, "tune.mid")];
  writeFileSync(copy, readFileSync(file, "utf8").replace(/^K:.*$/m, "$&\n%%MIDI gchordoff\n%%MIDI chordattack 0"));
  const run = spawnSync("abc2midi", [copy, "-o", out], { encoding: "utf8" });
  if (run.status !== 0) {
    stop(`abc2midi failed on ${file}: ${run.error?.message ?? run.stdout}`);
  }
  const { header, tracks } = midi.parseMidi(readFileSync(out));
  const scale = QUARTER / header.ticksPerBeat;
  return { slack: 2 * scale, notes: inOrder(tracks.flatMap((track) => sounding(track, scale))) };
}

function sounding(track, scale) {
  const [open, notes] = [new Map(), []];
  let now = 0;
  for (const event of track) {
    now += event.deltaTime;
    const on = event.type === "noteOn" && event.velocity > 0;
    if (on) {
      open.set(event.noteNumber, now);
    } else if ((event.type === "noteOn" || event.type === "noteOff") && open.has(event.noteNumber)) {
      const from = open.get(event.noteNumber);
      open.delete(event.noteNumber);
      notes.push({ at: from * scale, lasts: (now - from) * scale, pitch: event.noteNumber });
    }
  }
  return notes;
}

// Its sequence counts in whole notes, rounded to a millionth or so.
function abcjs(library, file) {
  const [tune] = library.parseOnly(readFileSync(file, "utf8"));
  const audio = tune.setUpAudio({ chordsOff: true });
  const notes = audio.tracks.flat().filter(({ cmd }) => cmd === "note");
  return {
    slack: 1,
    notes: inOrder(notes.map(({ pitch, start, duration }) =>
      ({ at: start * 4 * QUARTER, lasts: duration * 4 * QUARTER, pitch }))),
  };
}

const near = (a, b, slack) => Math.abs(a - b) <= slack;
const show = (note) => note ? `${note.pitch} at ${note.at} for ${note.lasts}` : "nothing";

// The first note that differs; null if none does.
function difference(here, { notes: there, slack }) {
  for (let i = 0; i < Math.max(here.length, there.length); ++i) {
    const [a, b] = [here[i], there[i]];
    if (!a || !b || a.pitch !== b.pitch || !near(a.at, b.at, slack) || !near(a.at + a.lasts, b.at + b.lasts, slack)) {
      return `note ${i + 1}: here ${show(a)}, there ${show(b)}`;
    }
  }
  return null;
}

function judge(name, reader, here, there, wrong) {
  const found = difference(here, there);
  const known = KNOWN[reader]?.[name];
  if (found && known) {
    console.log(`${name}: ${reader} differs, as expected: ${known} (${found})`);
    return "explained";
  }
  if (found || known) {
    wrong.push(`${name}: ${reader}: ${found ?? `said to differ, and does not: ${known}`}`);
    return "wrong";
  }
  return "agree";
}

// The tunes of a book, each in a file of its own, under the number in X:.
function tunesOf(book, scratch) {
  const tunes = readFileSync(book, "utf8").split(/\n\s*\n/).filter((text) => /^X:/m.test(text));
  return tunes.map((text) => {
    const file = join(scratch, `${basename(book).replace(/\..*/, "")}-${/^X:\s*(\d+)/m.exec(text)[1]}.abc`);
    writeFileSync(file, `${text.replace(/^%= .*$/m, "")}\n`);
    return file;
  });
}

const PLAYED = /"[^"]*"|\{[^}]*\}|![a-z0-9]+!|[~T.](?=[\^_=A-Ga-g])/g;

// The file without what an outside reader would play; only lines of music are changed.
function bare(file) {
  const music = (line) => line.replace(PLAYED, (sign) => sign[0] === '"' ? sign : "");
  const lines = readFileSync(file, "utf8").split("\n");
  const copy = file.replace(/\.abc$/, "-bare.abc");
  writeFileSync(copy, lines.map((line) => /^([A-Za-z]:|%)/.test(line) ? line : music(line)).join("\n"));
  return copy;
}

const [program, ...given] = process.argv.slice(2);
const books = given.filter((name) => name.startsWith("--book=")).map((name) => name.slice("--book=".length));
const files = given.filter((name) => !name.startsWith("--book="));
if (!program || !given.length) {
  stop("say where abc_dump and the tunes are: node check.mjs path/to/abc_dump FILE.abc...");
}
const { abcjs: library, midi } = load();
const scratch = mkdtempSync(join(tmpdir(), "abc-check-"));
const wrong = [];
const count = { abc2midi: {}, abcjs: {} };
try {
  const inBooks = books.flatMap((book) => tunesOf(book, scratch));
  for (const file of [...files, ...inBooks]) {
    const [name, here] = [basename(file, ".abc"), ours(program, file)];
    const played = inBooks.includes(file) ? bare(file) : file;
    const there = { abc2midi: abc2midi(midi, played, scratch), abcjs: abcjs(library, played) };
    for (const [reader, notes] of Object.entries(there)) {
      const verdict = judge(name, reader, here, notes, wrong);
      count[reader][verdict] = (count[reader][verdict] ?? 0) + 1;
    }
  }
} finally {
  rmSync(scratch, { recursive: true });
}
wrong.forEach((what) => console.error(what));
const tunes = Object.values(count.abcjs).reduce((sum, n) => sum + n, 0);
const tally = Object.entries(count).map(([reader, { agree = 0, explained = 0 }]) =>
  `${reader} agrees on ${agree}, differs for a known reason on ${explained}`);
console.log(`${tunes} tunes: ${tally.join("; ")}; ${wrong.length} differences unexplained`);
process.exitCode = wrong.length ? 1 : 0;
