// SPDX-License-Identifier: ISC
/* The page from outside: its server, the page in Chromium, good and bad networks. Usage:
   run.mjs BUILD CHROMIUM SCRATCH [WORD...]; prints a line a test and the count (see ../counting.sh), writes pictures into SCRATCH. */
import path from 'node:path';
import { beamerTests } from './beamer.mjs';
import { openBrowser } from './browser.mjs';
import { earTests } from './ear.mjs';
import { afterwards, count, endAll, freePort, only, serve, startPlugin } from './kit.mjs';
import { musicTests } from './music.mjs';
import { networkTests } from './network.mjs';
import { pageTests } from './pages.mjs';
import { planTests } from './plans.mjs';
import { playedTests } from './played.mjs';
import { practiceTests } from './practice.mjs';
import { serverTests } from './servers.mjs';
import { sheetTests } from './sheets.mjs';
import { strangerTests } from './strangers.mjs';

const [build, chromium, scratch, ...wanted] = process.argv.slice(2);
only(wanted);
const top = path.resolve(import.meta.dirname || path.dirname(new URL(import.meta.url).pathname), '../..');
const chart = (name) => `${top}/presets/${name}.chart`;

/** A server and a plugin that sends to it, for a group of tests. */
async function standFor(name, pluginArgs = [], more = []) {
  const [web, osc] = [await freePort(), await freePort()];
  const args = [`--port=${web}`, `--osc=${osc}`, ...more];
  const server = await serve(build, args);
  const plugin = startPlugin(build, name.includes('/') ? name : chart(name), osc, pluginArgs);
  return { server, plugin, web, osc, args, address: server.address };
}

/** The same for one test. */
async function stand(...how) {
  const s = await standFor(...how);
  afterwards(() => {
    s.server.kill();
    s.plugin.kill();
  });
  return s;
}

process.on('SIGTERM', () => {
  endAll();
  process.exit(143);
});
const browser = await openBrowser(chromium);
try {
  const at = { build, chromium, scratch, top, chart, browser, stand, standFor };
  await pageTests(at);
  await planTests(at);
  await earTests(at);
  await playedTests(at);
  await practiceTests(at);
  await sheetTests(at);
  await musicTests(at);
  await serverTests(at);
  await beamerTests(at);
  await strangerTests(at);
  await networkTests(at);
} finally {
  await browser.close();
  endAll();
}
console.log(`${count.passed} passed, ${count.failed} failed, ${count.skipped} skipped`);
process.exit(count.failed || !(count.passed + count.skipped) ? 1 : 0);
