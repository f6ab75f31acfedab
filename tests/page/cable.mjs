// SPDX-License-Identifier: ISC
/* Inside a network namespace (see network.mjs): the page and its server here, the plugin in another one, a cable between
   them. Usage: cable.mjs BUILD CHROMIUM PLUGIN-NAMESPACE ADDRESS-HERE; writes what was found as a line of JSON. */
import { execFileSync } from 'node:child_process';
import path from 'node:path';
import { openBrowser, openPage, statusOf, textOf } from './browser.mjs';
import { endAll, freePort, startPluginIn, read, serve, sleep, until } from './kit.mjs';

const [build, chromium, space, here] = process.argv.slice(2);
const GROUP = '239.77.1.2';
const DOWN = 10000;
const chart = path.join(path.dirname(new URL(import.meta.url).pathname), '../../presets/twelve-bar.chart');
const ip = (...words) => execFileSync('ip', words);

function cable(state) {
  ip('-n', space, 'link', 'set', 'lamp', state);
  if (state === 'up') ip('-n', space, 'route', 'replace', '224.0.0.0/4', 'dev', 'lamp');
}

async function pulled(browser) {
  const osc = await freePort();
  const server = await serve(build, [`--port=${await freePort()}`, `--osc=${here}:${osc}`]);
  const plugin = startPluginIn(space, build, chart, osc, [`to=${here}`, 'tempo=120']);
  plugin.tell('roll');
  const page = await openPage(browser, server.address, [360, 740]);
  const played = async () => (await statusOf(page)) === 'playing' &&
    (await textOf(page, 'now-bar')) === `bar ${plugin.log.at(-1).bar} of 12`;
  await until(played, 3000, 'playing');
  cable('down');
  const from = performance.now();
  const silent = await until(async () => (await statusOf(page)) === 'silent', 8000, 'silence is said');
  await sleep(DOWN - (performance.now() - from));
  cable('up');
  const back = await until(played, 6000, 'back, in the right bar');
  // the browser itself breaks off what it is loading when a link goes; that the page is back is what counts
  const problems = page.problems.filter((problem) => !problem.endsWith('net::ERR_NETWORK_CHANGED'));
  plugin.tell('quit');
  await plugin.done;
  server.kill();
  return { silent, back, longest: Number(/run\(\): ([\d.]+) ms/.exec(plugin.complained)[1]), problems };
}

/** Two page servers hear one group. */
async function toMany() {
  const osc = await freePort();
  const servers = [];
  for (let i = 0; i < 2; ++i) servers.push(await serve(build, [`--port=${await freePort()}`, `--osc=${GROUP}:${osc}`]));
  const plugin = startPluginIn(space, build, chart, osc, [`to=${GROUP}`]);
  const readers = servers.map((server) => read(server.address));
  await until(() => readers.every((r) => r.states.some((x) => x.place && x.place[2] === 1)), 4000, 'both hear the group');
  plugin.kill();
}

let browser = null;
try {
  browser = await openBrowser(chromium);
  const found = await pulled(browser);
  await toMany();
  console.log(JSON.stringify(found));
} catch (error) {
  console.log(JSON.stringify({ wrong: String(error.stack || error) }));
} finally {
  if (browser) await browser.close();
  endAll();
}
process.exit(0);
