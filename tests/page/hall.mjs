// SPDX-License-Identifier: ISC
/* Inside a network namespace (hall.sh): nginx as ui/page/HALL.md has it, three page servers behind it, the plugin, and
   hall.c with so many streams. Usage: hall.mjs BUILD [STREAMS [SECONDS]]; says what it found in lines, the last one in JSON. */
import { spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { endAll, serve, sleep, startPlugin, strict, until } from './kit.mjs';

const [build, streams = '1000', seconds = '20'] = process.argv.slice(2);
const top = path.resolve(path.dirname(new URL(import.meta.url).pathname), '../..');
const GROUP = '239.77.1.2';
const OSC = 9911;
const PORTS = [9921, 9922, 9923];
const KEY = 'abcdefghijkm-barn-lamp-reed-tulip';
const HOST = 'band.local:8080';
const TICK = 10; /* ms, of /proc */
const aim = { late: 60, away: 3 };
const scratch = mkdtempSync(path.join(tmpdir(), 'reedlamp-hall-'));

const block = (text, name) => new RegExp(`^\`\`\`${name}\n(.*?)^\`\`\``, 'ms').exec(text)[1];

function startNginx() {
  const page = readFileSync(`${top}/ui/page/HALL.md`, 'utf8');
  mkdirSync(`${scratch}/logs`);
  const places = ['client_body', 'proxy', 'fastcgi', 'uwsgi', 'scgi'].map((what) => `${what}_temp_path ${scratch}/${what};`).join('\n');
  const all = block(page, 'nginx').replace('limit_conn phones 24;', ''); /* all of these come from one address */
  writeFileSync(`${scratch}/nginx.conf`, `daemon off; user root; pid ${scratch}/pid;\n${block(page, 'nginx-main')}
http {\n${places}\n${all}}\n`);
  const nginx = spawn('nginx', ['-e', `${scratch}/logs/error`, '-p', scratch, '-c', `${scratch}/nginx.conf`], { stdio: ['ignore', 'inherit', 'inherit'] });
  nginx.ended = new Promise((done) => nginx.on('exit', done));
  return nginx;
}

const startServer = (port) => serve(build, [`--port=${port}`, `--osc=${GROUP}:${OSC}`, '--readers=1000', `--key=${KEY}`, `--host=${HOST}`]);

/** Processor time of a process in ms, and its memory at most in MiB. */
function costOf(pid) {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').replace(/^.*\) /, '').split(' ');
  return { time: TICK * (Number(fields[11]) + Number(fields[12])),
    memory: Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))[1]) / 1024 };
}

const workerOf = (nginx) => {
  const children = readFileSync(`/proc/${nginx.pid}/task/${nginx.pid}/children`, 'utf8').trim().split(' ');
  return Number(children[0]);
};

const problems = [];
const expect = (so, what) => {
  if (!so) problems.push(what);
};

/** What came of a phase, in words; figures beyond their aims are problems. */
function judge(name, found, loss) {
  const bound = strict ? 1 : 10;
  expect(found.p95 <= bound * aim.late, `${name}: beats ${found.p95} ms late (95 %), aim ${aim.late}`);
  expect(found.away <= aim.away * (strict ? 1 : 3), `${name}: away for ${found.away} s, aim ${aim.away}`);
  expect(found.open === Number(streams), `${name}: ${found.open} streams of ${streams}`);
  expect(found.beats > 3 && found.missed <= (strict ? 0 : found.events / 20), `${name}: ${found.missed} of ${found.events} beats missed`);
  expect(loss ? found.lost > 0 : found.lost === 0, `${name}: ${found.lost} streams were cut off`);
  console.log(`${name}: ${found.beats} beats to ${found.open} streams, late by ${found.p50} ms (half), ${found.p95} (95 %), ${
    found.p99} (99 %), ${found.most} at most; ${found.missed} missed${loss ? `; ${found.lost} cut off, back after ${found.away} s at most` : ''}`);
}

async function listen(hall) {
  const answers = [];
  let wake = () => {};
  hall.stdout.setEncoding('utf8');
  hall.stdout.on('data', (data) => {
    answers.push(...data.split('\n').filter(Boolean).map(JSON.parse));
    wake();
  });
  return async (line) => {
    hall.stdin.write(`${line}\n`);
    while (!answers.length) await new Promise((done) => { wake = done; });
    return answers.shift();
  };
}

function costs(before, pids, began) {
  const passed = performance.now() - began;
  return Object.fromEntries(Object.entries(pids).map(([name, pid]) => {
    const now = costOf(pid);
    return [name, { share: Math.round(1000 * (now.time - before[name].time) / passed) / 10, memory: Math.round(10 * now.memory) / 10 }];
  }));
}

async function run(servers, nginx, plugin) {
  const hall = spawn(`${build}/tests/page/hall`, [`${GROUP}:${OSC}`, streams, '127.0.0.1:8080', `/${KEY.slice(0, 12)}/`, HOST],
    { stdio: ['pipe', 'pipe', 'inherit'] });
  const found = {};
  try {
    const tell = await listen(hall);
    const time = 1000 * Number(seconds);
    await sleep(3000 + 2 * Number(streams));
    await tell('phase steady');
    const pids = { server1: servers[0].pid, server2: servers[1].pid, server3: servers[2].pid, nginx: workerOf(nginx), client: hall.pid };
    const before = Object.fromEntries(Object.entries(pids).map(([name, pid]) => [name, costOf(pid)]));
    const began = performance.now();
    await sleep(time);
    found.costs = costs(before, pids, began);
    judge('steady', found.steady = await tell('phase killed'), false);
    servers[0].kill('SIGKILL');
    await sleep(time);
    judge('one killed', found.killed = await tell('phase replaced'), true);
    servers[0] = await startServer(PORTS[0]);
    await sleep(time);
    judge('replaced', found.replaced = await tell('phase killed again'), false);
    servers[1].kill('SIGKILL');
    await sleep(500);
    servers[1] = await startServer(PORTS[1]);
    await sleep(time);
    judge('another one killed, replaced at once', found.again = await tell('phase stopped'), true);
    servers[2].kill('SIGSTOP');
    await sleep(Math.max(time, 7000)); /* two seconds until that is noticed, and two for asking it once more */
    found.stopped = await tell('end');
    expect(found.stopped.away <= (strict ? 5 : 15), `stopped: away for ${found.stopped.away} s, aim 5`);
    console.log(`one stopped without ending: ${found.stopped.lost} cut off, back after ${found.stopped.away} s at most`);
    expect(found.stopped.lost > 0 && found.stopped.open === Number(streams), `stopped: ${JSON.stringify(found.stopped)}`);
  } finally {
    hall.kill();
    plugin.tell('quit');
    servers[2].kill('SIGCONT');
  }
  return found;
}

let nginx = null;
let found = {};
try {
  nginx = startNginx();
  const servers = [];
  for (const port of PORTS) servers.push(await startServer(port));
  const plugin = startPlugin(build, `${top}/presets/twelve-bar.chart`, OSC, [`to=${GROUP}`, 'tempo=120']);
  plugin.tell('roll');
  await until(() => plugin.log.length > 1, 4000, 'the plugin plays');
  await until(() => servers.every((server) => server.said.includes('The plugin is heard')), 4000, 'the servers hear it');
  found = await run(servers, nginx, plugin);
  for (const [name, cost] of Object.entries(found.costs)) console.log(`${name}: ${cost.share} % of a core, ${cost.memory} MiB at most`);
} catch (error) {
  problems.push(String(error.stack || error));
} finally {
  if (nginx) nginx.kill('SIGQUIT');
  endAll();
  rmSync(scratch, { recursive: true, force: true });
}
console.log(JSON.stringify({ problems, ...found }));
process.exit(problems.length ? 1 : 0);
