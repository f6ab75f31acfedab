// SPDX-License-Identifier: ISC
/* Reads the QR code that the server prints in half blocks, with the npm package jsqr: a reader that knows nothing of ours. */
import { createRequire } from 'node:module';

const jsQR = createRequire(import.meta.url)('jsqr');
const SCALE = 8; /* pixels a module */
const QUIET_ZONE = 4; /* light modules around the code, as the standard (ISO/IEC 18004) asks; the terminal's margin */

/** Rows of light modules, as printed: the terminal draws light on dark. */
const lightRows = (printed) => printed.split('\n').filter((line) => /^[█▀▄ ]+$/.test(line) && line.length > 20)
  .flatMap((line) => [[...line].map((c) => c === '█' || c === '▀'), [...line].map((c) => c === '█' || c === '▄')]);

/** The printed code as pixels (RGBA), so many a module, with so many light modules around it. */
export function paint(printed, scale, around) {
  const rows = lightRows(printed);
  const width = (rows[0].length + 2 * around) * scale;
  const height = (rows.length + 2 * around) * scale;
  const pixels = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let y = 0; y < height; ++y) {
    for (let x = 0; x < width; ++x) {
      const light = rows[Math.floor(y / scale) - around]?.[Math.floor(x / scale) - around] ?? true;
      pixels.fill(light ? 255 : 0, 4 * (y * width + x), 4 * (y * width + x) + 3);
    }
  }
  return { pixels, width, height };
}

/** The words on the code; an error if the reader finds none. */
export function readCode(printed) {
  const { pixels, width, height } = paint(printed, SCALE, QUIET_ZONE);
  const code = jsQR(pixels, width, height);
  if (!code) throw new Error('no QR code that a reader finds');
  return code.data;
}
