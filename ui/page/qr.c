/* SPDX-License-Identifier: ISC */
#include "ui/page/qr.h"

#include <assert.h>
#include <qrencode.h>

enum { QUIET_ZONE = 2 /* modules; the standard asks for four, the terminal's margin adds some */ };

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
  QRcode *const code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_L);
  if (!code) {
    return false;
  }
  for (int y = -QUIET_ZONE; y < code->width + QUIET_ZONE; y += 2) {
    fputs(coloured ? "\x1b[97;40m" : "", to);
    for (int x = -QUIET_ZONE; x < code->width + QUIET_ZONE; ++x) {
      fputs(halves[dark(code, x, y)][dark(code, x, y + 1)], to);
    }
    fputs(coloured ? "\x1b[0m\n" : "\n", to);
  }
  QRcode_free(code);
  return true;
}
