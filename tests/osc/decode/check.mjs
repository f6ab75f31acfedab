// SPDX-License-Identifier: ISC
// Reads Reedlamp's packets with an OSC decoder that is not ours (npm osc 2.4.5, MIT or GPL-2.0), and with
// liblo's oscdump beside it.
//
//   node check.mjs path/to/send path/to/bundles
//
// Every packet must be a bundle of at most 1,400 bytes, its time tag within a second of the clock, its
// messages of the addresses and types that plugin/OSC.md has; and what the decoder has read, its own encoder must
// turn into the same bytes again. oscdump must show every address. Exit status 0 only if all is so.
import { spawn, spawnSync } from "node:child_process";
import dgram from "node:dgram";
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";

const VERSION = "2.4.5";
const SECONDS = 11;
const folder = (name) => new URL(name, import.meta.url);

// As in plugin/OSC.md.
const TYPES = {
  "/reedlamp/transport": "iffi",
  "/reedlamp/place": "iiiff",
  "/reedlamp/chord": "ssssf",
  "/reedlamp/target": "issif",
  "/reedlamp/harp": "ssis",
  "/reedlamp/show": "i",
  "/reedlamp/chorus": "iiiiiiis",
  "/reedlamp/practice": "iis",
  "/reedlamp/chart": "iis",
  "/reedlamp/plan": "iis",
  "/reedlamp/phrase": "iffissis",
  "/reedlamp/sure": "fs",
  "/reedlamp/tuning": "fi",
  "/reedlamp/key_heard": "sf",
  "/reedlamp/loop": "ff",
  "/reedlamp/heard": "isifff",
  "/reedlamp/hit": "siifisi",
};
const LAMP = /^\/reedlamp\/lamp\/([1-9]|10)\/(blow[123]?|draw[123]?|overblow|overdraw)$/;

function stop(message) {
  console.error(`osc check: ${message}`);
  process.exit(1);
}

function installed() {
  const about = folder("node_modules/osc/package.json");
  return existsSync(about) && JSON.parse(readFileSync(about, "utf8")).version === VERSION;
}

function loadOsc() {
  if (!installed()) {
    const npm = spawnSync("npm", ["ci", "--ignore-scripts", "--omit=optional", "--no-audit", "--no-fund"],
      { cwd: folder("."), stdio: ["ignore", "ignore", "inherit"] });
    if (npm.status !== 0 || !installed()) {
      stop(`npm ci did not bring osc ${VERSION}`);
    }
  }
  return createRequire(import.meta.url)("./node_modules/osc/src/osc.js");
}

const wrong = [];
const seen = new Map();
let packets = 0;
let largest = 0;

function judge(osc, bytes, came) {
  const read = osc.readPacket(bytes, { metadata: true, unpackSingleArgs: false });
  const again = Buffer.from(osc.writePacket(read, { metadata: true, unpackSingleArgs: false }));
  packets += 1;
  largest = Math.max(largest, bytes.length);
  const late = came - read.timeTag?.native;
  if (!read.packets || bytes.length > 1400 || bytes.length % 4) {
    wrong.push(`packet ${packets}: no bundle of at most 1400 bytes`);
    return;
  }
  if (!(Math.abs(late) < 1000)) {
    wrong.push(`packet ${packets}: its time tag is ${late} ms from the clock`);
  }
  // The fraction of a second goes through a double there; all bytes but its own must be the same.
  bytes.copy(again, 8, 8, 16);
  if (!again.equals(bytes)) {
    wrong.push(`packet ${packets}: encoded again it is not the same`);
  }
  for (const { address, args } of read.packets) {
    const types = args.map(({ type }) => type).join("");
    seen.set(address, (seen.get(address) ?? 0) + 1);
    if (types !== (LAMP.test(address) ? "fssii" : TYPES[address])) {
      wrong.push(`${address} ${types} is not in OSC.md`);
    }
  }
}

function bound(port) {
  return new Promise((done) => {
    const socket = dgram.createSocket({ type: "udp4", recvBufferSize: 1 << 22 });
    socket.bind(port, "127.0.0.1", () => done(socket));
  });
}

const ended = (process) => new Promise((done) => process.on("close", done));

const [send, bundles] = process.argv.slice(2);
if (!send || !bundles) {
  stop("say where they are: node check.mjs path/to/send path/to/bundles");
}
const osc = loadOsc();
const socket = await bound(0);
const free = await bound(0); // a port for oscdump, which wants a number
const dumpPort = free.address().port;
free.close();
const dump = spawn("stdbuf", ["-oL", "oscdump", String(dumpPort)], { stdio: ["ignore", "pipe", "inherit"] });
dump.on("error", () => stop("oscdump is missing: install liblo-tools"));
const dumped = new Set();
let rest = "";
dump.stdout.on("data", (data) => {
  const lines = (rest + data).split("\n");
  rest = lines.pop();
  lines.forEach((line) => dumped.add(line.split(" ")[1]));
});
socket.on("message", (bytes) => judge(osc, bytes, Date.now()));
await new Promise((done) => setTimeout(done, 500));
const targets = `127.0.0.1:${socket.address().port} 127.0.0.1:${dumpPort}`;
const player = spawn(send, [bundles, targets, String(SECONDS)], { stdio: ["ignore", "inherit", "inherit"] });
const status = await ended(player);
await new Promise((done) => setTimeout(done, 500));
dump.kill();
socket.close();

if (status !== 0) {
  wrong.push(`${send} ended with ${status}`);
}
for (const address of [...Object.keys(TYPES), "/reedlamp/lamp/2/draw2", "/reedlamp/lamp/10/overdraw"]) {
  if (!seen.get(address)) {
    wrong.push(`${address} was not sent`);
  }
}
for (const address of seen.keys()) {
  if (!dumped.has(address)) {
    wrong.push(`oscdump does not show ${address}`);
  }
}
[...new Set(wrong)].slice(0, 20).forEach((what) => console.error(what));
console.log(`osc ${VERSION}: ${packets} packets, the largest ${largest} bytes, ${seen.size} addresses, `
  + `${wrong.length} faults`);
process.exitCode = wrong.length ? 1 : 0;
