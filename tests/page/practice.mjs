// SPDX-License-Identifier: ISC
/* Less shown, and the line after a chorus, on the page as the teacher's plugin tells them. */
import { writeFileSync } from 'node:fs';
import { openPage } from './browser.mjs';
import { demand, sleep, test, until } from './kit.mjs';

const LINE = '2026-11-30T14:06:12Z chorus=2 bars=12 tempo=72 key=7 harp=0 show=4 notes=41 targets=6/9 strong=14/20 planned=8/10 '
  + 'bends=5 cents=-12 spread=9 timed=30 behind_ms=18 behind_beats=0.02 song=Heron';
const SAID = 'Chorus 2: landed on 6 of 9 chords; 14 of 20 chord tones on strong beats; 8 of 10 planned notes; bends 12 cents low; 18 ms behind the beat';

/** How many notes of the pupil's comb are lit, but for those to pass through, as screen readers are told. */
const lit = (page) => page.evaluate(() => (document.getElementById('worth').textContent.match(/: /g) || []).length);

async function less({ browser, stand, scratch }) {
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, [360, 740]);
  s.plugin.tell('roll');
  await until(async () => (await lit(page)) > 20, 3000, 'lamps');
  const seen = [await lit(page)];
  for (const show of [2, 1]) {
    s.plugin.tell(`show ${show}`);
    await until(async () => (await lit(page)) < seen.at(-1), 3000, `fewer with show ${show}`);
    seen.push(await lit(page));
    await page.screenshot({ path: `${scratch}/show-${show}.png` });
  }
  demand(seen[2] === 1, `${seen[2]} notes with targets alone`);
  s.plugin.tell('show 4');
  await until(async () => (await lit(page)) === seen[0], 3000, 'all again');
  return `${seen.join(', ')} notes`;
}

async function line({ browser, stand, scratch }) {
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, [360, 740]);
  const said = () => page.evaluate(() => document.getElementById('chorus').textContent);
  s.plugin.tell('roll');
  await sleep(700);
  demand(await said() === '', await said());
  s.plugin.tell(`practice ${LINE}`);
  await until(async () => (await said()) === SAID, 3000, 'the line');
  await page.screenshot({ path: `${scratch}/chorus.png` });
  const late = await openPage(browser, s.address, [360, 740]);
  await sleep(2500);
  demand(await late.evaluate(() => document.getElementById('chorus').textContent) === '', 'said before this page came');
}

/* Chords landed on, of nine, on four days. */
const LANDED = [[23, [2, 3, 2, 4]], [25, [3, 4, 5, 4, 5]], [26, [4, 5, 6, 6]], [29, [5, 6, 7, 6, 8]]];
const chorusLine = (day, n, hit) => `2026-11-${day}T19:0${n}:00Z chorus=${n + 1} bars=12 tempo=72 key=7 harp=0 show=2 notes=40 targets=${hit}/9 strong=${
  8 + hit + n % 3}/20 planned=${n ? `${hit - 1}/8` : '0/0'} bends=7 cents=${-45 + 5 * hit} spread=9 timed=18 behind_ms=${70 - 6 * hit} behind_beats=${
  ((70 - 6 * hit) / 833).toFixed(3)} roles=pass:${8 + 9 - hit},safe:6,blue:5,fifth:4,root:5,third:${3 + hit} song=Ferry Street Slow Drag\n`;

/** Of each panel: its title, what is said of the newest chorus, and of every chorus its height as a share, and how bright it is. */
const panelsOf = (page) => page.evaluate(() => [...document.querySelectorAll('#practice section')].map((section) => {
  const svg = section.querySelector('svg');
  const high = svg.getBoundingClientRect().height - 18;
  const bright = (colour) => colour.match(/[0-9A-F]{2}/g).reduce((sum, x) => sum + parseInt(x, 16), 0);
  return { title: section.querySelector('small').textContent, said: section.querySelector('b').textContent,
    days: [...svg.querySelectorAll('text')].map((text) => text.textContent).join(),
    bars: [...svg.querySelectorAll('rect')].slice(1).map((bar) => [bar.getAttribute('height') / high, bright(bar.getAttribute('fill'))]) };
}));

/** Choruses and days as a picture, also on a phone that comes late: the more was landed on, the taller and the brighter. */
async function choruses({ browser, stand, scratch }) {
  const file = `${scratch}/choruses.txt`;
  const lines = LANDED.map(([day, hits]) => hits.map((hit, n) => chorusLine(day, n, hit)).join('')).join('');
  const hits = LANDED.flatMap(([, of]) => of);
  const s = await stand('twelve-bar-slow-drag');
  const hidden = (on) => on.evaluate(() => document.getElementById('practised').hidden);
  const early = await openPage(browser, s.address, [360, 740]);
  s.plugin.tell('roll');
  await sleep(500);
  demand(await hidden(early), 'a button where nothing was practised');
  writeFileSync(file, lines);
  s.plugin.tell(`choruses ${file}`);
  await until(async () => !(await hidden(early)), 3000, 'the button');
  const page = await openPage(browser, s.address, [360, 740]);
  await page.click('#change');
  await until(async () => !(await hidden(page)), 3000, 'the button of the late one');
  await page.click('#practised');
  await until(async () => (await panelsOf(page)).length === 6, 3000, 'six panels');
  await page.screenshot({ path: `${scratch}/practice-360x740.png` });
  const panels = await panelsOf(page);
  const [landed] = panels;
  const rest = hits.length - landed.bars.length;
  demand(landed.title === 'landed on the chord' && landed.said === '8 of 9' && landed.bars.length >= 12, landed);
  demand(landed.bars.every(([high], n) => Math.abs(high - hits[n + rest] / 9) < 0.02), landed.bars);
  demand(landed.bars.every(([, a], i) => landed.bars.every(([, b], j) => hits[i + rest] > hits[j + rest] ? a >= b : true)), 'the better, the brighter');
  demand(landed.bars.at(-1)[1] > landed.bars[0][1] && landed.days === '25,26,29 Nov', landed);
  demand(panels.map((x) => x.said).join('; ') === '8 of 9; 17 of 20; 7 of 8; 5 cents low, ±9; 22 ms behind; 40 notes', panels.map((x) => x.said).join('; '));
  demand(!/wrong|miss|bad/i.test(await page.evaluate(() => document.getElementById('practice').textContent)), 'a word of blame');
  writeFileSync(file, lines + chorusLine(29, 5, 9));
  s.plugin.tell(`choruses ${file}`);
  await until(async () => (await panelsOf(page))[0].said === '9 of 9', 3000, 'the next chorus, while it is looked at');
  for (const size of [{ width: 740, height: 360 }, { width: 1024, height: 768 }]) {
    await page.setViewportSize(size);
    await sleep(300);
    await page.screenshot({ path: `${scratch}/practice-${size.width}x${size.height}.png` });
    const bars = (await panelsOf(page))[0].bars.length;
    demand(bars === hits.length + 1, `${bars} choruses at ${size.width}`);
  }
  await page.click('#practice button');
  demand(!page.problems.length && !(await page.$('#practice[open]')), page.problems);
  return `${landed.bars.length} of ${hits.length} choruses at 360 pixels`;
}

export async function practiceTests(at) {
  await test('less_is_lit_where_the_teacher_shows_less', () => less(at));
  await test('the_line_after_a_chorus_is_said_once', () => line(at));
  await test('choruses_and_days_stand_side_by_side', () => choruses(at));
}
