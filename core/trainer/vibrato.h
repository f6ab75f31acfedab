/* SPDX-License-Identifier: ISC */
/* Vibrato in a second of cents. README.md says how. Pure; real-time safe, any thread. */
#ifndef RL_CORE_TRAINER_VIBRATO_H
#define RL_CORE_TRAINER_VIBRATO_H

#include <stdbool.h>

enum { RL_GRID = 40 /**< cents a second, and as many are looked at */ };

typedef struct {
  float hz;    /**< 3 to 8 */
  float cents; /**< to each side */
} RlVibrato;

/** False: there is none. */
bool rl_vibrato_find(const float cents[RL_GRID], RlVibrato *vibrato);

#endif
