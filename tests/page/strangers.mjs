// SPDX-License-Identifier: ISC
/* Who has no key, or too many questions: words typed at the door, wrong ones, keys kept, limits, and what an attacker does. */
import { spawn } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import net from 'node:net';
import { openPage } from './browser.mjs';
import {
  Skipped, afterwards, demand, freePort, messageLateness, part, read, run, say, serve, sleep, startPlugin, statusOf, strict, test, timed, until, within,
} from './kit.mjs';

const get = (path, host, more = '') => `GET ${path} HTTP/1.1\r\nHost: ${host}\r\n${more}Connection: close\r\n\r\n`;
const filesOf = (child) => readdirSync(`/proc/${child.pid}/fd`).length;
const locationOf = (answer) => (/^location: (\S+)/im.exec(answer) || [])[1];
const keyOf = (said) => /--key=(\S+)/.exec(said)[1];
const wordsOf = (said) => keyOf(said).split('-').slice(1);

/** A server that needs a key, at an address of this machine that counts as its own network's. */
async function keyed(at, ...more) {
  const s = await at.stand('twelve-bar', [], ['--lan=127.0.0.2', ...more]);
  s.host = `127.0.0.2:${s.web}`;
  s.key = keyOf(s.server.said).split('-')[0];
  s.ask = (path, header) => say('127.0.0.2', s.web, get(path, s.host, header));
  return s;
}

/** Somebody opens the bare address on a phone and types the words, wrong ones first. */
async function typed(at) {
  const s = await keyed(at);
  const words = wordsOf(s.server.said);
  demand(words.length === 4 && s.server.said.includes(`type: ${words.join(' ')}\n`), s.server.said);
  const context = await at.browser.newContext({ viewport: { width: 360, height: 740 } });
  afterwards(() => context.close());
  const page = await context.newPage();
  const problems = [];
  page.on('console', (message) => {
    if (message.type() === 'error' && !/status of 404/.test(message.text())) problems.push(message.text());
  });
  await page.goto(`http://${s.host}/`);
  await page.screenshot({ path: `${at.scratch}/page-door.png` });
  await page.fill('#words', 'acorn actor album zone');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.body.textContent.includes('These are not the words'));
  await page.fill('#words', ` ${words.join(' ').toUpperCase()}.`);
  await page.click('button');
  await page.waitForFunction(() => globalThis.reedlamp);
  demand(page.url() === s.address, page.url());
  demand(!problems.length, problems);
  for (const path of [`/${words.join('-')}`, `/${words.join('%20')}/`, `/?words=${words.join('+')}`]) {
    const answer = await s.ask(path);
    demand(statusOf(answer) === 302 && locationOf(answer) === `/${s.key}/`, `${path}: ${answer.slice(0, 200)}`);
  }
}

async function wrongWords(at) {
  const s = await keyed(at);
  const words = wordsOf(s.server.said).join('-');
  const from = (n) => `X-Forwarded-For: 203.0.113.200, 192.0.2.${n}\r\n`;
  const page = read(s.address);
  let slowed = 0;
  let looked = 0;
  for (let i = 0; i < 200; ++i) {
    const answer = await s.ask('/acorn-actor-album-zone', from(7));
    const status = statusOf(answer);
    demand([404, 429].includes(status), answer);
    if (status === 429) {
      const wait = Number(/^retry-after: (\d+)/im.exec(answer)[1]);
      demand(wait >= 1 && wait <= 6, answer);
      ++slowed;
    } else ++looked;
  }
  demand(looked >= 4 && looked < 15 && slowed > 180, `${looked} looked at, ${slowed} not`);
  demand(statusOf(await s.ask(`/${words}`, from(7))) === 429, 'who guesses is not told either');
  demand(statusOf(await s.ask(`/${words}`, from(8))) === 302, 'others are');
  demand(statusOf(await s.ask(`/${s.key}/`, from(7))) === 200, 'the key of letters goes on');
  demand(statusOf(await s.ask('/', from(7))) === 404, 'the door stands there');
  await until(() => page.states.length > 0 && !page.ended, 1000, 'the stream goes on');
  page.end();
  await until(async () => statusOf(await s.ask(`/${words}`, from(7))) === 302, 7000, 'and after some seconds again');
  return `${looked} of 200 looked at`;
}

/** The address stays the same another time, and with another server. */
async function keyKept(at) {
  const first = await keyed(at);
  const key = keyOf(first.server.said);
  const port = await freePort();
  const again = await serve(at.build, ['--lan=127.0.0.3', `--port=${port}`, `--osc=${await freePort()}`, `--key=${key}`]);
  afterwards(() => again.kill());
  demand(again.address === `http://127.0.0.3:${port}/${first.key}/` && keyOf(again.said) === key, again.said);
  const behind = await serve(at.build, [`--port=${await freePort()}`, `--osc=${await freePort()}`, `--key=${key}`]);
  afterwards(() => behind.kill());
  const { host, port: own } = new URL(behind.address);
  demand(behind.address.endsWith(`/${first.key}/`), 'a key without --lan');
  demand(statusOf(await say('127.0.0.1', own, get('/news', host))) === 404, 'is needed');
  demand(statusOf(await say('127.0.0.1', own, get(`/${first.key}/`, host))) === 200, 'and works');
}

/** One line when the plugin comes, falls silent, and returns. */
async function announced(at) {
  const osc = await freePort();
  const server = await serve(at.build, [`--port=${await freePort()}`, `--osc=${osc}`]);
  afterwards(() => server.kill());
  const lines = () => server.said.split('\n').slice(0, -1).filter((line) => /plugin (is|for)/.test(line)).length;
  await sleep(300);
  demand(lines() === 0, server.said);
  const plugin = startPlugin(at.build, at.chart('twelve-bar'), osc, ['delay=0']);
  afterwards(() => plugin.kill());
  await until(() => server.said.includes('The plugin is heard.\n'), 3000, 'it comes');
  plugin.tell('mute');
  await until(() => server.said.includes('Nothing from the plugin for 5 seconds.'), 8000, 'it is silent');
  plugin.tell('mute');
  await until(() => server.said.includes('The plugin is heard again.\n'), 4000, 'it is back');
  await sleep(2500);
  demand(lines() === 3, server.said);
}

/** Is there room for as many as were asked for, and a word where the system does not allow it? */
async function readers(at) {
  const args = async (n) => [`--port=${await freePort()}`, `--osc=${await freePort()}`, `--readers=${n}`];
  const few = await serve(at.build, await args(2));
  afterwards(() => few.kill());
  const two = [read(few.address), read(few.address)];
  await until(() => two.every((r) => r.states.length), 2000, 'two are told');
  const third = read(few.address);
  await until(() => third.status === 503, 2000, 'the third is refused');
  two[0].end();
  await until(() => {
    const next = read(few.address);
    afterwards(() => next.end());
    return sleep(100).then(() => next.states.length > 0);
  }, 4000, 'whose place is free after one has gone');
  const files = async (limits, n) => {
    const child = spawn('sh', ['-c', `${limits}; exec "$0" "$@"`, `${at.build}/ui/page/reedlamp-page`, ...await args(n)]);
    afterwards(() => child.kill());
    child.said = '';
    for (const pipe of [child.stdout, child.stderr]) pipe.on('data', (data) => { child.said += data; });
    const ended = new Promise((done) => child.on('exit', done));
    await Promise.race([until(() => child.said.includes('Waiting'), 3000, 'it waits'), ended]);
    return child.said;
  };
  const raised = await files('ulimit -S -n 256', 1000);
  demand(raised.includes('Waiting'), raised);
  const low = await files('ulimit -n 1024', 1000);
  demand(/^reedlamp-page: --readers=1000 needs 2200 open files: this system allows 1024; .*fewer readers.*\n$/.test(low), low);
}

/** Behind a proxy a phone's stream may be one server's, and its next question another's. */
async function anotherServer(at) {
  const s = await at.stand('twelve-bar');
  const page = await openPage(at.browser, s.address, [360, 740]);
  const trips = () => page.evaluate(() => globalThis.reedlamp.clock.trips.length);
  await until(async () => (await trips()) >= 5, 4000, 'the clock is asked');
  const { chart, own, other } = await page.evaluate(async () => {
    const { stream, clock, follower } = globalThis.reedlamp;
    const [sum] = follower.state.sums;
    const status = async (what) => (await fetch(what)).status;
    clock.forget();
    await stream.askTime();
    const own = clock.trips.length;
    stream.from ^= 1;
    clock.forget();
    await stream.askTime();
    return { own, other: clock.trips.length, chart: [await status(`chart?sum=${sum}`), await status(`chart?sum=${sum + 1}`), await status('chart')] };
  });
  demand(own === 1 && other === 0, `${own} and ${other} answers of a clock are used`);
  demand(chart[0] === 200 && chart[1] === 404 && chart[2] === 200, chart);
}

/** How late messages to three readers were while something happens. */
async function undisturbed(s, what) {
  const three = Array.from({ length: 3 }, () => read(s.address));
  afterwards(() => three.forEach((r) => r.end()));
  await until(() => three.every((r) => r.states.length), 2000, 'a message');
  const from = performance.timeOrigin + performance.now();
  await what();
  await sleep(300);
  const to = performance.timeOrigin + performance.now();
  const beats = s.plugin.log.filter((x) => x.at > from && x.at < to - 250);
  demand(three.every((r) => !r.ended), 'a reader was cut off');
  demand(beats.length > 1, `${beats.length} beats of ${s.plugin.log.length} in ${to - from} ms`);
  return `others: 95 % of ${beats.length} beats within ${within(part(three.flatMap((r) => messageLateness(r.states, beats)), 0.95), 60)}`;
}

/** From one address, ten thousand connections, a hundred at a time, some of them half-open for a while. */
async function tenThousand(s) {
  const before = filesOf(s.server);
  let connected = 0;
  const said = await undisturbed(s, async () => {
    for (let round = 0; round < 100; ++round) {
      const sockets = Array.from({ length: 100 }, (_, i) => {
        const socket = net.connect({ port: s.web, host: '127.0.0.1', localAddress: `127.0.1.${1 + round % 5}` });
        socket.on('error', () => {});
        socket.on('connect', () => {
          ++connected;
          if (i % 2) socket.write(i % 4 === 1 ? 'GET / HT' : `GET / HTTP/1.1\r\nHost: x\r\nX: ${'y'.repeat(20000)}\r\n\r\n`);
        });
        return socket;
      });
      await sleep(30);
      sockets.forEach((socket, i) => (i % 3 ? socket.destroy() : socket.resetAndDestroy()));
    }
  });
  demand(connected > 8000, `${connected} connected`);
  await until(() => filesOf(s.server) <= before + 3, 15000, 'their sockets are closed');
  return `${connected} of them; ${said}`;
}

async function hugeHeaders(s) {
  const host = `127.0.0.1:${s.web}`;
  const many = Array.from({ length: 2000 }, (_, i) => `X-${i}: ${'z'.repeat(40)}`).join('\r\n');
  const answers = [];
  const said = await undisturbed(s, async () => {
    for (const bytes of [`GET / HTTP/1.1\r\nHost: ${host}\r\n${many}\r\n\r\n`, `GET / HTTP/1.1\r\nHost: ${host}\r\nCookie: ${'c'.repeat(1 << 20)}\r\n\r\n`,
      `GET /?words=${'w'.repeat(100000)} HTTP/1.1\r\nHost: ${host}\r\n\r\n`, `${'G'.repeat(1 << 20)}`, `GET / HTTP/1.1\r\n${' '.repeat(70000)}`,
      `POST / HTTP/1.1\r\nHost: ${host}\r\nContent-Length: 999999999999\r\n\r\n${'p'.repeat(1 << 20)}`,
      `GET / HTTP/1.1\r\nHost: ${host}\r\nX-Forwarded-For: ${'1.2.3.4,'.repeat(900)}\r\n\r\n`]) {
      answers.push(statusOf(await say('127.0.0.1', s.web, bytes, 400)));
      await sleep(200);
    }
  });
  demand(answers.every((status) => status === 0 || status >= 400), answers);
  demand(statusOf(await say('127.0.0.1', s.web, get('/', host))) === 200, 'it goes on');
  const memory = Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${s.server.pid}/status`, 'utf8'))[1]) / 1024;
  return `${within(memory, 20, 'MiB at most', 40)}; ${said}`;
}

/** Ninety phones, three servers, nginx: see hall.sh for a thousand. */
async function smallHall(at) {
  const script = new URL('hall.sh', import.meta.url).pathname;
  const said = await run('sh', [script, at.build, ...(strict ? ['1000', '20'] : ['90', '4'])]);
  const last = said.trim().split('\n').at(-1) || '';
  if (!last.startsWith('{')) throw new Skipped(last);
  const found = JSON.parse(last);
  demand(!found.problems.length, found.problems);
  return `beats ${found.steady.p95} ms late (95 %), ${found.killed.lost} cut off and back after ${found.killed.away} s`;
}

export async function strangerTests(at) {
  await test('four_words_open_the_page', () => typed(at));
  await test('wrong_words_are_slowed_down_and_lock_nobody_out', () => wrongWords(at));
  await test('a_kept_key_keeps_the_address', () => keyKept(at));
  await test('the_server_says_when_the_plugin_comes_and_goes', () => announced(at));
  await test('another_servers_clock_and_chart_are_not_taken', () => anotherServer(at));
  await test('as_many_readers_as_were_asked_for', () => readers(at));
  const s = await at.standFor('twelve-bar', ['tempo=240']);
  s.plugin.tell('roll');
  await timed('ten_thousand_connections_hold_up_nobody', () => tenThousand(s));
  await timed('huge_headers_are_refused', () => hugeHeaders(s));
  s.server.kill();
  s.plugin.tell('quit');
  await timed('a_hall_loses_nobody_when_a_server_dies', () => smallHall(at));
}
