/* Phrases planned in the DAW: how the plan comes to the server. */
import dgram from 'node:dgram';
import { afterwards, demand, freePort, read, serve, test, until } from './kit.mjs';

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

/** A server and somebody who sends it parts; `plan` is what it then serves. */
async function heard(build) {
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
  const s = await heard(build);
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

export async function planTests(at) {
  await test('a_plan_comes_in_parts_whole_or_not_at_all', () => inParts(at));
}
