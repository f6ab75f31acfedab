// SPDX-License-Identifier: ISC
/* The page in time with the music, on good and bad networks. */
import { openPage, textOf, watch, watched } from './browser.mjs';
import { demand, messageLateness, part, read, sleep, strict, tenth, test, timed, until, within } from './kit.mjs';

const keyOf = (x) => `${x.chorus} ${x.bar} ${x.now}`;

/** The plugin's beats, only where chorus, bar or chord change. */
function changesOf(log) {
  return log.filter((x, i) => x.bar > 0 && (i === 0 || keyOf(x) !== keyOf(log[i - 1])));
}

/** How late each change came. What is shown must be what the plugin played, in order, with the right next chord; what a
    machine that stood still never showed counts as late. */
function lateness(log, changes) {
  const wanted = changesOf(log);
  let at = wanted.findIndex((x) => keyOf(x) === keyOf(changes[0]));
  demand(at >= 0, 'the page never joined');
  const late = [];
  for (const shown of changes.slice(1)) {
    const skipped = wanted.slice(at + 1).findIndex((x) => keyOf(x) === keyOf(shown));
    const played = wanted[at += skipped + 1];
    demand(skipped >= 0 && skipped < 4, `the page showed ${keyOf(shown)}, the plugin played ${keyOf(wanted[at + 1] || played)}`);
    demand(played.next === shown.next, `next: ${shown.next}, not ${played.next}`);
    late.push(...Array(skipped).fill(Infinity), shown.at - played.at);
  }
  return late;
}

/** So many of them are within so much, early or late. */
const spread = (late) => part(late.map(Math.abs), 0.95);

async function threeChoruses({ browser, stand }) {
  const s = await stand('twelve-bar-slow-drag', [`tempo=${strict ? 240 : 360}`]);
  const pages = [await openPage(browser, s.address, [360, 740]), await openPage(browser, s.address, [1024, 768])];
  const readers = Array.from({ length: 28 }, () => read(s.address));
  await Promise.all(pages.map(watch));
  await sleep(700);
  s.plugin.log.length = 0;
  s.plugin.tell('roll');
  await until(() => s.plugin.log.some((x) => x.chorus === 4), 45000, 'three choruses');
  await sleep(150);
  const figures = [];
  for (const page of pages) {
    const { changes, held } = await watched(page);
    const late = lateness(s.plugin.log, changes);
    demand(late.length >= 3 * 13 - 1, `only ${late.length} changes`);
    demand(!page.problems.length, page.problems);
    figures.push(`${late.length} changes, median ${tenth(part(late, 0.5))} ms, 95 % ${within(spread(late), 60)} (an empty timer: ${
      tenth(part(held, 0.95))})`);
  }
  demand(readers.every((r) => !r.ended && r.states.length > 100), 'a reader was cut off');
  const beats = s.plugin.log.filter((x) => x.rolling && x.chorus < 4);
  const late = messageLateness(readers[0].states, beats);
  readers.forEach((r) => r.end());
  return `30 clients; ${figures.join('; ')}; a plain reader 95 % ${within(part(late, 0.95), 60)}`;
}

/** Deviation of the pulse from a straight line, without the first beats; a beat never shown counts as far off. */
function unsteadiness(beats, tempo) {
  const step = 60000 / tempo;
  let count = 0;
  const from = beats.slice(6).map((b, i, all) => {
    count += i ? Math.max(1, Math.round((b.at - all[i - 1].at) / step)) : 0;
    return b.at - count * step;
  });
  const middle = part(from, 0.5);
  return from.map((t) => Math.abs(t - middle));
}

async function steadyPulse({ browser, stand }) {
  const s = await stand('twelve-bar', ['tempo=180', 'delay=180']);
  const page = await openPage(browser, s.address, [360, 740]);
  s.plugin.tell('roll');
  await sleep(2000);
  await watch(page);
  await sleep(11000);
  const { beats, changes, held } = await watched(page);
  demand(beats.length > (strict ? 28 : 10), `${beats.length} of 33 beats`);
  const lost = beats.slice(1).filter((b, i) => b.beat !== (beats[i].beat + 1) % 4).length;
  const off = unsteadiness(beats, 180);
  return `packets up to 180 ms late: beats 95 % within ${within(part(off, 0.95), 25)} of steady, at most ${
    tenth(Math.max(...off))}; ${within(lost, 1, 'beats lost')}; changes 95 % ${within(spread(lateness(s.plugin.log, changes)), 60)
  } (an empty timer: ${tenth(part(held, 0.95))})`;
}

async function jumps({ browser, stand }) {
  const s = await stand('twelve-bar-slow-drag', ['tempo=120']);
  const page = await openPage(browser, s.address, [360, 740]);
  s.plugin.tell('roll');
  await until(async () => (await textOf(page, 'now-bar')) === 'bar 1 of 12', 2000, 'bar 1');
  const took = [];
  for (const [line, bar, chord] of [['bar 9', 9, 'Am7'], ['bar 3', 3, 'G7'], ['stop', 3, 'G7'], ['bar 12', 12, 'Am7'], ['roll', 12, 'Am7']]) {
    s.plugin.tell(line);
    took.push(await until(async () => (await textOf(page, 'now-bar')) === `bar ${bar} of 12` &&
      (await textOf(page, 'now-name')) === chord, 2000, `${line}: ${chord}`));
    await sleep(150);
  }
  s.plugin.tell('stop');
  await sleep(100);
  const before = await textOf(page, 'now-bar');
  await sleep(1200);
  demand((await textOf(page, 'now-bar')) === before, 'it goes on after stop');
  s.server.kill();
  s.plugin.tell('quit');
  return `within ${within(Math.max(...took), 300)}, seen from the test`;
}

async function lead({ browser, stand, scratch }) {
  const { writeFileSync } = await import('node:fs');
  const file = `${scratch}/lead.chart`;
  writeFileSync(file, 'title: Counted In\nkey: C\nmeter: 6/8\nlead-in: 2 from 3\nchoruses: 1\n| I7 | IV7 | V7 | 4/4 I7 IV7 |\n[ending]\n| I7 |\n');
  const s = await stand(file, ['tempo=300']); /* 200 dotted quarters */
  const page = await openPage(browser, s.address, [1024, 768]);
  await watch(page);
  s.plugin.tell('roll');
  await until(() => s.plugin.log.some((x) => x.bar === 5), 12000, 'the ending');
  await until(async () => (await textOf(page, 'now-chorus')) === 'ending' && (await textOf(page, 'now-bar')) === 'bar 1', 300,
    'the ending on the page');
  await until(async () => (await page.evaluate(() => document.getElementById('stage').textContent)).includes('The song is over'), 4000, 'over');
  const names = (await watched(page)).changes.map((x) => x.now);
  demand(names.join(' ').includes('C7 F7 G7 C7 F7 C7'), names);
  s.server.kill();
  s.plugin.tell('quit');
}

const shown = async (page) => [await textOf(page, 'now-name'), await textOf(page, 'next-name'),
  await page.evaluate(() => [...document.querySelectorAll('#chart .bar')].findIndex((bar) => bar.classList.contains('next')) + 1)].join(' ');

/** What comes after the loop's last chord is its first: in words, and framed in the chart. */
async function loops({ browser, stand, scratch }) {
  const { writeFileSync } = await import('node:fs');
  const file = `${scratch}/loop.chart`;
  writeFileSync(file, 'title: Round the Pier\nkey: A\n| I7 | IV7 | I7 | I7 |\n| IV7 | IV7 | I7 | VI7 |\n| ii7 | V7 | I7 VI7 | ii7 V7 |\n');
  const s = await stand(file, ['tempo=300']);
  const page = await openPage(browser, s.address, [360, 740]);
  for (const [from, last, first, round] of [[10, 11, 'F♯7 Bm7 12', 'F♯7 E7 10'], [11, 12, 'E7 A7 1', 'E7 A7 11']]) {
    s.plugin.tell(`bar ${from}`);
    s.plugin.tell(`loop ${from} ${last}`);
    s.plugin.tell('roll');
    await until(async () => (await shown(page)) === first, 4000, `${first} in the first round`);
    await until(async () => (await shown(page)) === round, 8000, `${round} once it has come round twice`);
    s.plugin.tell('loop 2 1');
    await until(async () => (await textOf(page, 'now-bar')) === 'bar 1 of 12', 6000, 'the music to go on');
    await until(async () => (await shown(page)) === 'A7 D7 2', 2000, 'the form again');
    s.plugin.tell('stop');
  }
}

export async function musicTests(at) {
  await timed('three_choruses_on_two_screens_and_thirty_clients', () => threeChoruses(at));
  await timed('the_pulse_is_steady_on_a_bad_network', () => steadyPulse(at));
  await timed('the_page_follows_jumps_and_stops', () => jumps(at));
  await test('in_a_loop_the_next_chord_is_the_loops', () => loops(at));
  await test('meters_endings_and_the_end_of_the_song_are_shown', () => lead(at));
}
