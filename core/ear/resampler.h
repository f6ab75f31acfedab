/* SPDX-License-Identifier: ISC */
/* Sound of any rate to the one rate the ear works at: a windowed sinc, one row of taps for each of
   RL_RESAMPLER_PHASES places between two samples. Rates that divide evenly meet the rows exactly.
 */
#ifndef RL_CORE_EAR_RESAMPLER_H
#define RL_CORE_EAR_RESAMPLER_H

#include <stdint.h>

enum {
  RL_EAR_RATE         = 24000, /**< samples a second inside the ear */
  RL_RESAMPLER_PHASES = 32,
  RL_RESAMPLER_TAPS   = 160, /**< at 192 kHz; fewer at lower rates */
  RL_RESAMPLER_HELD   = 4 * RL_RESAMPLER_TAPS
};

/** About 24 KiB. */
typedef struct {
  double step; /**< input samples for one of the output */
  double next; /**< input sample of the next output, from the newest one in `held` back */
  int    taps; /**< in use, a multiple of 4 */
  int    end;  /**< of what is taken, in `held` */
  float  tap[RL_RESAMPLER_PHASES + 1][RL_RESAMPLER_TAPS];
  float  held[RL_RESAMPLER_HELD];
} RlResampler;

/** `rate`: 22050 to 192000 samples a second. */
void rl_resampler_init(RlResampler *resampler, double rate);

/** Takes one sample (anything: what is no number is taken for 0, what is too loud is clipped), and
    returns how many came out: 0, 1 or 2 in `out`. */
int rl_resampler_push(RlResampler *resampler, float sample, float out[2]);

/** The same for up to `frames` samples: stops when `most` came out, which takes no more samples
   than it needs. Returns how many it took; *count of `out` came out. */
uint32_t rl_resampler_take(RlResampler *resampler, const float *sound, uint32_t frames, float *out,
                           int most, int *count);

#endif
