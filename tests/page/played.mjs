// SPDX-License-Identifier: ISC
/* What the teacher plays, on the page: rings, the needle of a bend, notes of the plan that fill. */
import { readFileSync, writeFileSync } from 'node:fs';
import { openPage } from './browser.mjs';
import { demand, part, sleep, strict, test, timed, until, within } from './kit.mjs';

const TECHNIQUES = ['blow', 'blow1', 'blow2', 'blow3', 'draw', 'draw1', 'draw2', 'draw3', 'overblow', 'overdraw']; /* as PORTS.md */
const ringsOf = (page) => page.evaluate(() => [...document.querySelectorAll('[data-ring]')].map((ring) => ring.dataset.ring).join());
const centsOf = (page) => page.evaluate(() => Number(document.querySelector('.needle')?.dataset.cents ?? NaN));
const namesOf = (heard) => heard.map(([hole, how]) => `${hole}-${TECHNIQUES[how]}`).join();

/** Writes down every change of the rings with its wall-clock time. */
const watchRings = (page) => page.evaluate(() => {
  globalThis.rings = [];
  let last = '';
  new MutationObserver(() => {
    const now = [...document.querySelectorAll('[data-ring]')].map((ring) => ring.dataset.ring).join();
    if (now !== last) globalThis.rings.push({ at: performance.timeOrigin + performance.now(), rings: now });
    last = now;
  }).observe(document.getElementById('stage'), { childList: true, subtree: true });
});

/** Notes of a C harp, half of a second each; the ring of each against the plugin's frame, the OSC's time tag. */
async function rings({ browser, stand, scratch }) {
  const s = await stand('twelve-bar', ['tempo=120']);
  const page = await openPage(browser, s.address, [1024, 768]);
  s.plugin.tell('roll');
  s.plugin.tell('reed 0');
  await sleep(700);
  await watchRings(page);
  s.plugin.log.length = 0;
  const notes = [60, 62, 64, 72, 74, 76, 79, 77, 84, 71];
  for (let i = 0; i < (strict ? 60 : 20); ++i) {
    s.plugin.tell(`reed ${notes[i % notes.length]}`);
    await sleep(250);
    if (i === 4) await page.screenshot({ path: `${scratch}/played-ring.png` });
    s.plugin.tell('reed 0');
    await sleep(130);
  }
  s.plugin.tell('reed 74.02 76.97'); /* 4 and 5 draw */
  await until(async () => (await ringsOf(page)) === '4-draw,5-draw', 2000, 'two rings');
  await page.screenshot({ path: `${scratch}/played-two.png` });
  await sleep(200);
  const heard = s.plugin.log.filter((x) => x.heard);
  const shown = await page.evaluate(() => globalThis.rings);
  demand(heard.length >= 40, `${heard.length} changes were heard`);
  let from = 0;
  const late = heard.map((x) => {
    const found = shown.slice(from).findIndex((y) => y.rings === namesOf(x.heard) && y.at > x.at - 5);
    if (found < 0) return Infinity;
    from += found;
    return shown[from].at - x.at;
  });
  demand(!page.problems.length, page.problems);
  return `${late.length} changes, median ${part(late, 0.5).toFixed(1)} ms, 95 % ${within(part(late, 0.95), 60)}`;
}

/** 4 draw bent, held 20 cents high, then 15 low. */
async function needle({ browser, stand, scratch }) {
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, [360, 740]);
  s.plugin.tell('roll');
  s.plugin.tell('reed 73.2');
  await until(async () => (await ringsOf(page)) === '4-draw1', 2000, 'a ring round the bend');
  await until(async () => Math.abs((await centsOf(page)) - 20) <= 4, 2000, '20 cents');
  await page.screenshot({ path: `${scratch}/played-needle.png` });
  s.plugin.tell('reed 72.85');
  await until(async () => Math.abs((await centsOf(page)) + 15) <= 4, 2000, '-15 cents');
  s.plugin.tell('reed 74');
  await until(async () => (await ringsOf(page)) === '4-draw' && Number.isNaN(await centsOf(page)), 2000, 'no needle on a natural note');
  s.plugin.tell('reed 0');
  await until(async () => (await ringsOf(page)) === '', 2000, 'nothing');
}

/** G's blue third on a C harp is a zone above 3 draw bent half a step, up to where the ear calls it the third. */
async function blueThird({ browser, stand, scratch }) {
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, [1024, 768]);
  const onIt = () => page.evaluate(() => document.querySelector('.goal')?.getAttribute('fill') === '#FFF3D6');
  s.plugin.tell('roll');
  for (const [pitch, ring, cents, inside] of [[70.4, '3-draw1', 40, true], [70.0, '3-draw1', 0, false], [70.62, '3-draw1', 62, true],
    [70.9, '3-draw', NaN, false], [73.2, '4-draw1', 20, true]]) {
    s.plugin.tell('reed 0');
    await until(async () => (await ringsOf(page)) === '', 2000, 'nothing');
    s.plugin.tell(`reed ${pitch}`);
    await until(async () => (await ringsOf(page)) === ring, 2000, `${pitch}: ${ring}`);
    if (cents === cents) await until(async () => Math.abs((await centsOf(page)) - cents) <= 5, 2000, `${pitch}: ${cents} cents`);
    demand((await onIt()) === inside, `${pitch} is ${inside ? 'not ' : ''}on the goal`);
    if (pitch === 70.4) await page.screenshot({ path: `${scratch}/played-blue.png` });
  }
}

/** The page has the zones of blue notes typed once more: they are the core's. */
function zones({ top }) {
  const core = [...readFileSync(`${top}/core/trainer/aim.c`, 'utf8').matchAll(/\{(\d+), (?:true|false), (\d+), (\d+)\}/g)].map((x) => x.slice(1).join());
  const page = [...readFileSync(`${top}/ui/page/site/heard.js`, 'utf8').match(/const BLUE = .*/)[0].matchAll(/(\d+): \[(\d+), (\d+)\]/g)]
    .map((x) => x.slice(1).join());
  demand(core.length === 2 && core.join(' ') === page.join(' '), `${core.join(' ')} is not ${page.join(' ')}`);
}

/** Rings are the teacher's: another harp has none. */
async function ownHarp({ browser, stand }) {
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, [360, 740]);
  s.plugin.tell('roll');
  s.plugin.tell('reed 74');
  await until(async () => (await ringsOf(page)) === '4-draw', 2000, 'a ring on the teacher\'s harp');
  await page.click('#change');
  await page.selectOption('select[name=key]', '2');
  await until(async () => (await ringsOf(page)) === '', 2000, 'no ring on another harp');
  await page.selectOption('select[name=key]', '0');
  await until(async () => (await ringsOf(page)) === '4-draw', 2000, 'a ring again');
}

const PLAN = 'bar 1: Rope Walk\n\nX:1\nT:Rope Walk\nM:4/4\nL:1/4\nK:G\n"G7"B d B d|\n';
const hitsOf = (page) => page.evaluate(() => [...document.querySelectorAll('#lane .plays g')].map((g) => Number(g.classList.contains('hit'))).join(''));

/** The second note on time, the third wrong, the fourth on time: those fill; after a jump back all are hollow again. */
async function fills({ browser, stand, scratch }) {
  writeFileSync(`${scratch}/rope.plan`, PLAN);
  const s = await stand('twelve-bar', ['tempo=60', `plan=${scratch}/rope.plan`]);
  const page = await openPage(browser, s.address, [1024, 768]);
  const beat = (n) => until(() => s.plugin.log.some((x) => x.rolling && x.bar === 1 && x.chorus === 1 && Math.floor(x.beat) === n), 8000, `beat ${n}`);
  s.plugin.tell('reed 0');
  s.plugin.tell('roll');
  await beat(2);
  s.plugin.tell('reed 74');
  await sleep(500);
  s.plugin.tell('reed 0');
  await beat(3);
  s.plugin.tell('reed 84');
  await sleep(500);
  s.plugin.tell('reed 0');
  await beat(4);
  s.plugin.tell('reed 74');
  await until(async () => (await hitsOf(page)) === '0101', 900, 'the notes played are filled');
  await page.screenshot({ path: `${scratch}/played-lane.png` });
  s.plugin.tell('reed 0');
  await sleep(1500);
  s.plugin.tell('bar 1');
  await until(async () => (await hitsOf(page)) === '0000', 2000, 'hollow again after a jump back');
  const hollow = () => page.evaluate(() => document.getElementById('lane').classList.contains('heard'));
  demand(await hollow(), 'full strokes while the player is heard');
  s.plugin.tell('deaf');
  await until(async () => !(await hollow()), 8000, 'full strokes where nobody hears');
}

export async function playedTests(at) {
  await timed('a_ring_follows_what_the_teacher_plays', () => rings(at));
  await test('a_bend_that_is_held_has_a_needle', () => needle(at));
  await test('a_blue_third_has_a_zone', () => blueThird(at));
  await test('the_zones_of_blue_notes_are_the_core_s', () => zones(at));
  await test('another_harp_than_the_teacher_s_has_no_rings', () => ownHarp(at));
  await test('planned_notes_that_were_played_are_filled', () => fills(at));
}
