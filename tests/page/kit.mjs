// SPDX-License-Identifier: ISC
/* What the tests of the page share: servers, running plugins, stream readers, and the count of what passed. */
import { spawn } from 'node:child_process';
import http from 'node:http';
import net from 'node:net';
import { createInterface } from 'node:readline';

export const sleep = (ms) => new Promise((done) => setTimeout(done, ms));
export const clock = () => performance.timeOrigin + performance.now();

export const count = { passed: 0, failed: 0, skipped: 0 };

/** Thrown by a test that cannot run here; says why. */
export class Skipped extends Error {}

const words = [];
export const only = (list) => words.push(...list);

/** What a test opened, closed when it ends, however it ends. */
const cleanups = [];
export const afterwards = (what) => cleanups.push(what);

async function tidy() {
  for (const what of cleanups.splice(0).reverse()) await Promise.resolve(what()).catch(() => {});
}

/** One test, named after what it shows; a returned text is printed with it. */
export async function test(name, run, ofTimes = false) {
  if (strict && !ofTimes) return;
  if (words.length && !words.some((word) => name.includes(word))) return;
  try {
    const said = await run();
    ++count.passed;
    console.log(`ok - ${name}${said ? ` (${said})` : ''}`);
  } catch (error) {
    if (error instanceof Skipped) {
      ++count.skipped;
      console.log(`skipped - ${name}: ${error.message}`);
      return;
    }
    ++count.failed;
    console.log(`not ok - ${name}: ${String(error.stack || error).split('\n').slice(0, 4).join(' | ')}`);
  } finally {
    await tidy();
  }
}

/** Measured on a machine that does nothing else (measure.sh), a figure must keep its aim. In the suite other programs may
    hold the machine: there it fails only beyond a bound that no sane page comes near. */
export const strict = Boolean(process.env.REEDLAMP_STRICT);

class Late extends Error {}

export const tenth = (x) => Math.round(x * 10) / 10;

/** Holds a figure against its aim (and bound), and says both. */
export function within(value, aim, unit = 'ms', bound = 10 * aim) {
  if (!(value < (strict ? aim : bound))) throw new Late(`${value} ${unit}, aim ${aim}`);
  return `${tenth(value)} ${unit} (aim ${aim})`;
}

/** A test of times; in the suite one that was late has another try. */
export async function timed(name, run) {
  const once = async () => {
    try {
      return await run();
    } catch (error) {
      if (strict || !(error instanceof Late)) throw error;
      console.log(`again - ${name}: ${error.message}`);
      await tidy();
      await sleep(500);
      return run();
    }
  };
  await test(name, once, true);
}

export function demand(so, why) {
  if (!so) throw new Error(typeof why === 'string' ? why : JSON.stringify(why));
}

/** Waits until `ask` says yes, `most` ms and in the suite longer; the time it took. */
export async function until(ask, soonest, what) {
  const most = strict ? soonest : 5 * soonest;
  const from = performance.now();
  for (;;) {
    if (await ask()) return performance.now() - from;
    if (performance.now() - from > most) throw new Late(`not within ${most} ms: ${what}`);
    await sleep(15);
  }
}

export const part = (values, share) => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length ? sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] : NaN;
};

const children = new Set();

function start(program, args, env = {}) {
  const child = spawn(program, args, { stdio: ['pipe', 'pipe', 'pipe'], env: { ...process.env, ...env } });
  child.said = '';
  child.complained = '';
  child.stdout.on('data', (data) => { child.said += data; });
  child.stderr.on('data', (data) => { child.complained += data; });
  child.done = new Promise((done) => child.on('exit', (code, signal) => {
    children.delete(child);
    done(code === null ? signal : code);
  }));
  children.add(child);
  return child;
}

export function endAll() {
  for (const child of children) child.kill('SIGKILL');
}

/** The server; `address` as it prints it. */
export async function serve(build, args) {
  const server = start(`${build}/ui/page/reedlamp-page`, args);
  await Promise.race([until(() => server.said.includes('Waiting'), 4000, 'the server says that it waits'), server.done]);
  const found = /Open (http:\S+)/.exec(server.said);
  server.address = found ? found[1] : '';
  return server;
}

function listenTo(plugin) {
  plugin.log = [];
  createInterface({ input: plugin.stdout }).on('line', (line) => plugin.log.push(JSON.parse(line)));
  plugin.tell = (line) => plugin.stdin.write(`${line}\n`);
  return plugin;
}

const commandOf = (build, chart, port, args) => [`${build}/tests/page/live_plugin`, [chart, String(port), ...args], { RL_BUNDLES: `${build}/lv2` }];

/** The plugin in a host, live_plugin.c; what it says comes in `log`. */
export const startPlugin = (build, chart, port, args = []) => listenTo(start(...commandOf(build, chart, port, args)));

/** The same in a network namespace. */
export function startPluginIn(space, ...how) {
  const [program, args, env] = commandOf(...how);
  return listenTo(start('ip', ['netns', 'exec', space, program, ...args], env));
}

/** Runs a program to its end; what it said. */
export async function run(program, args) {
  const child = start(program, args);
  await new Promise((done) => child.on('close', done));
  return child.said;
}

/** Reads the stream of states as a browser does, each with the wall-clock time at which it came. */
export function read(address) {
  const reader = { states: [], open: false, ended: false };
  const request = http.get(`${address}news`, (answer) => {
    reader.open = answer.statusCode === 200;
    reader.status = answer.statusCode;
    let rest = '';
    answer.setEncoding('utf8');
    answer.on('data', (data) => {
      rest += data;
      for (let end; (end = rest.indexOf('\n\n')) >= 0; rest = rest.slice(end + 2)) {
        const found = /^data: (.*)$/m.exec(rest.slice(0, end));
        if (found) reader.states.push({ came: clock(), ...JSON.parse(found[1]) });
      }
    });
    answer.on('close', () => { reader.ended = true; });
  });
  request.on('error', () => { reader.ended = true; });
  reader.end = () => request.destroy();
  return reader;
}

/** How late the plugin's beats were in the messages to one reader, signed, in ms. */
export const messageLateness = (states, beats) => beats.map((beat) => {
  const found = states.find((x) => x.place && x.place[1] === beat.chorus && x.place[2] === beat.bar &&
    Math.abs(x.place[4] - beat.beat) < 0.02 && x.came > beat.at - 1000);
  return found ? found.came - beat.at : Infinity;
});

/** Sends bytes to a port and hears the answer until it closes, or for so long. */
export function say(host, port, bytes, most = 700) {
  return new Promise((done) => {
    const socket = net.connect(port, host);
    let answer = '';
    const end = () => {
      socket.destroy();
      done(answer);
    };
    const timer = setTimeout(end, most);
    socket.setEncoding('latin1');
    socket.on('data', (data) => { answer += data; });
    socket.on('close', () => {
      clearTimeout(timer);
      done(answer);
    });
    socket.on('error', () => {});
    socket.on('connect', () => socket.write(bytes));
  });
}

export const statusOf = (answer) => Number((/^HTTP\/1\.1 (\d+)/.exec(answer) || [0, 0])[1]);

/** A free port (until somebody else takes it). */
export const freePort = () => new Promise((done) => {
  const server = net.createServer().listen(0, '127.0.0.1', () => {
    const { port } = server.address();
    server.close(() => done(port));
  });
});
