// SPDX-License-Identifier: ISC
/* Less shown, and the line after a chorus, on the page as the teacher's plugin tells them. */
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

export async function practiceTests(at) {
  await test('less_is_lit_where_the_teacher_shows_less', () => less(at));
  await test('the_line_after_a_chorus_is_said_once', () => line(at));
}
