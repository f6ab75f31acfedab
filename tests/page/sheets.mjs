// SPDX-License-Identifier: ISC
/* Lesson sheets from the server: the right one for each pupil, all of a class in time, and nobody held up by it. */
import { execFileSync } from 'node:child_process';
import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import net from 'node:net';
import { openPage } from './browser.mjs';
import {
  afterwards, clock, demand, freePort, messageLateness, part, read, say, serve, sleep, statusOf, test, timed, until, within,
} from './kit.mjs';

const SIZE = [360, 740];

/** What can be read in a PDF. */
function wordsOf(bytes, scratch) {
  const file = `${scratch}/asked.pdf`;
  writeFileSync(file, bytes);
  return execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
}

/** A sheet as it comes; what came instead is said. */
async function sheet(address, query) {
  const answer = await fetch(`${address}sheet.pdf?${query}`);
  const bytes = Buffer.from(await answer.arrayBuffer());
  demand(answer.status === 200 && bytes.subarray(0, 5).toString() === '%PDF-', `${query}: ${answer.status} ${bytes.subarray(0, 80)}`);
  demand(bytes.subarray(-6).toString() === '%%EOF\n', `${query}: not whole`);
  return { answer, bytes };
}

const chartKnown = async (address) => until(async () => (await (await fetch(`${address}chart`)).text()) !== '', 3000, 'the chart');

/** The children of the server that are still there. */
const childrenOf = (pid) => readdirSync('/proc').filter((name) => /^\d+$/.test(name)).filter((name) => {
  try {
    return Number(/^PPid:\s+(\d+)/m.exec(readFileSync(`/proc/${name}/status`, 'utf8'))[1]) === pid;
  } catch {
    return false; /* gone meanwhile */
  }
});

async function eachTheirs({ scratch }, s) {
  const { answer, bytes } = await sheet(s.address, 'harp=0');
  const header = (name) => answer.headers.get(name);
  demand(header('content-type') === 'application/pdf' && header('cache-control') === 'no-store' &&
    header('x-content-type-options') === 'nosniff', [...answer.headers]);
  demand(header('content-disposition') === 'attachment; filename="Ferry Street Slow Drag, C harp.pdf"', header('content-disposition'));
  const inC = wordsOf(bytes, scratch);
  demand(inC.includes('Ferry Street Slow Drag') && inC.includes('Rope on the Bollard') && inC.includes('2nd position'), inC.slice(0, 600));
  const inF = wordsOf((await sheet(s.address, 'harp=5&bends=1&blow_bends=0')).bytes, scratch);
  demand(inF.includes('3rd position') && !inF.includes('2nd position'), inF.slice(0, 600));
  const low = wordsOf((await sheet(s.address, 'tuning=2&register=-1&harp=0&overblows=1')).bytes, scratch);
  demand(low.includes('low') && low.includes('country') && low.includes('overblows'), low.slice(0, 600));
  const letter = (await sheet(s.address, 'harp=0&paper=letter')).bytes.toString('latin1');
  demand(letter.includes('[ 0 0 612 792 ]') && bytes.toString('latin1').includes('[ 0 0 595.27'), 'the paper');
  const head = await fetch(`${s.address}sheet.pdf?harp=0`, { method: 'HEAD' });
  demand(head.status === 200 && head.headers.get('content-type') === 'application/pdf' &&
    Number(head.headers.get('content-length')) > 10000 && (await head.text()) === '', [...head.headers]);
}

async function strictly(s) {
  const wrong = ['', 'harp', 'harp=', 'harp=12', 'harp=-1', 'harp=C', 'harp=0x1', 'harp=1.0', 'harp=+1', 'harp= 1', 'harp=0&harp=0', 'Harp=0',
    'register=0', 'harp=0&register=2', 'harp=0&register=-2', 'harp=0&register=--1', 'harp=0&tuning=6', 'harp=0&bends=4', 'harp=0&blow_bends=-1',
    'harp=0&overblows=2', 'harp=0&overblows', 'harp=0&paper=a5', 'harp=0&paper=A4', 'harp=0&paper=', 'harp=0&more=1', 'harp=0&=', 'harp=0%00',
    'harp=0%001', 'harp%00=0', 'harp=0&paper=letter%00', `harp=${'0'.repeat(900)}`, 'harp=99999999999999999999', 'harp=0;bends=1', 'harp=%ff'];
  for (const query of wrong) {
    const answer = await say('127.0.0.1', s.web, `GET /sheet.pdf?${query} HTTP/1.1\r\nHost: 127.0.0.1:${s.web}\r\nConnection: close\r\n\r\n`);
    demand(query === 'harp= 1' ? [400, 505].includes(statusOf(answer)) : statusOf(answer) === 400, `${query}: ${answer.slice(0, 40)}`);
    demand(query === 'harp= 1' || /Which harp\?.*man reedlamp-page/.test(answer), `${query}: ${answer}`);
  }
  const name = await say('127.0.0.1', s.web, 'GET /sheet.pdf?harp=0 HTTP/1.1\r\nHost: example.org\r\nConnection: close\r\n\r\n');
  demand(statusOf(name) === 421, name.slice(0, 40));
  const post = await say('127.0.0.1', s.web, `POST /sheet.pdf?harp=0 HTTP/1.1\r\nHost: 127.0.0.1:${s.web}\r\nContent-Length: 5\r\n\r\nhello`);
  demand(statusOf(post) === 405, post.slice(0, 40));
  return `${wrong.length} queries`;
}

/** How late messages to others are while something is drawn. */
async function meanwhile(s, what) {
  const readers = Array.from({ length: 3 }, () => read(s.address));
  await until(() => readers.every((r) => r.states.length), 2000, 'a message');
  const from = clock();
  const said = await what();
  await sleep(300);
  const to = clock();
  const beats = s.plugin.log.filter((x) => x.at > from && x.at < to - 250);
  const late = readers.flatMap((r) => messageLateness(r.states, beats));
  demand(readers.every((r) => !r.ended) && beats.length > 1, `${beats.length} beats`);
  readers.forEach((r) => r.end());
  return `${said}; others: 95 % of ${beats.length} beats within ${within(part(late, 0.95), 100)}`;
}

async function aClass(s) {
  return meanwhile(s, async () => {
    const from = performance.now();
    const took = await Promise.all(Array.from({ length: 30 }, async (_, i) => {
      await sheet(s.address, `harp=${i % 12}&bends=${i % 4}&tuning=${i % 6}&register=${i % 3 - 1}`);
      return performance.now() - from;
    }));
    return `30 sheets, the last after ${within(Math.max(...took), 8000)}`;
  });
}

/** More than can wait: some are told to come again, and the server goes on. */
async function tooMany(s) {
  const statuses = await Promise.all(Array.from({ length: 90 }, (_, i) => fetch(`${s.address}sheet.pdf?harp=${i % 12}`)
    .then(async (answer) => (await answer.arrayBuffer()) && answer.status)));
  const [good, busy] = [200, 503].map((status) => statuses.filter((x) => x === status).length);
  demand(good >= 64 && busy > 0 && good + busy === 90, statuses);
  return `${good} got theirs, ${busy} were told to come again`;
}

async function vanished(s) {
  for (let i = 0; i < 40; ++i) {
    const socket = net.connect(s.web, '127.0.0.1');
    socket.on('error', () => {});
    socket.write(`GET /sheet.pdf?harp=${i % 12} HTTP/1.1\r\nHost: 127.0.0.1:${s.web}\r\n\r\n`);
    await sleep(10);
    if (i % 2) socket.resetAndDestroy();
    else socket.destroy();
  }
  await sheet(s.address, 'harp=7');
  await until(() => childrenOf(s.server.pid).length === 0, 2000, 'no child is left');
}

async function longSong({ stand, scratch }) {
  const chords = ['I7', 'IV7', 'V7', 'ii7', 'VI7', 'bVII7', 'iii7', 'bIIImaj7'];
  const bars = Array.from({ length: 512 }, (_, i) => `| ${chords[i % 8]} ${chords[(i * 5 + 3) % 8]} `).join('');
  writeFileSync(`${scratch}/longest.chart`, `title: Fähre "Ans Ende"/.\nkey: Bb\n${bars}|\n`);
  const s = await stand(`${scratch}/longest.chart`, ['tempo=240']);
  await chartKnown(s.address);
  s.plugin.tell('roll');
  return meanwhile(s, async () => {
    const from = performance.now();
    const all = await Promise.all(Array.from({ length: 12 }, (_, harp) => sheet(s.address, `harp=${harp}`)));
    const name = all[0].answer.headers.get('content-disposition');
    demand(name === 'attachment; filename="F--hre -Ans Ende--, C harp.pdf"', name);
    return `twelve of 512 bars, ${all[0].bytes.length >> 10} KiB each, in ${within(performance.now() - from, 8000)}`;
  });
}

async function endsMeanwhile({ stand }) {
  const s = await stand('twelve-bar');
  await chartKnown(s.address);
  const asked = Array.from({ length: 12 }, () => fetch(`${s.address}sheet.pdf?harp=0`).then((a) => a.arrayBuffer()).catch(() => null));
  await until(() => childrenOf(s.server.pid).length > 0, 2000, 'a child draws');
  const [child] = childrenOf(s.server.pid);
  s.server.kill('SIGINT');
  demand((await s.server.done) === 0 && s.server.complained === '', s.server.complained);
  await Promise.all(asked);
  demand(!child || !readdirSync('/proc').includes(child), 'its child is gone too');
}

async function fromThePage({ browser, scratch }, s) {
  const page = await openPage(browser, s.address, SIZE);
  const fetched = async () => {
    await page.click('#change');
    const [download] = await Promise.all([page.waitForEvent('download'), page.click('#sheet')]);
    await page.click('#settings button:not([type])');
    return [download.suggestedFilename(), wordsOf(readFileSync(await download.path()), scratch)];
  };
  await page.waitForFunction(() => !document.getElementById('sheet').hidden);
  const [firstName, first] = await fetched();
  demand(firstName === 'Ferry Street Slow Drag, C harp.pdf' && first.includes('2nd position'), firstName);
  await page.click('#change');
  await page.selectOption('select[name=key]', '5');
  await page.screenshot({ path: `${scratch}/page-sheet.png` });
  await page.click('#settings button:not([type])');
  const [ownName, own] = await fetched();
  demand(ownName === 'Ferry Street Slow Drag, F harp.pdf' && own.includes('3rd position'), ownName);
  demand((await page.evaluate(() => document.getElementById('sheet').href)).endsWith('paper=letter'), 'the paper of en-US');
  demand(!page.problems.length, page.problems);
  await page.context().close();
}

async function noChart({ browser, build }) {
  const server = await serve(build, [`--port=${await freePort()}`, `--osc=${await freePort()}`]);
  afterwards(() => server.kill());
  const answer = await fetch(`${server.address}sheet.pdf?harp=0`);
  demand(answer.status === 404 && (await answer.text()).includes('no chart'), answer.status);
  const page = await openPage(browser, server.address, SIZE);
  await page.click('#change');
  demand(await page.isHidden('#sheet'), 'no button yet');
  await page.context().close();
}

export async function sheetTests(at) {
  const plan = `${at.top}/presets/plans/ferry-street-slow-drag.plan`;
  await test('without_a_chart_there_is_no_sheet', () => noChart(at));
  const s = await at.standFor('twelve-bar-slow-drag', ['tempo=240', `plan=${plan}`]);
  await chartKnown(s.address);
  await until(async () => (await (await fetch(`${s.address}plan`)).text()) !== '', 3000, 'the plan');
  await test('each_pupil_gets_the_sheet_for_their_harp', () => eachTheirs(at, s));
  await test('a_sheet_is_asked_for_as_it_must_be', () => strictly(s));
  await test('a_sheet_is_loaded_from_the_page', () => fromThePage(at, s));
  s.plugin.tell('roll');
  await timed('a_class_gets_its_sheets_and_holds_up_nobody', () => aClass(s));
  await test('more_sheets_than_can_wait_are_refused_in_words', () => tooMany(s));
  await test('who_asks_for_a_sheet_and_leaves_leaves_nothing', () => vanished(s));
  s.server.kill();
  s.plugin.tell('quit');
  await timed('the_longest_song_holds_up_nobody', () => longSong(at));
  await test('the_server_ends_while_a_sheet_is_drawn', () => endsMeanwhile(at));
}
