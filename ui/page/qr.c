/* SPDX-License-Identifier: ISC */
#include "ui/page/qr.h"

#include <assert.h>
#include <qrencode.h>

enum { QUIET_ZONE = 4 /* modules */ };

/* So much of a code may be damaged. Higher levels have more modules, smaller ones where there is no
   more space; tests/page/beamer.mjs shows what each of them survives. */
static const QRecLevel level = QR_ECLEVEL_M;

static bool
dark(const QRcode *const code, const int x, const int y)
{
  return x >= 0 && y >= 0 && x < code->width && y < code->width &&
         code->data[y * code->width + x] & 1;
}

bool
rl_qr_print(const char *const text, const bool coloured, FILE *const to)
{
  /* by [upper is dark][lower is dark], light modules drawn */
  static const char *const halves[2][2] = {{"\xE2\x96\x88", "\xE2\x96\x80"}, {"\xE2\x96\x84", " "}};
  assert(text && *text);
  QRcode *const code = QRcode_encodeString8bit(text, 0, level);
  if (!code) {
    return false;
  }
  for (int y = -QUIET_ZONE; y < code->width + QUIET_ZONE; y += 2) {
    /* white and black of the colour cube: a terminal's theme leaves them alone */
    fputs(coloured ? "\x1b[38;5;231;48;5;16m" : "", to);
    for (int x = -QUIET_ZONE; x < code->width + QUIET_ZONE; ++x) {
      fputs(halves[dark(code, x, y)][dark(code, x, y + 1)], to);
    }
    fputs(coloured ? "\x1b[0m\n" : "\n", to);
  }
  QRcode_free(code);
  return true;
}

bool
rl_qr_draw(const char *const text, FILE *const to)
{
  assert(text && *text);
  QRcode *const code = QRcode_encodeString8bit(text, 0, level);
  if (!code) {
    return false;
  }
  const int side = code->width + 2 * QUIET_ZONE;
  fprintf(to,
          "<svg viewBox=\"0 0 %d %d\" shape-rendering=\"crispEdges\" role=\"img\" "
          "aria-label=\"code to scan\"><path fill=\"#FFF\" d=\"M0 0H%dV%dH0z\"/><path d=\"",
          side, side, side, side);
  for (int y = 0; y < code->width; ++y) {
    for (int x = 0, end; x < code->width; x = end) {
      for (end = x; dark(code, end, y); ++end) {
      }
      if (end > x) {
        fprintf(to, "M%d %dh%dv1h-%dz", x + QUIET_ZONE, y + QUIET_ZONE, end - x, end - x);
      }
      end += end == x;
    }
  }
  fputs("\"/></svg>\n", to);
  QRcode_free(code);
  return true;
}
