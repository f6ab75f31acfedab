/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/picture.h"

#include "core/ear/phrase/spectra.h"

#include <math.h>

enum { WINDOW = 4096, PADDED = 8192, COLUMNS_EACH = 50 /* a second, at most */ };

static const float depth = 60; /* dB */

typedef struct {
  RlFft *fft;
  float *hann, *scratch, *cell;
  RlBin *bins[2];
} Work;

static void
work_take(Work *const w, RlLiftRoom *const room)
{
  void *const fft = rl_lift_take(room, 1, rl_fft_bytes(PADDED));
  w->hann         = rl_lift_take(room, WINDOW, sizeof(float));
  w->scratch      = rl_lift_take(room, PADDED, sizeof(float));
  w->bins[0]      = rl_lift_take(room, PADDED / 2 + 1, sizeof(RlBin));
  w->bins[1]      = rl_lift_take(room, PADDED / 2 + 1, sizeof(RlBin));
  w->cell =
    rl_lift_take(room, (size_t)RL_LIFT_PICTURE_COLUMNS * RL_LIFT_PICTURE_ROWS, sizeof(float));
  if (room->memory) {
    w->fft = rl_fft_begin(fft, PADDED);
    rl_lift_hann(w->hann, WINDOW);
  }
}

size_t
rl_lift_picture_bytes(void)
{
  RlLiftRoom room = {0};
  Work       work = {0};
  work_take(&work, &room);
  return room.most;
}

static float
power_at(const Work *const w, const int bin, const bool stereo)
{
  float power = 0;
  for (int side = 0; side <= stereo; ++side) {
    const RlBin b = w->bins[side][bin];
    power += b.re * b.re + b.im * b.im;
  }
  return power;
}

/* The loudest line within a quarter of a tone of the row's pitch, the nearest one at least. */
static float
row_loud(const Work *const w, const int row, const float tuning, const bool stereo)
{
  static const float line  = (float)RL_LIFT_RATE / PADDED;
  const float        pitch = (float)(RL_LIFT_PICTURE_LOWEST + row) + tuning;
  const float        hertz = 440 * exp2f((pitch - 69) / 12), half = exp2f(1.0F / 24);
  const int          nearest = (int)lroundf(hertz / line);
  const int          first = (int)ceilf(hertz / half / line), last = (int)(hertz * half / line);
  float              most = power_at(w, nearest, stereo);
  for (int bin = first; bin <= last && bin < PADDED / 2; ++bin) {
    most = fmaxf(most, power_at(w, bin, stereo));
  }
  return most;
}

int
rl_lift_picture(const RlLiftSound *const sound, const size_t from, const size_t samples,
                const float tuning, void *const memory, uint8_t *const cells)
{
  RlLiftRoom   room    = {memory, 0, 0};
  Work         w       = {0};
  const bool   stereo  = sound->right != NULL;
  const size_t many    = samples * COLUMNS_EACH / RL_LIFT_RATE;
  const int    columns = many < 1                         ? 1
                         : many < RL_LIFT_PICTURE_COLUMNS ? (int)many
                                                          : RL_LIFT_PICTURE_COLUMNS;
  float        most    = 1e-12F;
  work_take(&w, &room);
  for (int c = 0; c < columns; ++c) {
    const double centre = (double)from + (c + 0.5) * (double)samples / columns;
    rl_lift_window(sound, (long)centre, w.hann, WINDOW, PADDED, w.scratch, w.fft, w.bins);
    for (int row = 0; row < RL_LIFT_PICTURE_ROWS; ++row) {
      const float loud                       = row_loud(&w, row, tuning, stereo);
      w.cell[c * RL_LIFT_PICTURE_ROWS + row] = loud;
      most                                   = fmaxf(most, loud);
    }
  }
  for (int i = 0; i < columns * RL_LIFT_PICTURE_ROWS; ++i) {
    const float below = 10 * log10f(fmaxf(w.cell[i], 1e-20F) / most);
    cells[i]          = (uint8_t)lroundf(255 * fmaxf(0, 1 + below / depth));
  }
  return columns;
}
