/* SPDX-License-Identifier: ISC */
/* look SOUND LEFT RIGHT MASK TUNING: what the phrase's ear sees of a clip, to standard output.
   LEFT, RIGHT, MASK and TUNING as in RlLiftView. First the number of frames, int32; then contrast
   and level of every frame, edges and bands, each value a byte: 255 is a contrast of 4, or 6 of the
   others. */
#include "core/ear/phrase/spectra.h"
#include "tests/ear/lift/clip.h"

#include <math.h>
#include <stdio.h>

static const float contrast_most = 4, other_most = 6;

static void
bytes_write(const float *const values, const size_t count, const float most)
{
  for (size_t i = 0; i < count; ++i) {
    const float x = values[i] / most * 255;
    putchar(x > 255 ? 255 : (int)lrintf(x));
  }
}

int
main(const int argc, char **const argv)
{
  float *side[2];
  size_t samples;
  if (argc != 6 || !clip_read(argv[1], side, &samples)) {
    fprintf(stderr, "usage: look SOUND LEFT RIGHT MASK TUNING\n");
    return 2;
  }
  const RlLiftSound sound  = {side[0], side[1], samples};
  const RlLiftView  view   = {strtof(argv[2], NULL), strtof(argv[3], NULL), strtof(argv[4], NULL),
                              strtof(argv[5], NULL)};
  RlLiftRoom        room   = {NULL, 0, 0};
  RlLiftSpectra     s      = {0};
  const int         frames = rl_lift_frames(samples);
  rl_lift_spectra_take(&s, frames, &room);
  rl_lift_spectra(&sound, view, &room, &s);
  room = (RlLiftRoom){malloc(room.most), 0, 0};
  if (!room.memory) {
    return 2;
  }
  void *const memory = room.memory;
  rl_lift_spectra_take(&s, frames, &room);
  rl_lift_spectra(&sound, view, &room, &s);
  const size_t n = (size_t)frames;
  fwrite(&s.frames, sizeof(s.frames), 1, stdout);
  bytes_write(s.contrast, n * RL_LIFT_BINS, contrast_most);
  bytes_write(s.level, n * RL_LIFT_BINS, other_most);
  bytes_write(s.edge, n * RL_LIFT_PITCHES * 2, other_most);
  bytes_write(s.band, n * RL_LIFT_BANDS, other_most);
  bytes_write(s.slow, n * RL_LIFT_PITCHES * RL_LIFT_SLOW, contrast_most);
  free(memory);
  free(side[0]);
  free(side[1]);
  return ferror(stdout) ? 1 : 0;
}
