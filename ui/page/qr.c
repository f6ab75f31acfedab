/* SPDX-License-Identifier: ISC */
#include "ui/page/qr.h"

#include <assert.h>
#include <qrencode.h>

enum { QUIET_ZONE = 4 /* modules */ };

/* With a medium level of correction, and more where that takes no more modules: what is shown in
   one place has smaller modules the more there are, and a beamer blurs small ones. */
static QRcode *
code_make(const char *const text)
{
  static const QRecLevel more[] = {QR_ECLEVEL_H, QR_ECLEVEL_Q};
  QRcode *const          code   = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
  for (size_t i = 0; code && i < sizeof(more) / sizeof(more[0]); ++i) {
    QRcode *const better = QRcode_encodeString8bit(text, code->version, more[i]);
    if (better && better->version == code->version) {
      QRcode_free(code);
      return better;
    }
    QRcode_free(better);
  }
  return code;
}

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
  QRcode *const code = code_make(text);
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
  QRcode *const code = code_make(text);
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
