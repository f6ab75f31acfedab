/* The page in time with the music, on good and bad networks. */
import { openPage, textOf, watch, watched } from './browser.mjs';
import { demand, part, read, sleep, test, timed, until } from './kit.mjs';

const keyOf = (x) => `${x.chorus} ${x.bar} ${x.now}`;

/** The band's beats, only where chorus, bar or chord change. */
function changesOf(log) {
  return log.filter((x, i) => x.bar > 0 && (i === 0 || keyOf(x) !== keyOf(log[i - 1])));
}

/** How late each change came; every one must be there, in order, with the right next chord. */
function lateness(band, seen) {
  const wanted = changesOf(band);
  const first = wanted.findIndex((x) => keyOf(x) === keyOf(seen[0]));
  demand(first >= 0, 'the page never joined');
  const late = [];
  for (let i = 1; i < seen.length; ++i) {
    const told = wanted[first + i];
    demand(told && keyOf(told) === keyOf(seen[i]), `the page showed ${keyOf(seen[i])}, the band played ${told && keyOf(told)}`);
    demand(told.next === seen[i].next, `next: ${seen[i].next}, not ${told.next}`);
    late.push(seen[i].at - told.at);
  }
  return late;
}

/** What other programs on the machine add beyond the 25 ms that a timer and a frame may take. */
const excess = (own) => Math.max(0, own - 25);

const ms = (x) => Math.round(x * 10) / 10;

async function threeChoruses({ browser, stand }) {
  const s = await stand('twelve-bar-slow-drag', ['tempo=240']);
  const pages = [await openPage(browser, s.address, [360, 740]), await openPage(browser, s.address, [1024, 768])];
  const readers = Array.from({ length: 28 }, () => read(s.address));
  await Promise.all(pages.map(watch));
  await sleep(700);
  s.band.log.length = 0;
  s.band.tell('roll');
  await until(() => s.band.log.some((x) => x.chorus === 4), 45000, 'three choruses');
  await sleep(150);
  const log = s.band.log;
  const figures = [];
  for (const page of pages) {
    const { changes, held } = await watched(page);
    const late = lateness(log, changes);
    const own = part(held, 0.95);
    demand(late.length >= 3 * 13 - 1, `only ${late.length} changes`);
    const worst = part(late.map(Math.abs), 0.95);
    demand(worst < 60 + excess(own), `95 % within ${worst} ms; the machine's own lateness ${own} ms`);
    demand(!page.problems.length, page.problems);
    figures.push(`${late.length} changes, median ${ms(part(late, 0.5))} ms, 95 % within ${ms(worst)} ms (an empty timer: ${ms(own)})`);
    }
  const delivered = readers.flatMap((r) => r.states.filter((x) => x.place).map((x) => x.came));
  demand(readers.every((r) => !r.ended && r.states.length > 100), 'a reader lost the news');
  const beats = log.map((x) => x.at);
  const delays = readers[0].states.slice(1).flatMap((x) => {
    const beat = beats.filter((at) => at <= x.came && x.came - at < 200).at(-1);
    return beat ? [x.came - beat] : [];
  });
  readers.forEach((r) => r.end());
  s.server.kill();
  s.band.tell('quit');
  return `30 clients, ${delivered.length} messages; ${figures.join('; ')}; a plain reader 95 % within ${ms(part(delays, 0.95))} ms`;
}

/** Deviation of the pulse from a straight line, without the first beats. */
function unsteadiness(beats, tempo) {
  const times = beats.slice(6).map((b) => b.at);
  const step = 60000 / tempo;
  const from = times.map((t, i) => t - i * step);
  const middle = part(from, 0.5);
  return from.map((t) => Math.abs(t - middle));
}

async function steadyPulse({ browser, stand }) {
  const s = await stand('twelve-bar', ['tempo=180', 'delay=180']);
  const page = await openPage(browser, s.address, [360, 740]);
  s.band.tell('roll');
  await sleep(2000);
  await watch(page);
  await sleep(11000);
  const { beats, changes, held } = await watched(page);
  const own = part(held, 0.95);
  demand(beats.length > 28, `${beats.length} beats`);
  beats.slice(1).forEach((b, i) => demand(b.beat === (beats[i].beat + 1) % 4, 'a beat was lost or came twice'));
  const off = unsteadiness(beats, 180);
  const worst = part(off, 0.95);
  demand(worst < 25 + excess(own), `95 % within ${worst} ms; the machine's own lateness ${own} ms`);
  const late = lateness(s.band.log, changes);
  demand(part(late.map(Math.abs), 0.95) < 60 + excess(own), late);
  s.server.kill();
  s.band.tell('quit');
  return `packets up to 180 ms late: beats 95 % within ${ms(worst)} ms of steady, at most ${ms(Math.max(...off))}; changes 95 % within ${
    ms(part(late.map(Math.abs), 0.95))} ms`;
}

async function jumps({ browser, stand }) {
  const s = await stand('twelve-bar-slow-drag', ['tempo=120']);
  const page = await openPage(browser, s.address, [360, 740]);
  s.band.tell('roll');
  await until(async () => (await textOf(page, 'now-bar')) === 'bar 1 of 12', 2000, 'bar 1');
  const took = [];
  for (const [line, bar, chord] of [['bar 9', 9, 'Am7'], ['bar 3', 3, 'G7'], ['stop', 3, 'G7'], ['bar 12', 12, 'Am7'], ['roll', 12, 'Am7']]) {
    s.band.tell(line);
    took.push(await until(async () => (await textOf(page, 'now-bar')) === `bar ${bar} of 12` &&
      (await textOf(page, 'now-name')) === chord, 500, `${line}: ${chord}`));
    await sleep(150);
  }
  s.band.tell('stop');
  await sleep(100);
  const before = await textOf(page, 'now-bar');
  await sleep(1200);
  demand((await textOf(page, 'now-bar')) === before, 'it goes on after stop');
  s.server.kill();
  s.band.tell('quit');
  return `within ${Math.round(Math.max(...took))} ms, seen from the test`;
}

async function lead({ browser, stand, scratch }) {
  const { writeFileSync } = await import('node:fs');
  const file = `${scratch}/lead.chart`;
  writeFileSync(file, 'title: Counted In\nkey: C\nmeter: 6/8\nlead-in: 2 from 3\nchoruses: 1\n| I7 | IV7 | V7 | 4/4 I7 IV7 |\n[ending]\n| I7 |\n');
  const s = await stand(file, ['tempo=120']);
  const page = await openPage(browser, s.address, [1024, 768]);
  await watch(page);
  s.band.tell('roll');
  await until(() => s.band.log.some((x) => x.bar === 5), 12000, 'the ending');
  await sleep(60);
  demand((await textOf(page, 'now-chorus')) === 'ending' && (await textOf(page, 'now-bar')) === 'bar 1', await textOf(page, 'now-bar'));
  await until(async () => (await page.evaluate(() => document.getElementById('stage').textContent)).includes('The song is over'), 4000, 'over');
  const names = (await watched(page)).changes.map((x) => x.now);
  demand(names.join(' ').includes('C7 F7 G7 C7 F7 C7'), names);
  s.server.kill();
  s.band.tell('quit');
}

export async function musicTests(at) {
  await timed('three_choruses_on_two_screens_and_thirty_clients', () => threeChoruses(at));
  await timed('the_pulse_is_steady_on_a_bad_network', () => steadyPulse(at));
  await timed('the_page_follows_jumps_and_stops', () => jumps(at));
  await test('meters_endings_and_the_end_of_the_song_are_shown', () => lead(at));
}
