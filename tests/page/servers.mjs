// SPDX-License-Identifier: ISC
/* The server against hostile clients and floods of packets. */
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import net from 'node:net';
import {
  afterwards, clock, demand, freePort, messageLateness, part, read, say, serve, sleep, statusOf, strict, test, timed, until, within,
} from './kit.mjs';
import { readCode } from './qr.mjs';

const memoryOf = (child) => Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${child.pid}/status`, 'utf8'))[1]) / 1024;
const ticksOf = (child) => {
  const fields = readFileSync(`/proc/${child.pid}/stat`, 'utf8').replace(/^.*\) /, '').split(' ');
  return Number(fields[11]) + Number(fields[12]);
};

const get = (path, host, more = '') => `GET ${path} HTTP/1.1\r\nHost: ${host}\r\n${more}Connection: close\r\n\r\n`;

async function manners({ stand }) {
  const s = await stand('twelve-bar');
  const host = `127.0.0.1:${s.web}`;
  const ask = (bytes, most) => say('127.0.0.1', s.web, bytes, most);
  const page = await ask(get('/', host));
  demand(statusOf(page) === 200, page.slice(0, 200));
  for (const header of ["Content-Security-Policy: default-src 'none'", 'X-Content-Type-Options: nosniff',
    'Referrer-Policy: no-referrer', 'Cross-Origin-Resource-Policy: same-origin']) {
    demand(page.toLowerCase().includes(header.toLowerCase()), `${header} is missing`);
  }
  const etag = /etag: (\S+)/i.exec(page)[1];
  demand(statusOf(await ask(get('/', host, `If-None-Match: ${etag}\r\n`))) === 304, 'not sent again');
  demand(statusOf(await ask(get('/', `LOCALHOST:${s.web}`))) === 200, 'localhost');
  const wrong = { 'a foreign name': get('/', 'example.org'), 'a foreign port': get('/', '127.0.0.1:1'),
    'our name in another': get('/', `${host}.example.org`), 'no name': 'GET / HTTP/1.1\r\n\r\n',
    'two names': `GET / HTTP/1.1\r\nHost: ${host}\r\nHost: ${host}\r\n\r\n`, 'an old browser': 'GET / HTTP/1.0\r\n\r\n' };
  for (const [what, bytes] of Object.entries(wrong)) {
    demand([400, 421].includes(statusOf(await ask(bytes))), what);
  }
  for (const path of ['/../../etc/passwd', '/%2e%2e/%2e%2e/etc/passwd', '//etc/passwd', '/page.js/', '/page.js%00.png', '/./page.js',
    '/news/', '/%6eews%2f', '/..%5c..%5c', '/favicon.ico', '/PAGE.JS', `/${'a'.repeat(3000)}`, '*', 'http://example.org/']) {
    const status = statusOf(await ask(get(path, host)));
    demand(path === '/page.js%00.png' ? [200, 404].includes(status) : [404, 400].includes(status), `${path}: ${status}`);
  }
  for (const method of ['POST', 'PUT', 'DELETE', 'OPTIONS', 'PATCH', 'TRACE']) {
    demand(statusOf(await ask(`${method} /news HTTP/1.1\r\nHost: ${host}\r\nContent-Length: 5\r\n\r\nhello`)) === 405, method);
  }
  demand(statusOf(await ask(`GET / HTTP/1.1\r\nHost: ${host}\r\nX: ${'y'.repeat(9000)}\r\n\r\n`)) >= 400, 'a header too long');
  demand(statusOf(await ask(get(`/${'z'.repeat(9000)}`, host))) >= 400, 'an address too long');
  demand(!/HTTP\/1\.1 200/.test(await ask(`GET /news\r\n\r\n`)), 'no version');
  const head = await ask(`HEAD /page.js HTTP/1.1\r\nHost: ${host}\r\nConnection: close\r\n\r\n`);
  demand(statusOf(head) === 200 && head.endsWith('\r\n\r\n'), 'HEAD has no body');
  s.server.kill('SIGINT');
  demand((await s.server.done) === 0 && s.server.complained === '', s.server.complained);
  s.plugin.tell('quit');
}

async function keyNeeded({ stand }) {
  const s = await stand('twelve-bar', [], ['--lan=127.0.0.2']);
  const host = `127.0.0.2:${s.web}`;
  const found = new RegExp(`^http://127\\.0\\.0\\.2:${s.web}/([a-z2-9]{12})/$`).exec(s.address);
  demand(found, s.address);
  const key = found[1];
  const other = key[0] === 'x' ? 'y' : 'x';
  const ask = (path) => say('127.0.0.2', s.web, get(path, host)).then(statusOf);
  for (const path of ['/', '/page.js', '/news', '/chart', '/plan', '/time', '/pupil.wasm', '/sheet.pdf?harp=0', `/${other}${key.slice(1)}/sheet.pdf?harp=0`, `/${key.slice(1)}/`, `/${other}${key.slice(1)}/`,
    `/${key}x/`, `/${key.toUpperCase()}/`, `//${key}/`, `/?${key}/`]) {
    demand((await ask(path)) === 404, path);
  }
  demand((await ask(`/${key}/`)) === 200 && (await ask(`/${key}/page.js`)) === 200, 'the right key');
  demand((await ask(`/${key}`)) === 302, 'without the slash');
  demand(statusOf(await say('127.0.0.2', s.web, get(`/${key}/`, 'example.org'))) === 421, 'the key alone is not enough');
  demand(statusOf(await say('127.0.0.1', s.web, get(`/${key}/`, host))) === 0, 'only at that address');
  demand(readCode(s.server.said) === s.address, readCode(s.server.said));
  const again = await stand('twelve-bar', [], ['--lan=127.0.0.2']);
  demand(!again.address.includes(key), 'another time, another key');
  for (const one of [s, again]) {
    one.server.kill();
    one.plugin.tell('quit');
  }
}

async function plainWords({ build }) {
  const [web, osc] = [await freePort(), await freePort()];
  const first = await serve(build, [`--port=${web}`, `--osc=${osc}`]);
  const taken = [[`--port=${web}`, `--osc=${await freePort()}`], [`--port=${await freePort()}`, `--osc=${osc}`], ['--port=0'],
    ['--port=99999'], ['--osc=here'], ['--lan=1.2.3'], ['--lan=localhost'], ['--what'], ['--host=']];
  for (const args of taken) {
    const child = await serve(build, args);
    const code = await child.done;
    demand(code === 1 && /^reedlamp-page: .+\n$/.test(child.complained), `${args}: ${code} ${child.complained}`);
  }
  first.kill('SIGTERM');
  demand((await first.done) === 0 && first.complained === '', first.complained);
}

/** How late messages to three readers were while something happens. */
async function undisturbed(s, what) {
  const readers = Array.from({ length: 3 }, () => read(s.address));
  afterwards(() => readers.forEach((r) => r.end()));
  await until(() => readers.every((r) => r.states.length), 2000, 'a message');
  const from = clock();
  await what();
  await sleep(300);
  const to = clock();
  const beats = s.plugin.log.filter((x) => x.at > from && x.at < to - 250);
  const late = readers.flatMap((r) => messageLateness(r.states, beats));
  demand(readers.every((r) => !r.ended), 'a reader was cut off');
  readers.forEach((r) => r.end());
  return { worst: part(late, 0.95), beats: beats.length };
}

const figures = (f) => {
  demand(f.beats > 1, `${f.beats} beats`);
  return `others: 95 % of ${f.beats} beats within ${within(f.worst, 60)}`;
};

async function neverRead(s) {
  const idle = [];
  const f = await undisturbed(s, async () => {
    for (let i = 0; i < 5; ++i) {
      const socket = net.connect(s.web, '127.0.0.1');
      socket.on('error', () => {});
      socket.pause();
      socket.write(get('/news', `127.0.0.1:${s.web}`));
      idle.push(socket);
    }
    for (let i = 0; i < 30; ++i) { /* and some who ask for everything, many times, and take nothing */
      const socket = net.connect(s.web, '127.0.0.1');
      socket.on('error', () => {});
      socket.pause();
      socket.write(`GET /stage.js HTTP/1.1\r\nHost: 127.0.0.1:${s.web}\r\n\r\n`.repeat(50));
      idle.push(socket);
    }
    await sleep(3000);
  });
  idle.forEach((socket) => socket.destroy());
  return figures(f);
}

async function vanish(s) {
  let count = 0;
  const f = await undisturbed(s, async () => {
    for (let round = 0; round < 20; ++round) {
      for (let i = 0; i < 50; ++i) {
        const socket = net.connect(s.web, '127.0.0.1');
        socket.on('error', () => {});
        socket.on('connect', () => {
          ++count;
          if (i % 3 === 1) socket.write('GET /ne');
          if (i % 3 === 2) socket.write(get('/news', `127.0.0.1:${s.web}`));
          if (i % 2) socket.resetAndDestroy();
          else socket.destroy();
        });
      }
      await sleep(110);
    }
  });
  demand(count > 900, `${count} connected`);
  const reader = read(s.address);
  await until(() => reader.states.length, 2000, 'a newcomer is served');
  reader.end();
  return `${count} of them; ${figures(f)}`;
}

async function slow(s) {
  const sockets = [];
  let closed = 0;
  for (let i = 0; i < 100; ++i) {
    const socket = net.connect(s.web, '127.0.0.1');
    socket.on('error', () => {});
    socket.on('close', () => { ++closed; });
    sockets.push(socket);
  }
  const drip = setInterval(() => sockets.forEach((socket) => !socket.destroyed && socket.write('G')), 500);
  let took = 0;
  const f = await undisturbed(s, async () => { took = await until(() => closed === 100, 12500, 'all shown out'); });
  clearInterval(drip);
  sockets.forEach((socket) => socket.destroy());
  return `100 shown out after ${Math.round(took)} ms; ${figures(f)}`;
}

/** From a process of its own, so that sender and readers do not wait for each other. */
async function flood(s) {
  const noise = spawn(process.execPath, [new URL('noise.mjs', import.meta.url).pathname, String(s.osc), '100']);
  const ended = new Promise((done) => noise.on('exit', done));
  let said = '';
  noise.stdout.on('data', (data) => { said += data; });
  const f = await undisturbed(s, () => ended);
  demand(said.endsWith('100 MB'), said);
  return `${said}; ${figures(f)}`;
}

async function cost(s) {
  const readers = Array.from({ length: 30 }, () => read(s.address));
  await until(() => readers.every((r) => r.states.length), 3000, 'messages for 30');
  const from = ticksOf(s.server);
  const began = performance.now();
  await sleep(strict ? 600000 : 5000);
  const share = (ticksOf(s.server) - from) * 10 / (performance.now() - began) * 100;
  const memory = memoryOf(s.server);
  demand(readers.every((r) => !r.ended), 'a reader was cut off');
  readers.forEach((r) => r.end());
  const seconds = Math.round((performance.now() - began) / 1000);
  return `30 clients for ${seconds} s, ${within(share, 3, '% of a core')}, ${within(memory, 20, 'MiB at most', 40)}`;
}

export async function serverTests(at) {
  await test('what_is_not_asked_politely_is_not_answered', () => manners(at));
  await test('on_the_network_nothing_is_served_without_the_key', () => keyNeeded(at));
  await test('what_is_wrong_is_said_in_one_line', () => plainWords(at));
  const s = await at.standFor('twelve-bar', ['tempo=240']);
  s.plugin.tell('roll');
  await timed('thirty_clients_cost_little', () => cost(s));
  await timed('clients_that_never_read_hold_up_nobody', () => neverRead(s));
  await timed('a_thousand_clients_that_vanish_hold_up_nobody', () => vanish(s));
  await timed('clients_that_never_finish_asking_are_shown_out', () => slow(s));
  await timed('a_hundred_megabytes_of_noise_are_not_heard', () => flood(s));
  await test('the_server_ends_cleanly_with_clients_connected', async () => {
    const reader = read(s.address);
    await until(() => reader.states.length, 2000, 'a message');
    const from = performance.now();
    s.server.kill('SIGINT');
    const code = await s.server.done;
    demand(code === 0 && s.server.complained === '', `${code} ${s.server.complained}`);
    return `${Math.round(performance.now() - from)} ms`;
  });
  s.plugin.tell('quit');
}
