// SPDX-License-Identifier: ISC
/* The code on a beamer, photographed: ImageMagick spoils the picture as lenses, walls and phones do, and the npm package jsqr,
   which knows nothing of ours, reads it. Both the page with the large code and the one in a terminal. */
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { afterwards, demand, test } from './kit.mjs';
import { paint } from './qr.mjs';

const jsQR = createRequire(import.meta.url)('jsqr');
const [WIDTH, HEIGHT] = [1280, 960]; /* of the photograph */

const convert = (args, input) => execFileSync('convert', args, { input, maxBuffer: 1 << 26 });

/** What is done to a photograph. A head before a code with less correction is too much; what is read worst where modules are
    large, little contrast with a raised black, comes with a smaller picture. */
const DAMAGE = {
  'nothing': [],
  'out of focus': ['-blur', '0x4'],
  'from the side': ['-virtual-pixel', 'edge', '-distort', 'Perspective',
    `0,0 220,180 ${WIDTH},0 ${WIDTH - 60},300 ${WIDTH},${HEIGHT} ${WIDTH - 220},${HEIGHT - 140} 0,${HEIGHT} 40,${HEIGHT}`],
  'in a bright room': ['-resize', '50%', '+level', '45%,90%', '-attenuate', '0.06', '+noise', 'Gaussian'],
  'a dim lamp': ['+level', '8%,45%', '-attenuate', '0.06', '+noise', 'Gaussian'],
  'a warm light': ['-fill', '#FF9040', '-tint', '60', '-channel', 'B', '-evaluate', 'multiply', '0.3', '+channel'],
  'a green wall': ['-channel', 'RB', '-evaluate', 'multiply', '0.45', '+channel'],
  'a spot of light': ['(', '-size', `${WIDTH}x${HEIGHT}`, 'radial-gradient:white-gray(30%)', ')', '-compose', 'multiply', '-composite'],
  'a poor picture': ['-quality', '6'],
  'a head before it': ['-fill', '#555', '-draw', 'circle CENTRE'], /* as wide as eight modules */
  'from far away': ['-resize', '30%'],
  'all of it': ['-blur', '0x2.4', '-virtual-pixel', 'edge', '-distort', 'Perspective',
    `0,0 100,80 ${WIDTH},0 ${WIDTH - 40},120 ${WIDTH},${HEIGHT} ${WIDTH - 90},${HEIGHT - 60} 0,${HEIGHT} 30,${HEIGHT}`,
    '-channel', 'B', '-evaluate', 'multiply', '0.6', '+channel', '+level', '20%,75%', '-attenuate', '0.06', '+noise', 'Gaussian', '-quality', '20'],
};

/** The words on a spoilt picture; empty if none are found. Number `frame` of a row of them: the hand has moved a little. */
function photographed(picture, damage, [x, y], frame = 0) {
  const shot = convert(['-', '-resize', `${WIDTH}x${HEIGHT}`, '-background', 'black', '-gravity', 'center', '-extent', `${WIDTH}x${HEIGHT}`,
    '+gravity', '-roll', `+${3 * frame}+${2 * frame}`, '-seed', `${7 + frame}`, ...damage.map((word) => word.replace('CENTRE', `${x},${y} ${x},${y + 57}`)), 'jpg:-'], picture);
  const [width, height] = convert(['jpg:-', '-format', '%w %h', 'info:'], shot).toString().split(' ').map(Number);
  const code = jsQR(new Uint8ClampedArray(convert(['jpg:-', '-depth', '8', 'rgba:-'], shot)), width, height);
  return { text: code ? code.data : '', shot };
}

/** Every address is another code, and of some hundred with every damage at once the reader misses one: a phone has the next
    picture within a thirtieth of a second. So of five in a row one may be lost; it is said. */
function survives(picture, address, name, centre, scratch) {
  const lost = Object.entries(DAMAGE).filter(([what, damage]) => {
    const { text, shot } = photographed(picture, damage, centre);
    if (text === address) return false;
    writeFileSync(`${scratch}/beamer-${name}-${what.replaceAll(' ', '-')}.png`, convert(['jpg:-', 'png:-'], shot));
    console.log(`again - the code on a beamer, ${what}: not read in the first picture (${address})`);
    return [1, 2, 3, 4].some((frame) => photographed(picture, damage, centre, frame).text !== address);
  }).map(([what]) => what);
  demand(!lost.length, `not read: ${lost.join(', ')}`);
  return `${Object.keys(DAMAGE).length} photographs`;
}

async function onThePage({ stand, browser, scratch }) {
  const s = await stand('twelve-bar', [], ['--lan=127.0.0.2']);
  const context = await browser.newContext({ viewport: { width: 1280, height: 720 } });
  afterwards(() => context.close());
  const page = await context.newPage();
  const problems = [];
  page.on('console', (message) => problems.push(message.text()));
  await page.goto(`${s.address}code`);
  const picture = await page.screenshot({ path: `${scratch}/page-code.png` });
  const words = /type: (.*)\n/.exec(s.server.said)[1];
  const text = await page.evaluate(() => document.body.innerText);
  demand(text.includes(words) && text.includes(`http://127.0.0.2:${s.web}`) && !text.includes(s.address), text);
  demand(!problems.length, problems);
  return survives(picture, s.address, 'page', [640, 415], scratch);
}

/** A dark terminal, as large as the beamer. */
async function inTheTerminal({ stand, scratch }) {
  const s = await stand('twelve-bar', [], ['--lan=127.0.0.2']);
  const { pixels, width, height } = paint(s.server.said, 8, 0);
  const picture = convert(['-size', `${width}x${height}`, '-depth', '8', 'rgba:-', '-background', 'black', '-gravity', 'center',
    '-extent', '720x540', 'png:-'], Buffer.from(pixels));
  return survives(picture, s.address, 'terminal', [640, 480], scratch);
}

export async function beamerTests(at) {
  await test('the_code_survives_a_beamer', () => onThePage(at));
  await test('the_code_in_a_terminal_survives_one_too', () => inTheTerminal(at));
}
