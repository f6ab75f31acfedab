/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: what the net looks at, every 10 ms. A long window (93 ms) for pitch,
   a short one (23 ms) for beginnings; whitened by the clip's own level over time, as contrast
   against the geometric mean of the bins around, on a scale of thirds of a half step that follows
   the record's tuning; and as means over seconds, for what a band holds. Of a stereo clip only what
   comes from the horn's side, less what does not: bins whose energy lies elsewhere go (panning
   masks: Avendano 2003). */
#ifndef RL_CORE_EAR_PHRASE_SPECTRA_H
#define RL_CORE_EAR_PHRASE_SPECTRA_H

#include "core/ear/fft.h"
#include "core/ear/phrase/lift.h"
#include "core/ear/phrase/room.h"

#include <stdbool.h>

enum {
  RL_LIFT_FRAMES_EACH = 100, /* a second */
  RL_LIFT_PITCHES     = RL_LIFT_HIGHEST - RL_LIFT_LOWEST + 1,
  RL_LIFT_BIN_LOWEST  = 32,  /* MIDI number of the lowest third of a half step */
  RL_LIFT_BINS        = 277, /* thirds of a half step, up to MIDI 124 */
  RL_LIFT_BANDS       = 4,
  RL_LIFT_SLOW        = 2
};

/* Where to listen. */
typedef struct {
  float left, right; /* the horn's side, a vector of length 1; .5 and .5: the mean of both */
  float mask;        /* how much of what lies elsewhere is taken off, 0..1 */
  float tuning;      /* half steps; below -9: to be found */
} RlLiftView;

/* What is looked at. */
typedef struct {
  int    frames;
  float  tuning;
  float *contrast; /* [frames][RL_LIFT_BINS], 0..4 */
  float *level;    /* the same, logarithm of what sticks out */
  float *edge;     /* [frames][RL_LIFT_PITCHES][2]: short window under low and high partials */
  float *band;     /* [frames][RL_LIFT_BANDS]: short window in four bands */
  float *slow; /* [frames][RL_LIFT_PITCHES][RL_LIFT_SLOW]: mean contrast of the first six partials
                  over one second and over four */
} RlLiftSpectra;

int rl_lift_frames(size_t samples);

/* Room for the spectra of so many frames. */
void rl_lift_spectra_take(RlLiftSpectra *spectra, int frames, RlLiftRoom *room);

/* Works them out; what it needs besides comes from `room` and is given back. Without memory (the
   room counts only) it does nothing else. */
void rl_lift_spectra(const RlLiftSound *sound, RlLiftView view, RlLiftRoom *room,
                     RlLiftSpectra *spectra);

/* A window of `size` samples around sample `centre`, through a Hann window, with nothing behind it
   up to the size of `fft`: left and right. `bins[1]` is left alone where the clip is mono. */
void rl_lift_window(const RlLiftSound *sound, long centre, const float *hann, int size, int padded,
                    float *scratch, RlFft *fft, RlBin *bins[2]);

/* A Hann window. */
void rl_lift_hann(float *window, int size);

#endif
