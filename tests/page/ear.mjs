// SPDX-License-Identifier: ISC
/* Followed by ear: what the page says of it, told by hand in the messages of plugin/OSC.md. */
import dgram from 'node:dgram';
import { openPage, textOf } from './browser.mjs';
import { afterwards, demand, freePort, serve, test, until } from './kit.mjs';

const padded = (text) => Buffer.from(`${text}${'\0'.repeat(4 - text.length % 4)}`);

function argument(type, value) {
  const bytes = Buffer.alloc(4);
  if (type === 's') return padded(value);
  return type === 'i' ? (bytes.writeInt32BE(value), bytes) : (bytes.writeFloatBE(value), bytes);
}

/** A bundle of [address, types, values...], of now (OSC 1.0: seconds since 1900). */
function bundle(...messages) {
  const tag = Buffer.alloc(8);
  tag.writeUInt32BE(Math.floor(Date.now() / 1000) + 2208988800);
  tag.writeUInt32BE(Math.floor(Date.now() % 1000 / 1000 * 2 ** 32), 4);
  return Buffer.concat([padded('#bundle'), tag, ...messages.flatMap(([address, types, ...values]) => {
    const bytes = Buffer.concat([padded(address), padded(`,${types}`), ...values.map((value, i) => argument(types[i], value))]);
    const length = Buffer.alloc(4);
    length.writeInt32BE(bytes.length);
    return [length, bytes];
  })]);
}

async function sure({ build, browser }) {
  const [web, port] = [await freePort(), await freePort()];
  const server = await serve(build, [`--port=${web}`, `--osc=${port}`]);
  const socket = dgram.createSocket('udp4');
  afterwards(() => {
    socket.close();
    server.kill();
  });
  const page = await openPage(browser, server.address, [320, 568]);
  const tell = (place, how, by) => socket.send(bundle(['/reedlamp/harp', 'ssis', 'C', 'Richter', 2, 'G'], ['/reedlamp/transport', 'iffi', 1, 60, 4, 4],
    ['/reedlamp/place', 'iiiff', ...place, by], ['/reedlamp/sure', 'fs', by, how]), port, '127.0.0.1');
  const says = (id, words) => until(async () => (await textOf(page, id)) === words, 3000, `${id}: ${words}`);
  tell([0, 0, 12, 0], 'listening', 0);
  await says('status', 'listening');
  await says('sure', '');
  tell([1, 3, 12, 1], 'found', 0.75);
  await says('status', 'playing');
  await says('sure', '75 % sure');
  demand(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'it fits');
  tell([1, 3, 12, 2], 'off', 1);
  await says('sure', '');
  demand(!page.problems.length, page.problems);
}

export async function earTests(at) {
  await test('by_ear_the_page_says_how_sure_it_is', () => sure(at));
}
