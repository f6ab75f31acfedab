// SPDX-License-Identifier: ISC
/* Reads a QR code as printed in half blocks: a reader of its own for what the server prints, up to version 5, the lowest
   level of correction (ISO/IEC 18004), without correcting anything. */

const MASKS = [(x, y) => (x + y) % 2, (x, y) => y % 2, (x) => x % 3, (x, y) => (x + y) % 3,
  (x, y) => (Math.floor(y / 2) + Math.floor(x / 3)) % 2, (x, y) => (x * y) % 2 + (x * y) % 3,
  (x, y) => ((x * y) % 2 + (x * y) % 3) % 2, (x, y) => ((x + y) % 2 + (x * y) % 3) % 2];
const LOWEST = 1; /* level L, as the format writes it */

/** Rows of dark modules, without the light ones around. */
function modulesOf(printed, margin) {
  const rows = printed.split('\n').filter((line) => /^[█▀▄ ]+$/.test(line) && line.length > 20)
    .flatMap((line) => [[...line].map((c) => c === '▄' || c === ' '), [...line].map((c) => c === '▀' || c === ' ')]);
  const size = rows[0].length - 2 * margin;
  return rows.slice(margin, margin + size).map((row) => row.slice(margin, margin + size));
}

/** Is it part of the pattern that every code of this size has? */
function isFixed(size, x, y) {
  const corner = (x < 9 && y < 9) || (x >= size - 8 && y < 9) || (x < 9 && y >= size - 8);
  const aligns = size > 21 && Math.abs(x - (size - 7)) <= 2 && Math.abs(y - (size - 7)) <= 2;
  return corner || aligns || x === 6 || y === 6;
}

function maskOf(code) {
  const along = [0, 1, 2, 3, 4, 5, 7, 8];
  const bits = [...along.map((x) => code[8][x]), ...[7, 5, 4, 3, 2, 1, 0].map((y) => code[y][8])];
  const format = bits.reduce((all, bit) => all * 2 + Number(bit), 0) ^ 0x5412;
  if (format >> 13 !== LOWEST) throw new Error('another level of correction');
  return MASKS[format >> 10 & 7];
}

/** The words on the code. */
export function readCode(printed, margin = 2) {
  const code = modulesOf(printed, margin);
  const size = code.length;
  const mask = maskOf(code);
  const bits = [];
  for (let right = size - 1, up = true; right > 0; right -= 2, up = !up) {
    if (right === 6) right = 5;
    for (let i = 0; i < size; ++i) {
      const y = up ? size - 1 - i : i;
      for (const x of [right, right - 1]) {
        if (!isFixed(size, x, y)) bits.push(Number(code[y][x] !== (mask(x, y) === 0)));
      }
    }
  }
  const number = (from, count) => bits.slice(from, from + count).reduce((all, bit) => all * 2 + bit, 0);
  if (number(0, 4) !== 4) throw new Error('no bytes');
  return String.fromCharCode(...Array.from({ length: number(4, 8) }, (_, i) => number(12 + 8 * i, 8)));
}
