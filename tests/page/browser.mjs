// SPDX-License-Identifier: ISC
/* Chromium on the page, and what can be seen there. */
import { chromium } from 'playwright-core';
import { afterwards } from './kit.mjs';

export const openBrowser = (executablePath) => chromium.launch({ executablePath, args: ['--no-sandbox'] });

/** A page of that size, looked at; `problems` gathers what must not happen. */
export async function openPage(browser, address, [width, height], before = null) {
  const context = await browser.newContext({ viewport: { width, height } });
  afterwards(() => context.close());
  const page = await context.newPage();
  page.problems = [];
  page.bytes = 0;
  const origin = new URL(address).origin;
  page.on('pageerror', (error) => page.problems.push(error.message));
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) page.problems.push(message.text());
  });
  page.on('request', (request) => {
    if (!request.url().startsWith(origin)) page.problems.push(`asked elsewhere: ${request.url()}`);
  });
  if (before) await before(page, context);
  await page.goto(address);
  await page.waitForFunction(() => globalThis.reedlamp);
  return page;
}

/** Writes down every change of chord, bar and beat with its wall-clock time. */
export const watch = (page) => page.evaluate(() => {
  const text = (id) => (document.getElementById(id) || {}).textContent || '';
  const seen = { changes: [], beats: [], held: [] };
  /* how late the machine is on its own: a timer and a frame that should come at once */
  const hold = (due) => setTimeout(() => requestAnimationFrame(() => {
    seen.held.push(performance.now() - due);
    hold(performance.now() + 150);
  }), Math.max(0, due - performance.now()));
  hold(performance.now() + 150);
  let last = '';
  let beat = null;
  globalThis.seen = seen;
  const look = () => {
    const at = performance.timeOrigin + performance.now();
    const bar = text('now-bar');
    const name = text('now-name');
    const key = `${text('now-chorus')}, ${bar}, ${name}`;
    if (name && key !== last) {
      seen.changes.push({ at, chorus: Number(/chorus (\d+)/.exec(text('now-chorus'))?.[1]),
        bar: Number(/bar (\d+) of/.exec(bar)?.[1]), now: name.replace(/♭/g, 'b').replace(/♯/g, '#'),
        next: text('next-name').replace(/♭/g, 'b').replace(/♯/g, '#') });
      last = key;
    }
    const lit = document.querySelector('[data-beat]');
    if (lit !== beat) {
      beat = lit;
      if (lit) seen.beats.push({ at, beat: Number(lit.dataset.beat) });
    }
  };
  new MutationObserver(look).observe(document.getElementById('picture'), { childList: true, subtree: true });
  look();
});

export const watched = (page) => page.evaluate(() => globalThis.seen);

export const textOf = (page, id) => page.evaluate((name) => document.getElementById(name)?.textContent || '', id);

export const statusOf = (page) => page.evaluate(() => document.body.dataset.status);

/** Role, figure and so on of a lamp as drawn: `6-draw1`. */
export const lampOf = (page, id) => page.evaluate((name) => {
  const lamp = document.querySelector(`[data-note="${name}"]`);
  if (!lamp) return null;
  const [reached, glass, figure] = lamp.dataset.looks.split('|');
  return { reached: reached === '1', glass, figure };
}, id);

export const litLamps = (page) => page.evaluate(() => [...document.querySelectorAll('[data-note]')]
  .filter((lamp) => !['off', 'rub', 'pass'].includes(lamp.dataset.looks.split('|')[1])).length);
