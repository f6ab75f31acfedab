// SPDX-License-Identifier: ISC
// Compares the events that core/capture/smf finds in Standard MIDI Files with those of an outside reader, midi-file 1.2.4
// (MIT, npm): files of types 0 and 1 written here byte by byte, with running status, tempo changes, system exclusive
// messages in between, odd divisions, frames instead of ticks, odd chunks; some by hand, 500 by chance (the same every time).
//
//   node check.mjs path/to/smf_dump
//
// Exit status 0 only if nothing differs; the last line counts. Needs node_modules: `npm ci` fetches what
// package-lock.json pins.
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

const { parseMidi } = createRequire(import.meta.url)("midi-file");
const dump = process.argv[2];
if (!dump) {
  console.error("usage: node check.mjs path/to/smf_dump");
  process.exit(2);
}

// ---- writing ----

const number = (value, size) => Array.from({ length: size }, (_, i) => (value / 2 ** (8 * (size - 1 - i))) & 255);
const word = (text) => [...text].map((c) => c.charCodeAt(0));
const length = (value) => {
  const bytes = [value & 127];
  for (value >>= 7; value; value >>= 7) bytes.unshift((value & 127) | 128);
  return bytes;
};
const chunk = (name, bytes) => [...word(name), ...number(bytes.length, 4), ...bytes];
const file = (type, division, tracks, between = []) => [
  ...chunk("MThd", [...number(type, 2), ...number(tracks.length, 2), ...number(division, 2)]),
  ...tracks.flatMap((t) => [...between, ...chunk("MTrk", t)]),
];
const meta = (type, bytes) => [255, type, ...length(bytes.length), ...bytes];
const END = [0, ...meta(0x2f, [])];

// ---- by hand ----

const files = {
  "running.mid": file(0, 96, [[0, 0x90, 60, 80, 96, 60, 0, 0, 62, 80, 0x81, 0x40, 62, 0, ...END]]),
  "tempo.mid": file(1, 480, [
    [0, ...meta(3, word("Ferry")), 0, ...meta(0x51, number(500000, 3)), 0x83, 0x60, ...meta(0x51, number(400000, 3)), ...END],
    [0, ...meta(3, word("Harp")), 0, 0x91, 67, 99, 0x87, 0x40, 0x81, 67, 12, ...END],
  ]),
  "meter-key.mid": file(1, 120, [[0, ...meta(0x58, [12, 3, 24, 8]), 0, ...meta(0x59, [0xfe, 1]), 0, ...meta(0x59, [3, 0]), ...END]]),
  "odd-division.mid": file(0, 1, [[0, 0x90, 60, 1, 1, 0x80, 60, 0, ...END]]),
  "odd-division-too.mid": file(0, 32767, [[0, 0xc3, 5, 0x82, 0x7f, 0x93, 60, 1, 1, 0xd3, 7, 0, 0xe3, 0, 64, ...END]]),
  "exclusive.mid": file(0, 96, [[0, 0x90, 60, 80, 0, 0xf0, 3, 1, 2, 0xf7, 10, 0x80, 60, 0, 0, 0xf7, 1, 9, ...END]]),
  "frames.mid": file(1, 0xe728, [[0, 0x90, 60, 80, 40, 60, 0, ...END]]),
  "texts.mid": file(1, 96, [[0, ...meta(1, word("a")), 0, ...meta(2, word("b")), 0, ...meta(0x7f, [1, 2, 3]), 0, 0xb0, 7, 100, ...END]]),
};

// ---- by chance ----

let seed = 7;
const chance = (below) => {
  seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
  return Math.floor((seed / 2 ** 32) * below);
};

function track() {
  const bytes = [];
  let running = -1;
  for (let i = chance(60); i > 0; i--) {
    bytes.push(...length(chance(4) ? chance(500) : chance(300000)));
    const what = chance(12);
    if (what === 0) {
      bytes.push(...meta(0x51, number(1 + chance(2 ** 24 - 1), 3)));
      running = -1;
    } else if (what === 1) {
      bytes.push(...meta(0x58, [1 + chance(20), chance(6), 24, 8]));
      running = -1;
    } else if (what === 2) {
      bytes.push(0xf0, ...length(2), chance(128), 0xf7);
      running = -1;
    } else {
      const status = 0x80 + 16 * chance(7) + chance(2) * chance(16);
      if (status !== running) bytes.push(status);
      running = status;
      bytes.push(chance(128));
      if (status >> 4 !== 0xc && status >> 4 !== 0xd) bytes.push(chance(128));
    }
  }
  return [...bytes, ...END];
}
for (let i = 0; i < 500; i++) {
  const type = chance(2);
  const tracks = Array.from({ length: type ? 1 + chance(5) : 1 }, track);
  files[`chance-${i}.mid`] = file(type, 1 + chance(32767), tracks);
}

// ---- comparing ----

const STATUS = { noteOff: 0x80, noteOn: 0x90, noteAftertouch: 0xa0, controller: 0xb0, programChange: 0xc0, channelAftertouch: 0xd0, pitchBend: 0xe0 };

function theirs(event) {
  const status = STATUS[event.type] + event.channel;
  switch (event.type) {
    case "noteOn":
      return [status, event.noteNumber, event.velocity];
    case "noteOff": // it calls a note on without velocity so
      return event.byte9 ? [0x90 + event.channel, event.noteNumber, 0] : [status, event.noteNumber, event.velocity];
    case "noteAftertouch":
      return [status, event.noteNumber, event.amount];
    case "controller":
      return [status, event.controllerType, event.value];
    case "programChange":
      return [status, event.programNumber];
    case "channelAftertouch":
      return [status, event.amount];
    case "pitchBend":
      return [status, (event.value + 8192) & 127, (event.value + 8192) >> 7];
    case "setTempo":
      return ["tempo", event.microsecondsPerBeat];
    case "timeSignature":
      return ["meter", event.numerator, event.denominator];
    case "keySignature":
      return ["key", event.key + 7, event.scale];
    case "trackName":
      return ["name", event.text];
    default:
      return null;
  }
}

function parsed(bytes) {
  const midi = parseMidi(Uint8Array.from(bytes));
  const events = midi.tracks.map((t, track) => {
    let ticks = 0;
    return t.flatMap((event) => {
      ticks += event.deltaTime;
      const said = theirs(event);
      return said ? [[track, ticks, ...said]] : [];
    });
  });
  return { type: midi.header.format, tracks: midi.tracks.length, events };
}

const folder = mkdtempSync(join(tmpdir(), "reedlamp-smf-"));
const names = Object.keys(files);
for (const name of names) writeFileSync(join(folder, name), Uint8Array.from(files[name]));
const ran = spawnSync(dump, names.map((n) => join(folder, n)), { encoding: "utf8", maxBuffer: 2 ** 28 });
rmSync(folder, { recursive: true });
if (ran.status !== 0) {
  console.error(`smf check: ${dump} ended with ${ran.status}: ${ran.stderr}`);
  process.exit(1);
}
let equal = 0;
for (const line of ran.stdout.trim().split("\n")) {
  const ours = JSON.parse(line);
  const outside = parsed(files[ours.file]);
  const tracks = outside.events.map((_, t) => (ours.events ?? []).filter((e) => e[0] === t));
  const order = (ours.events ?? []).every((e, i, all) => !i || all[i - 1][1] <= e[1]);
  if (!ours.error && order && ours.type === outside.type && ours.tracks === outside.tracks && JSON.stringify(tracks) === JSON.stringify(outside.events)) {
    equal++;
  } else {
    console.log(`${ours.file}: ${ours.error ?? ""}\n  ours    ${JSON.stringify(tracks).slice(0, 300)}\n  outside ${JSON.stringify(outside.events).slice(0, 300)}`);
  }
}
console.log(`${equal} of ${names.length} files equal`);
process.exit(equal === names.length ? 0 : 1);
