// SPDX-License-Identifier: ISC
/* The page as it is seen, touched, used by keyboard and read aloud. */
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFileSync, statSync, writeFileSync } from 'node:fs';
import net from 'node:net';
import { lampOf, litLamps, openPage, statusOf, textOf } from './browser.mjs';
import { demand, part, read, serve, sleep, strict, test, timed, until, within } from './kit.mjs';
import { allLamps } from './lamps.mjs';

const SIZES = [[360, 740], [1024, 768]];

async function sameLamps({ build, browser, stand }) {
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, SIZES[0]);
  const qualities = String(execFileSync(`${build}/tests/page/pupil_dump`, ['qualities'])).split('\n').slice(0, -1);
  const theirs = await page.evaluate(`(${allLamps})(${JSON.stringify(qualities)})`);
  const bytes = execFileSync(`${build}/tests/page/pupil_dump`, { maxBuffer: 1 << 28 });
  const chunk = bytes.length / theirs.digests.length;
  theirs.digests.forEach((digest, i) => {
    const ours = createHash('sha256').update(bytes.subarray(i * chunk, (i + 1) * chunk)).digest('hex');
    demand(ours === digest, `part ${i} differs`);
  });
  s.server.kill();
  s.plugin.tell('quit');
  return `${bytes.length / 10} lamps, ${theirs.qualities} qualities`;
}

async function opens({ browser, standFor, scratch }) {
  const s = await standFor('twelve-bar-slow-drag', ['delay=0']); /* so that it can be muted */
  s.plugin.tell('roll');
  for (const size of SIZES) {
    const page = await openPage(browser, s.address, size);
    await until(async () => (await statusOf(page)) === 'playing', 3000, 'playing');
    await until(async () => (await litLamps(page)) > 8, 2000, 'lamps');
    await until(async () => (await textOf(page, 'title')) === 'Ferry Street Slow Drag', 2000, 'the title'); /* with the chart, after the news */
    const fits = await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth &&
      document.documentElement.scrollHeight <= innerHeight);
    demand(fits, 'it is larger than the screen');
    await page.screenshot({ path: `${scratch}/page-${size.join('x')}.png` });
    demand(!page.problems.length, page.problems);
    await page.context().close();
  }
  return s;
}

async function knownLamps({ browser }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  s.plugin.tell('stop');
  s.plugin.tell('bar 8');
  await until(async () => (await textOf(page, 'now-name')) === 'E7', 2000, 'E7 in bar 8');
  await sleep(200);
  const wanted = { '6-draw1': ['third', '3'], '2-blow': ['root', 'R'], '1-draw': ['third', 'b7'], '3-draw': ['chord', '5'],
    '2-draw1': ['safe', '9'], '1-draw1': ['blue', '13'], '5-draw': ['rub', 'b9'] };
  for (const [id, [glass, figure]] of Object.entries(wanted)) {
    const lamp = await lampOf(page, id);
    demand(lamp && lamp.glass === glass && lamp.figure === figure, `${id}: ${JSON.stringify(lamp)}`);
  }
  demand((await textOf(page, 'next-name')) === 'Am7', 'the next chord');
  await page.context().close();
}

async function ownHarp({ browser, scratch }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  demand((await textOf(page, 'whose')) === "the teacher's harp", 'at first the harp of the band');
  await page.click('#change');
  await page.selectOption('select[name=key]', '5');
  await page.selectOption('select[name=draws]', '1');
  await page.selectOption('select[name=blows]', '0');
  await page.screenshot({ path: `${scratch}/page-my-harp.png` });
  await page.click('#settings button:not([type])');
  await until(async () => (await textOf(page, 'harp')) === 'F, 3rd position', 2000, 'F in the third position');
  demand((await lampOf(page, '3-draw2')).reached === false, 'a deep bend is out of reach');
  await page.reload();
  await page.waitForFunction(() => globalThis.reedlamp);
  await until(async () => (await textOf(page, 'harp')) === 'F, 3rd position', 2000, 'remembered');
  demand((await textOf(page, 'whose')) === 'my harp', 'mine');
  demand((await lampOf(page, '3-draw2')).reached === false, 'remembered bends');
  await page.evaluate(() => localStorage.setItem('reedlamp.mine', '{"key":"<b>","tuning":99,"draws":null'));
  await page.reload();
  await page.waitForFunction(() => globalThis.reedlamp);
  demand(!page.problems.length, page.problems);
  await page.context().close();
}

/** Where no lamp stands, a row's word may: in no tuning does it meet what is said of now. */
async function clearCorners({ browser, scratch }, s) {
  const page = await openPage(browser, s.address, SIZES[1]);
  for (let i = 0; i < 12; ++i) {
    await page.click('#change');
    await page.selectOption('select[name=tuning]', String(i % 6));
    await page.setChecked('input[name=overblows]', i >= 6);
    await page.click('#settings button:not([type])');
    await until(async () => (await litLamps(page)) > 8, 3000, 'lamps');
    const met = await page.evaluate(() => {
      const words = [...document.querySelectorAll('#under text')].map((text) => [text.textContent, text.getBoundingClientRect()]);
      return ['now-name', 'now-bar', 'now-chorus'].flatMap((id) => {
        const a = document.getElementById(id).getBoundingClientRect();
        return words.filter(([, b]) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
          .map(([word]) => `${id} and ${word}`);
      });
    });
    if (i === 3) await page.screenshot({ path: `${scratch}/page-natural-minor.png` });
    demand(!met.length, `tuning ${i % 6}${i < 6 ? '' : ', overblows'}: ${met}`);
  }
  await page.context().close();
}

async function byKeyboard({ browser }, s) {
  const page = await openPage(browser, s.address, SIZES[1]);
  const focused = () => page.evaluate(() => document.activeElement.id || document.activeElement.name || '');
  const stops = [];
  for (let i = 0; i < 3 && !stops.includes('change'); ++i) {
    await page.keyboard.press('Tab');
    stops.push(await focused());
  }
  demand(stops.includes('change'), stops);
  await page.keyboard.press('Enter');
  await page.waitForSelector('dialog[open]');
  demand((await focused()) === 'key', await focused());
  await page.keyboard.press('g'); /* a list takes its first letter */
  await page.keyboard.press('Escape');
  await until(async () => !(await page.$('dialog[open]')), 1000, 'closed by Escape');
  demand((await focused()) === 'change', 'and back where it was');
  await until(async () => (await textOf(page, 'harp')) === 'G, 1st position', 2000, 'G in the first position');
  await page.context().close();
}

async function bySound({ browser }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  s.plugin.tell('bar 8');
  await until(async () => /^E7.*land on/.test(await textOf(page, 'say')), 3000, 'the chord is said');
  const said = await textOf(page, 'say');
  demand(/E7, bar 8 of 12, chorus 1\. Next A minor 7, land on \d+ (blow|draw)/.test(said), said);
  const worth = await page.evaluate(() => document.getElementById('worth').innerText || document.getElementById('worth').textContent);
  demand(worth.includes('6 draw, bend ½: 3') && worth.includes('2 blow: root'), worth);
  const roles = await page.evaluate(() => ({ live: document.getElementById('say').getAttribute('aria-live'),
    bar: document.querySelector('#chart [aria-current]')?.getAttribute('aria-label'),
    unnamed: [...document.querySelectorAll('button,select,input')].filter((e) => !(e.textContent.trim() ||
      e.closest('label')?.textContent.trim())).length }));
  demand(roles.live === 'polite' && roles.bar === 'bar 8: E7' && roles.unnamed === 0, roles);
  await page.context().close();
}

/** First paint of an address at a quarter of the speed, in ms, and what it took over the network. */
async function paintOf(browser, address, ready) {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  const page = await context.newPage();
  const devtools = await context.newCDPSession(page);
  let bytes = 0;
  await devtools.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await devtools.send('Network.enable');
  devtools.on('Network.dataReceived', (data) => { bytes += data.dataLength; });
  await page.goto(address);
  await page.waitForFunction(() => performance.getEntriesByName('first-contentful-paint').length);
  if (ready) await page.waitForFunction(() => globalThis.reedlamp);
  await sleep(300);
  const paint = await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0].startTime);
  await context.close();
  return { paint, bytes };
}

/** In the middle of several (in the suite the better of two), beside what a bare picture takes. */
async function quick({ browser }, s) {
  const bare = [];
  const full = [];
  for (let i = 0; i < (strict ? 7 : 2); ++i) {
    bare.push((await paintOf(browser, `${s.address}icon.svg`, false)).paint);
    full.push(await paintOf(browser, s.address, true));
  }
  const bytes = Math.max(...full.map((x) => x.bytes));
  demand(bytes > 50000 && bytes < 150 * 1024, `${bytes} bytes`);
  return `first paint ${within(part(full.map((x) => x.paint), strict ? 0.5 : 0), 1000)} at a quarter of the speed, of a bare picture ${
    Math.round(part(bare, 0.5))} ms; ${(bytes / 1024).toFixed(0)} KiB in all`;
}

async function comesBack({ browser, build, scratch }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  s.plugin.tell('roll');
  await until(async () => (await statusOf(page)) === 'playing', 3000, 'playing');
  s.server.kill('SIGTERM');
  const code = await s.server.done;
  demand(code === 0, `the server ended with ${code}`);
  const noticed = await until(async () => (await statusOf(page)) === 'gone', 6000, 'the page says so');
  demand((await textOf(page, 'status')) === 'no connection', 'in words');
  await page.screenshot({ path: `${scratch}/page-gone.png` });
  s.server = await serve(build, s.args);
  const back = await until(async () => (await statusOf(page)) === 'playing', 4500, 'back');
  await page.context().close();
  return `said after ${within(noticed, 6000)}, back ${within(back, 3000)} after the server`;
}

/** A port where connections are taken and nothing is said, as of a machine that has just gone. */
const deadPort = (port) => new Promise((done) => {
  const sockets = [];
  const server = net.createServer((socket) => {
    sockets.push(socket);
    socket.on('error', () => {});
  }).listen(port, '127.0.0.1', () => done({ free: () => new Promise((closed) => {
    server.close(() => {}); /* the port; connections stay as they are */
    setTimeout(closed, 20);
  }), end: () => sockets.forEach((socket) => socket.destroy()) }));
});

/** Killed, ended, or gone without a word, for a short while or a long one: the page is back soon after there is a server. */
async function backAfterAnyRestart({ browser, build }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  const connected = () => page.evaluate(() => globalThis.reedlamp.stream.connected);
  s.plugin.tell('roll');
  const took = [];
  for (const [signal, down, dead] of [['SIGKILL', 60, false], ['SIGTERM', 1500, false], ['SIGKILL', 5200, false], ['SIGKILL', 1000, true],
    ['SIGKILL', 3300, true], ['SIGKILL', 6700, true]]) {
    await until(async () => (await connected()) && (await statusOf(page)) === 'playing', 5000, 'playing');
    s.server.kill(signal);
    await s.server.done;
    const hole = dead ? await deadPort(s.web) : null;
    await sleep(down);
    if (hole) await hole.free();
    s.server = await serve(build, s.args);
    took.push(await until(async () => (await connected()) && (await statusOf(page)) === 'playing', 12000, 'back'));
    if (hole) hole.end();
  }
  await page.context().close();
  return `${took.map(Math.round).join(', ')} ms; ${within(Math.max(...took), 3000, 'ms', 5000)}`;
}

async function saysSilence({ browser, scratch }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  await until(async () => (await litLamps(page)) > 8, 3000, 'lamps');
  s.plugin.tell('mute');
  const noticed = await until(async () => (await statusOf(page)) === 'silent', 8000, 'silence is said');
  await sleep(200);
  demand((await litLamps(page)) === 0, 'the lamps are out');
  demand((await page.evaluate(() => document.getElementById('stage').textContent)).includes('No signal'), 'in words');
  const cut = await page.evaluate(() => { const h = document.getElementById('title'); return h.scrollWidth - h.clientWidth; });
  demand(cut <= 0, `the title is cut by ${cut} pixels`);
  await page.screenshot({ path: `${scratch}/page-silent.png` });
  s.plugin.tell('mute');
  const back = await until(async () => (await litLamps(page)) > 8, 4000, 'lamps again');
  await page.context().close();
  return `said after ${within(noticed, 6000)}, back after ${within(back, 3000)}`;
}

async function offAndOn({ browser }, s) {
  const page = await openPage(browser, s.address, SIZES[0]);
  await until(async () => (await litLamps(page)) > 8, 3000, 'lamps');
  s.plugin.tell('off');
  const out = await until(async () => (await litLamps(page)) === 0, 1000, 'out');
  s.plugin.tell('on');
  await until(async () => (await litLamps(page)) > 8, 1000, 'on');
  await page.context().close();
  return `out after ${within(out, 300)}`;
}

/** A chart that comes in several packets; switched off and on again, also on the beat. */
async function longChart({ stand, scratch }) {
  const file = `${scratch}/long.chart`;
  const bars = Array.from({ length: 64 }, (_, i) => `${i % 8 ? '' : `[part ${i}]\n`}| I7 IV7 |\n`).join('');
  writeFileSync(file, `title: In Parts\nkey: G\nwords: ${'la '.repeat(1200)}\n${bars}`);
  const s = await stand(file, ['tempo=240']);
  const reader = read(s.address);
  await until(() => reader.states.at(-1)?.chart === 1, 2000, 'the whole chart');
  const text = await (await fetch(`${s.address}chart`)).text();
  demand(text === readFileSync(file, 'utf8'), `${text.length} bytes`);
  s.plugin.tell('roll');
  for (let i = 0; i < 12; ++i) {
    s.plugin.tell('off');
    await until(() => reader.states.at(-1).lit === false, 1000, `dark, time ${i}`);
    s.plugin.tell('on');
    await until(() => reader.states.at(-1).lit === true, 1000, `lit, time ${i}`);
    await sleep(83 * (i % 3));
  }
  reader.end();
  return `${text.length} bytes`;
}

/** Names and titles are words, never anything else. */
async function onlyWords({ browser, stand, scratch }) {
  const file = `${scratch}/nasty.chart`;
  writeFileSync(file, 'title: <img src=x onerror="document.title=1"><script>document.title=2</script>\nkey: Bb\n[<b>verse</b>]\n| I7 | bIIImaj7 N.C. | %\n');
  const s = await stand(file);
  const page = await openPage(browser, s.address, SIZES[1]);
  await until(async () => (await textOf(page, 'title')).includes('<img src=x'), 3000, 'the title as it was written');
  const found = await page.evaluate(() => document.querySelectorAll('body img, body script, #chart b').length);
  demand(found === 0 && !page.problems.length, page.problems);
  await page.context().close();
  s.server.kill();
  s.plugin.tell('quit');
}

export async function pageTests(at) {
  const wasm = statSync(`${at.build}/ui/page/pupil.wasm`).size;
  await test('the_core_for_phones_is_small', () => {
    demand(wasm < 64 * 1024, `${wasm} bytes`);
    return `${(wasm / 1024).toFixed(1)} KiB`;
  });
  await test('the_lamps_of_the_page_are_those_of_the_plugin', () => sameLamps(at));
  let s = null;
  await test('the_page_opens_from_the_printed_address_on_phone_and_tablet', async () => {
    s = await opens(at);
  });
  if (!s) s = await at.standFor('twelve-bar-slow-drag', ['delay=0']);
  await test('the_lamps_over_e7_are_the_ones_the_readme_says', () => knownLamps(at, s));
  await test('each_pupil_chooses_a_harp_and_the_phone_remembers_it', () => ownHarp(at, s));
  await test('no_word_of_a_row_meets_what_sounds_now', () => clearCorners(at, s));
  await test('everything_can_be_done_by_keyboard', () => byKeyboard(at, s));
  await test('the_page_can_be_heard', () => bySound(at, s));
  await timed('the_page_is_small_and_painted_soon', () => quick(at, s));
  await timed('the_page_comes_back_by_itself', () => comesBack(at, s));
  await timed('the_page_is_back_soon_after_any_restart', () => backAfterAnyRestart(at, s));
  await test('the_page_says_when_the_band_is_silent', () => saysSilence(at, s));
  await timed('switched_off_the_lamps_are_out', () => offAndOn(at, s));
  s.server.kill();
  s.plugin.tell('quit');
  await test('long_charts_arrive_whole_and_nothing_is_left_lit', () => longChart(at));
  await test('a_title_is_only_words', () => onlyWords(at));
}
