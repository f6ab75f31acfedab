// SPDX-License-Identifier: ISC
/* Sends so many megabytes of noise to a port, some of it almost right. Usage: noise.mjs PORT MEGABYTES */
import dgram from 'node:dgram';

const [port, megabytes] = process.argv.slice(2).map(Number);
const socket = dgram.createSocket('udp4');
const noise = Buffer.alloc(8000);
let bytes = 0;
for (let i = 0; bytes < megabytes * 1e6; ++i) {
  for (let at = 0; at < noise.length; at += 4) noise.writeInt32LE((Math.random() * 4294967296) | 0, at);
  if (i % 4 === 1) noise.write('#bundle\0', 0, 'latin1');
  if (i % 4 === 2) noise.write('/reedlamp/place\0,iiiff\0\0', 0, 'latin1');
  const size = i % 4 === 3 ? 1 + i % 400 : noise.length;
  await new Promise((done) => socket.send(noise, 0, size, port, '127.0.0.1', done));
  bytes += size;
}
socket.close();
process.stdout.write(`${Math.floor(bytes / 1e6)} MB`);
