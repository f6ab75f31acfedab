/* SPDX-License-Identifier: ISC */
/* Sound at a higher rate: a windowed sinc, straight. No heap, no state; any thread but audio. */
#ifndef RL_CORE_VOICE_UPSAMPLE_H
#define RL_CORE_VOICE_UPSAMPLE_H

#include <stddef.h>

/** How many samples `count` of them come to. */
size_t rl_upsample_count(size_t count, double from, double to);

/** Writes `room` samples of `sound` at rate `to` into `out`; `to` is not less than `from`, the rate
    of `sound`. What lies before and behind it is silence. Up to .9 of half the rate nothing is lost
    or added (within .2 dB, 60 dB). */
void rl_upsample(const float *sound, size_t count, double from, double to, float *out, size_t room);

#endif
