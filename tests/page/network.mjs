// SPDX-License-Identifier: ISC
/* The cable between plugin and page server is pulled, in network namespaces of the test's own. */
import { execFileSync } from 'node:child_process';
import { Skipped, afterwards, demand, run, timed, within } from './kit.mjs';

const SPACES = ['plugin', 'page'].map((name) => `reedlamp-${process.pid}-${name}`);
const ip = (...words) => execFileSync('ip', words, { stdio: 'pipe' });
const addressOf = (n) => `10.78.0.${n + 1}`;

function build() {
  SPACES.forEach((name) => ip('netns', 'add', name));
  ip('link', 'add', 'lamp', 'netns', SPACES[0], 'type', 'veth', 'peer', 'name', 'lamp', 'netns', SPACES[1]);
  SPACES.forEach((name, n) => {
    ip('-n', name, 'link', 'set', 'lo', 'up');
    ip('-n', name, 'address', 'add', `${addressOf(n)}/24`, 'dev', 'lamp');
    ip('-n', name, 'link', 'set', 'lamp', 'up');
    ip('-n', name, 'route', 'replace', '224.0.0.0/4', 'dev', 'lamp');
  });
}

function remove() {
  SPACES.forEach((name) => {
    try {
      ip('netns', 'delete', name);
    } catch {
      /* it never was */
    }
  });
}

async function cablePulled(at) {
  afterwards(remove);
  try {
    build();
  } catch (error) {
    throw new Skipped(`network namespaces are not allowed here: ${String(error.stderr || error.message).trim()}`);
  }
  const script = new URL('cable.mjs', import.meta.url).pathname;
  const said = await run('ip', ['netns', 'exec', SPACES[1], process.execPath, script, at.build, at.chromium, SPACES[0], addressOf(1)]);
  const found = JSON.parse(said.trim().split('\n').at(-1) || '{}');
  demand(found.back !== undefined && !found.problems.length, found.wrong || found.problems || 'it broke off');
  return `silence said after ${within(found.silent, 6000)}, back ${within(found.back, 3000)} after the cable, run() at most ${
    within(found.longest, 5)}; a multicast group is heard by two`;
}

export async function networkTests(at) {
  await timed('the_page_is_back_three_seconds_after_the_cable', () => cablePulled(at));
}
