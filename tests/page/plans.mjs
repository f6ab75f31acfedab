// SPDX-License-Identifier: ISC
/* Phrases planned in the DAW: how the plan comes to the server, and the lane of tab on the page. */
import { execFileSync } from 'node:child_process';
import dgram from 'node:dgram';
import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { lampOf, openPage, textOf } from './browser.mjs';
import { afterwards, demand, freePort, part, read, serve, sleep, test, timed, until, within } from './kit.mjs';

const SIZES = [[360, 740], [320, 568], [740, 360], [1024, 768], [768, 1024]];
const HOWS = ['blow', 'draw', 'blow1', 'blow2', 'blow3', 'draw1', 'draw2', 'draw3', 'overblow', 'overdraw'];

const padded = (text) => {
  const bytes = Buffer.from(text);
  return Buffer.concat([bytes, Buffer.alloc(4 - bytes.length % 4)]);
};

const word = (value) => {
  const bytes = Buffer.alloc(4);
  bytes.writeInt32BE(value);
  return bytes;
};

/** A part of a long text in a bundle of that time tag (seconds since 1900). */
function partOf(path, part, parts, text, tag) {
  const message = Buffer.concat([padded(path), padded(',iis'), word(part), word(parts), padded(text)]);
  return Buffer.concat([padded('#bundle'), word(tag | 0), word(0), word(message.length), message]);
}

/** A server, and a sender of parts to it; `plan` is what it then serves. */
async function serverFor(build) {
  const [web, port] = [await freePort(), await freePort()];
  const server = await serve(build, [`--port=${web}`, `--osc=${port}`]);
  const socket = dgram.createSocket('udp4');
  const reader = read(server.address);
  afterwards(() => {
    socket.close();
    reader.end();
    server.kill();
  });
  let tag = 0;
  return {
    server,
    now: () => { tag = Math.floor(Date.now() / 1000) + 2208988800; },
    later: () => { ++tag; },
    send: (part, parts, text, path = '/reedlamp/plan') => new Promise((done) => {
      socket.send(partOf(path, part, parts, text, tag), port, '127.0.0.1', done);
    }),
    number: () => reader.states.at(-1)?.plan,
    plan: async () => (await fetch(`${server.address}plan`)).text(),
  };
}

/** In any order; where one is lost the plan before it holds until all have come. */
async function inParts({ build }) {
  const s = await serverFor(build);
  const parts = ['bar 1: Tide Bell\n', '# fährt\n\nX:1\nT:Tide Bell\n', 'K:G\n"G7"GBd|\n'];
  s.now();
  for (const i of [2, 0, 1]) await s.send(i + 1, 3, parts[i]);
  await until(() => s.number() === 1, 2000, 'the plan');
  demand((await s.plan()) === parts.join(''), await s.plan());
  s.later();
  for (const i of [0, 2]) await s.send(i + 1, 3, `${parts[i]}%\n`);
  await s.send(1, 1, '| I7 |\n', '/reedlamp/chart');
  await until(async () => (await (await fetch(`${s.server.address}chart`)).text()) === '| I7 |\n', 2000, 'the chart after it');
  demand(s.number() === 1 && (await s.plan()) === parts.join(''), 'a part is missing: the plan before it holds');
  s.later();
  for (const i of [0, 1, 2]) await s.send(i + 1, 3, `${parts[i]}%\n`);
  await until(() => s.number() === 2, 2000, 'all of it');
  s.later();
  await s.send(1, 1, '');
  await until(() => s.number() === 0, 2000, 'no plan any longer');
  demand((await s.plan()) === '', 'nothing of it is left');
  s.later();
  for (let i = 1; i < 64; ++i) await s.send(i, 63, 'x'.repeat(600)); /* 38 KB: too much */
  await s.send(1, 64, 'x');
  s.later();
  await s.send(1, 1, 'answer: 1\n');
  await until(async () => (await s.plan()) === 'answer: 1\n', 2000, 'it goes on');
}

/* ---- plans of the phrases that come along ---- */

const phraseFiles = (top) => readdirSync(`${top}/presets/phrases`).filter((name) => name.endsWith('.abc')).sort();

/** A tune of the book, as it goes below a plan's lines. */
function tuneOf(top, file) {
  const text = readFileSync(`${top}/presets/phrases/${file}`, 'utf8').replace(/^%.*\n/gm, '');
  return { title: /^T: *(.*)$/m.exec(text)[1], text };
}

/** Lines with file names in braces, and the tunes they name. */
function planOf(top, lines) {
  const names = new Set();
  const head = lines.replace(/{(.*?)}/g, (_, name) => {
    names.add(`${name}.abc`);
    return tuneOf(top, `${name}.abc`).title;
  });
  return `${head}\n${[...names].map((name) => tuneOf(top, name).text).join('\n')}`;
}

const FERRY = 'bar 9: {coal-barge}\nbar 12: {ferry-street}\nbar 2: {gulls-on-the-roof}\nbar 5: {fog-horn-answer}\nanswer: 4 7\n';

/** The lane by the native core, bar by bar of two choruses. */
function laneOf(build, chart, plan, { tonic, key, register, tuning, draws, blows, overblows }) {
  const numbers = [tonic, key, register, tuning, draws, blows, overblows].map((x) => String(Number(x)));
  return execFileSync(`${build}/tests/page/lane_dump`, [chart, ...numbers], { input: plan, encoding: 'utf8' }).trim().split('\n')
    .map((line) => JSON.parse(line));
}

const tabOf = ([, , hole, how]) => `${hole}${how > 7 ? 'o' : "'".repeat(Number(HOWS[how].slice(4)) || 0)}`;

/** The figures of a bar in the order in which they are drawn: onset by onset, what is blown before what is drawn. */
function figuresOf(bar) {
  const onsets = [...new Set(bar.notes.map((note) => note[0]))];
  return onsets.flatMap((at) => [false, true].map((draws) => bar.notes.filter((note) => note[0] === at &&
    HOWS[note[3]].includes('draw') === draws).map(tabOf).join('+')).filter(Boolean));
}

/* ---- the page's core ---- */

/** What the core in the browser says, as laneOf has it. */
async function lanesInBrowser(cases) {
  const { loadCore } = await import(new URL('core.js', location.href).href);
  const core = await loadCore(await (await fetch('pupil.wasm')).arrayBuffer());
  return cases.map(({ chart, plan, player, bars }) => {
    if (!core.chart(chart) || !core.plan(plan)) return null;
    core.key(player.tonic, undefined);
    core.player(player);
    core.line();
    const all = [];
    for (let n = 0; n < 2 * bars; ++n) {
      const chorus = Math.floor(n / bars) + 1;
      const reported = Math.max(0, n % bars - n % 2); /* every other bar as the one after the reported one */
      const { bar, index, beats, unit, answers, planned, notes } = core.lane(chorus, reported + 1, n % bars - reported);
      all.push({ chorus, bar, index, beats, unit, answers, notes: notes.map((x) => [x.at, x.lasts, x.hole, x.how, x.degree, x.replaced,
        x.slur, x.scoop, x.fall]), title: planned < 0 ? '' : core.name('phrase', planned) });
    }
    return all;
  });
}

/** Every phrase that comes along on several bars, charts, keys and harps. */
async function sameLanes({ build, browser, stand, top, chart }) {
  const players = [{ key: 0, register: 0, tuning: 0, draws: 3, blows: 3, overblows: false },
    { key: 5, register: -1, tuning: 1, draws: 1, blows: 0, overblows: false },
    { key: 10, register: 1, tuning: 3, draws: 2, blows: 1, overblows: true },
    { key: 7, register: 0, tuning: 5, draws: 0, blows: 0, overblows: false }];
  const charts = ['twelve-bar-slow-drag', 'six-eight', 'slow-twelve-eight', 'twelve-bar-minor'].map(chart);
  const moves = ['', ', with the key', ', as it is', ', chorus 2'];
  const cases = phraseFiles(top).flatMap((file, n) => players.map((player, i) => {
    const name = file.replace('.abc', '');
    const [first, second] = [1 + (n + 2 * i) % 7, 8 + (n + i) % 5];
    const path = charts[(n + i) % charts.length];
    return { path, chart: readFileSync(path, 'utf8'), player: { ...player, tonic: (7 + 5 * n + i) % 12 },
      plan: planOf(top, `bar ${first}: {${name}}${moves[(n + i) % 4]}\nbar ${second} beat 2.5: {${name}}\nanswer: 3 ${second}\n`)
        .replace('!slide!', i % 2 ? '"^fall"' : '!slide!') };
  }));
  const native = cases.map((one) => laneOf(build, one.path, one.plan, one.player));
  const s = await stand('twelve-bar');
  const page = await openPage(browser, s.address, SIZES[0]);
  cases.forEach((one, i) => { one.bars = native[i].length / 2; });
  const theirs = await page.evaluate(`(${lanesInBrowser})(${JSON.stringify(cases)})`);
  let notes = 0;
  let falls = 0;
  theirs.forEach((bars, i) => native[i].forEach((bar, n) => {
    demand(JSON.stringify(bars[n]) === JSON.stringify(bar), `${cases[i].plan.split('\n')[0]}: ${JSON.stringify(bars[n])}, not ${
      JSON.stringify(bar)}`);
    notes += bar.notes.length;
    falls += bar.notes.filter((note) => note[8]).length;
  }));
  demand(notes > 20 * 4 * 2 && falls > 0, `${notes} notes, ${falls} falls`);
  return `${cases.length} plans, ${notes} notes`;
}

/* ---- the lane as it is seen ---- */

const seenIn = (page) => page.evaluate(() => {
  const box = document.getElementById('lane');
  return { hidden: box.hidden, figures: [...box.children].map((row) => [...row.querySelectorAll('g')].flatMap((g) =>
    [...g.querySelectorAll('text')].slice(0, -1).map((text) => text.textContent))),
  heads: [...box.children].map((row) => [...row.querySelectorAll('svg > text')].map((text) => text.textContent).join(' ')),
  marks: Object.fromEntries([...document.querySelectorAll('[data-mark]')].map((mark) => [mark.dataset.mark, mark.dataset.how])),
  words: document.getElementById('phrases').textContent };
});

const equal = (a, b) => JSON.stringify(a) === JSON.stringify(b);

/** The plan is there first, the phone comes later, with a harp of its own. */
async function onOwnHarp({ build, browser, stand, top, chart, scratch }) {
  const plan = planOf(top, FERRY);
  writeFileSync(`${scratch}/ferry.plan`, plan);
  const s = await stand('twelve-bar-slow-drag', [`plan=${scratch}/ferry.plan`]);
  const page = await openPage(browser, s.address, SIZES[0]);
  await until(async () => !(await seenIn(page)).hidden, 3000, 'a lane');
  for (const [player, choose] of [[{ key: 0, register: 0, tuning: 0, draws: 3, blows: 3, overblows: false }, {}],
    [{ key: 5, register: 0, tuning: 0, draws: 1, blows: 0, overblows: false }, { key: '5', draws: '1', blows: '0' }]]) {
    if (choose.key) {
      await page.click('#change');
      for (const [name, value] of Object.entries(choose)) await page.selectOption(`select[name=${name}]`, value);
      await page.click('#settings button:not([type])');
    }
    const bars = laneOf(build, chart('twelve-bar-slow-drag'), plan, { tonic: 7, ...player });
    for (const bar of [1, 2, 5, 9, 10, 12]) {
      s.plugin.tell(`bar ${bar}`);
      await until(async () => (await textOf(page, 'now-bar')) === `bar ${bar} of 12`, 2000, `bar ${bar}`);
      const want = [bars[bar - 1], bars[bar]].map(figuresOf);
      await until(async () => equal((await seenIn(page)).figures, want), 1000, `the tab of bar ${bar}: ${JSON.stringify(want)}, not ${
        JSON.stringify((await seenIn(page)).figures)}`);
      const { marks, heads, words } = await seenIn(page);
      const idOf = (note) => `${note[2]}-${HOWS[note[3]]}`;
      const wanted = Object.fromEntries([...bars[bar].notes.map((x) => [idOf(x), 'soon']), ...bars[bar - 1].notes.map((x) => [idOf(x), 'now'])]);
      demand(equal(Object.entries(marks).sort(), Object.entries(wanted).sort()), [bar, marks, wanted]);
      demand((await Promise.all(Object.keys(marks).map((id) => lampOf(page, id)))).every((lamp) => lamp.reached), 'all within reach');
      demand(heads[0].startsWith(`bar ${bar} `) && heads[0].includes(bars[bar - 1].title), heads[0]);
      demand(words.includes(`bar ${bar}`) && words.includes(bars[bar - 1].title), words);
    }
  }
  s.plugin.tell('bar 3');
  await until(async () => (await seenIn(page)).heads[1].startsWith('bar 4'), 1000, 'bar 4 waits');
  const { heads, words } = await seenIn(page);
  demand(heads[1].includes('answer') && words.includes('answer: yours'), [heads, words]);
  demand(!page.problems.length, page.problems);
}

/** A plan that comes, changes and goes while it is looked at. Without one the page is as it was. */
async function comesAndGoes({ browser, stand, top, scratch }) {
  writeFileSync(`${scratch}/ferry.plan`, planOf(top, FERRY));
  const s = await stand('twelve-bar-slow-drag');
  const page = await openPage(browser, s.address, SIZES[0]);
  const picture = () => page.evaluate(() => JSON.stringify([...document.querySelectorAll('#stage, #chart, .bar, #foot')].map((e) =>
    Object.values(e.getBoundingClientRect().toJSON()))));
  s.plugin.tell('bar 9');
  await until(async () => (await textOf(page, 'now-bar')) === 'bar 9 of 12', 2000, 'bar 9');
  let before = '';
  await until(async () => { // nothing moves any more
    const was = before;
    await sleep(200);
    before = await picture();
    return before === was;
  }, 3000, 'all is drawn');
  for (let i = 0; i < 2; ++i) {
    s.plugin.tell(`plan ${scratch}/ferry.plan`);
    await until(async () => {
      const { hidden, figures } = await seenIn(page);
      return !hidden && figures[0].length > 3;
    }, 2000, 'the lane comes');
    demand((await picture()) !== before, 'it has its room');
    s.plugin.tell('plan');
    await until(async () => (await seenIn(page)).hidden, 2000, 'the lane goes');
    const { marks } = await seenIn(page);
    demand(equal(marks, {}), 'and its marks');
    await until(async () => (await picture()) === before, 1000, 'all is as it was');
  }
  demand(!page.problems.length, page.problems);
}

/** A pickup sounds in the lead-in, a phrase in the ending; then nothing is left to play. */
async function leadInAndEnding({ browser, stand, top, scratch }) {
  const chart = `${scratch}/short.chart`;
  writeFileSync(chart, 'key: G\nmeter: 4/4\nlead-in: 1 from 2\nchoruses: 1\n| I7 | V7 |\n[ending]\n| I7 | I7 |\n');
  writeFileSync(`${scratch}/short.plan`, 'bar 1: Up the Gangway\nbar 4: Up the Gangway\n\nX:1\nT:Up the Gangway\nM:4/4\nL:1/8\nK:G\n' +
    'DE|"G7"G2 B2 d4|\n');
  const s = await stand(chart, ['tempo=150', `plan=${scratch}/short.plan`]);
  const page = await openPage(browser, s.address, SIZES[0]);
  await until(async () => (await seenIn(page)).heads[0]?.startsWith('lead-in 1 D7'), 3000, 'the lead-in');
  demand(equal((await seenIn(page)).figures.map((x) => x.length), [2, 3]), (await seenIn(page)).figures);
  s.plugin.tell('roll');
  await until(async () => {
    const { heads, figures } = await seenIn(page);
    return heads[0].startsWith('ending 1 G7') && heads[1].startsWith('ending 2 G7') && equal(figures.map((x) => x.length), [2, 3]);
  }, 8000, 'the ending');
  await until(async () => equal((await seenIn(page)).heads, ['', '']), 8000, 'the end');
  const { marks, hidden } = await seenIn(page);
  demand(!hidden && equal(marks, {}), marks);
  demand(!page.problems.length, page.problems);
}

/** In a loop of bars 2 and 3 the bar after 3 is 2, and after the loop 4. */
async function inALoop({ browser, stand, scratch }) {
  const chart = `${scratch}/round.chart`;
  writeFileSync(chart, 'key: D\n| I7 | IV7 | V7 | I7 |\n');
  writeFileSync(`${scratch}/round.plan`, 'bar 2: Round the Bollard\n\nX:1\nT:Round the Bollard\nM:4/4\nL:1/8\nK:G\n"G7"G2 B2 d4|\n');
  const s = await stand(chart, ['tempo=240', `plan=${scratch}/round.plan`]);
  const page = await openPage(browser, s.address, SIZES[0]);
  const heads = async (...bars) => {
    const seen = (await seenIn(page)).heads;
    return bars.every((bar, i) => seen[i]?.startsWith(bar));
  };
  s.plugin.tell('bar 2');
  s.plugin.tell('loop 2 3');
  s.plugin.tell('roll');
  await until(() => heads('bar 3', 'bar 4'), 4000, 'bar 4 after bar 3 in the first round');
  await until(() => heads('bar 3', 'bar 2'), 8000, 'bar 2 after bar 3 once it has come round twice');
  s.plugin.tell('loop 2 1');
  await until(() => heads('bar 4', 'bar 1'), 6000, 'the form again');
}

/** Half a plan is none, and does no harm; nor does one that is no plan. */
async function halfAPlan({ build, browser, top }) {
  const s = await serverFor(build);
  const text = planOf(top, FERRY);
  const page = await openPage(browser, s.server.address, SIZES[0]);
  s.now();
  await s.send(1, 1, 'key: G\n| I7 | IV7 |\n', '/reedlamp/chart');
  await s.send(1, 2, text.slice(0, 900));
  await until(() => page.evaluate(() => document.querySelectorAll('.bar').length === 2), 3000, 'the chart');
  await sleep(300);
  demand((await seenIn(page)).hidden, 'no lane');
  s.later();
  await s.send(1, 1, 'bar 1: Nobody Knows It\n');
  await until(() => s.number() === 1, 2000, 'a plan that is none');
  await sleep(300);
  demand((await seenIn(page)).hidden, 'no lane still');
  s.later();
  for (const i of [1, 0]) await s.send(i + 1, 2, text.slice(900 * i, i ? undefined : 900));
  await until(async () => !(await seenIn(page)).hidden, 3000, 'all of it');
  await until(async () => (await seenIn(page)).figures[1]?.length > 3, 2000, 'nobody plays: the first bars wait'); /* bar 2 */
  demand(!page.problems.length, page.problems);
}

/** Where the bead was, frame by frame. */
const follow = (page) => page.evaluate(() => {
  globalThis.bead = [];
  const look = () => {
    requestAnimationFrame(look);
    const bead = document.querySelector('#lane i');
    if (!bead) return; /* the lane is being drawn anew */
    const row = bead.parentElement.getBoundingClientRect();
    const at = bead.getBoundingClientRect();
    const line = document.querySelector('#lane svg path').getBBox();
    globalThis.bead.push({ at: performance.timeOrigin + performance.now(), bar: Number(/bar (\d+)/.exec(row.height &&
      document.querySelector('#lane .plays text')?.textContent)?.[1]), part: (at.x + at.width / 2 - row.x - line.x) / line.width });
  };
  look();
});

async function lightWalks({ browser, stand, top, scratch }) {
  writeFileSync(`${scratch}/ferry.plan`, planOf(top, FERRY));
  const s = await stand('twelve-bar-slow-drag', [`plan=${scratch}/ferry.plan`, 'tempo=100']);
  const page = await openPage(browser, s.address, SIZES[0]);
  await until(async () => !(await seenIn(page)).hidden, 3000, 'a lane');
  s.plugin.tell('bar 8');
  s.plugin.tell('roll');
  await sleep(1500);
  await follow(page);
  await sleep(15000); /* more than twenty beats, so that one of them is not the 95 % */
  const frames = await page.evaluate(() => globalThis.bead);
  const beats = s.plugin.log.filter((x) => x.rolling && x.at > frames[0].at + 100 && x.at < frames.at(-1).at - 200);
  const late = beats.map(({ at, bar, beat }) => {
    const shown = frames.find((f) => f.bar === bar && f.part >= (beat - 1) / 4 - 0.002);
    return shown ? Math.abs(shown.at - at) : Infinity;
  });
  demand(beats.length > 20, `${beats.length} beats`);
  const back = frames.slice(1).filter((f, i) => f.bar === frames[i].bar && f.part < frames[i].part - 0.002).length;
  demand(back === 0, `it turned back ${back} times`);
  const steps = new Set(frames.map((f) => f.part.toFixed(3))).size;
  await page.emulateMedia({ reducedMotion: 'reduce' });
  await sleep(700);
  await page.evaluate(() => { globalThis.bead.length = 0; });
  await sleep(2500);
  const calm = await page.evaluate(() => [...new Set(globalThis.bead.map((f) => f.part.toFixed(2)))]);
  demand(calm.every((x) => ['0.00', '0.25', '0.50', '0.75'].includes(x)), calm);
  demand(steps > 20, `${steps} places`);
  return `${beats.length} beats, 95 % within ${within(part(late, 0.95), 60)}; ${steps} places; calm: by beats`;
}

/** On every screen: nothing cut, nothing over another, figures that can be read. */
async function fits({ browser, stand, top, scratch }) {
  writeFileSync(`${scratch}/ferry.plan`, planOf(top, FERRY));
  const s = await stand('twelve-bar-slow-drag', [`plan=${scratch}/ferry.plan`]);
  s.plugin.tell('bar 10');
  let least = Infinity;
  for (const size of SIZES) {
    const page = await openPage(browser, s.address, size);
    await until(async () => (await seenIn(page)).figures[0]?.length > 3, 3000, 'bar 10');
    await sleep(300);
    const seen = await page.evaluate(() => {
      const parts = ['head', 'comb', 'lane', 'chart', 'foot'].map((id) => [id, document.getElementById(id).getBoundingClientRect()]);
      const cut = [...document.querySelectorAll('#lane text')].filter((text) => {
        const [box, row] = [text.getBoundingClientRect(), text.closest('div').getBoundingClientRect()];
        return box.left < row.left || box.right > row.right + 1 || box.top < row.top - 3 || box.bottom > row.bottom + 5;
      }).map((text) => text.textContent);
      const over = parts.flatMap(([a, x], i) => parts.slice(i + 1).filter(([, y]) => x.left < y.right - 1 && y.left < x.right - 1 &&
        x.top < y.bottom - 1 && y.top < x.bottom - 1).map(([b]) => `${a} over ${b}`));
      return { cut, over, sizes: [...document.querySelectorAll('#lane g text')].map((text) => Number(text.getAttribute('font-size'))),
        whole: document.documentElement.scrollHeight <= innerHeight && document.documentElement.scrollWidth <= innerWidth,
        rows: document.getElementById('chart').clientHeight / document.querySelector('.bar').offsetHeight };
    });
    demand(seen.whole && !seen.cut.length && !seen.over.length && seen.rows >= 1, { size, ...seen });
    least = Math.min(least, ...seen.sizes);
    await page.screenshot({ path: `${scratch}/page-lane-${size.join('x')}.png` });
    demand(!page.problems.length, page.problems);
    await page.context().close();
  }
  demand(least >= 10, `${least} px`);
  const page = await openPage(browser, s.address, SIZES[0]); /* and once while it plays, for the README */
  s.plugin.tell('roll');
  await until(async () => (await seenIn(page)).figures[0]?.length > 3, 3000, 'bar 10');
  s.plugin.tell('bar 10');
  await sleep(1500);
  await page.screenshot({ path: `${scratch}/page-lane-playing.png` });
  return `${SIZES.length} sizes, the smallest figure ${least} px`;
}

/** More notes than can be read: strokes, and no figures. */
async function crowded({ browser, stand, scratch }) {
  writeFileSync(`${scratch}/crowd.plan`, `bar 1: Gulls at Noon, as it is\nbar 2: One Gull, as it is\n\nX:1\nT:Gulls at Noon\nM:4/4\nL:1/128\nK:G\n${
    'GABcdcBA'.repeat(16)}|\n\nX:2\nT:One Gull\nM:4/4\nL:1/1\nK:G\nG|\n`);
  const s = await stand('twelve-bar', [`plan=${scratch}/crowd.plan`]);
  const page = await openPage(browser, s.address, SIZES[1]);
  s.plugin.tell('bar 1');
  await until(async () => equal((await seenIn(page)).figures.map((x) => x.length), [0, 1]), 3000, 'figures of bar 2 alone');
  const strokes = await page.evaluate(() => document.querySelectorAll('#lane .plays rect').length);
  demand(strokes === 128 && !page.problems.length, [strokes, page.problems]);
}

export async function planTests(at) {
  await test('a_plan_comes_in_parts_whole_or_not_at_all', () => inParts(at));
  await test('the_lane_of_the_page_is_that_of_the_core', () => sameLanes(at));
  await test('who_joins_late_sees_the_lane_on_a_harp_of_their_own', () => onOwnHarp(at));
  await test('the_lane_comes_and_goes_with_the_plan', () => comesAndGoes(at));
  await test('the_lane_goes_through_lead_in_and_ending', () => leadInAndEnding(at));
  await test('in_a_loop_the_lane_goes_on_at_its_beginning', () => inALoop(at));
  await test('notes_too_many_to_be_read_are_strokes', () => crowded(at));
  await test('half_a_plan_is_no_lane', () => halfAPlan(at));
  await timed('the_light_walks_along_the_lane_in_time', () => lightWalks(at));
  await test('the_lane_can_be_read_on_every_screen', () => fits(at));
}
