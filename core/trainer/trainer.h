/* SPDX-License-Identifier: ISC */
/* Tries on one note: how long it was held, how it was reached, its vibrato, its trace. README.md
   says what counts. Pure; real-time safe; one thread at a time. */
#ifndef RL_CORE_TRAINER_TRAINER_H
#define RL_CORE_TRAINER_TRAINER_H

#include "core/trainer/aim.h"
#include "core/trainer/vibrato.h"

#include <limits.h>

typedef enum {
  RL_REACHED_NOT,
  RL_REACHED_AT_ONCE,
  RL_REACHED_FROM_ABOVE,
  RL_REACHED_FROM_BELOW
} RlReached;

enum {
  RL_TRY_TRACE  = 160,
  RL_TRY_SILENT = INT16_MIN, /**< in a trace */
  RL_TRY_LIMIT  = 1000,      /**< cents off that a trace holds */
  RL_TRIES_KEPT = 10
};

/** Within how many cents: 10, 20. */
typedef enum { RL_NEAR, RL_ROUGH, RL_NEARNESSES } RlNearness;

/** One try. Times in seconds, cents off the middle of the aim. */
typedef struct {
  float     seconds;
  float     held[RL_NEARNESSES], longest[RL_NEARNESSES];
  RlReached reached;
  float     reached_in;
  bool      settled; /**< mean and spread are known */
  float     mean, spread;
  float     vibrato_seconds; /**< with vibrato, as far as it was looked at; 0: none */
  RlVibrato vibrato;         /**< its mean */
  int       points;          /**< of `trace` */
  float     pace;            /**< seconds from point to point */
  int16_t   trace[RL_TRY_TRACE];
} RlTry;

/** Was it held: a second in one go within 20 cents? */
bool rl_try_held(const RlTry *one);

/** Opaque but for `aim`, `now`, `last` and `count`. */
typedef struct {
  RlAim aim;
  RlTry now; /**< the try that goes on; 0 seconds: none does */
  RlTry last[RL_TRIES_KEPT];
  int   count; /**< of them, the newest first */

  bool   began, sounded; /* anything was heard; the last was sound */
  double heard, begun;   /* when last; the first tick of the grid */
  long   tick;           /* the next of the grid */
  float  was;            /* cents off heard last */
  double news;           /* seconds from news to news, in the mean; 0: not known */
  int    silent;         /* ticks of it, at the end of the try */
  int    ticks, run[RL_NEARNESSES];
  int    side; /* on which the pitch was last: 1 above, -1 below, 0 on it so far */
  float  first, nearest;
  double sum, squares;
  int    settled;
  float  window[RL_GRID];
  int    windowed; /* ticks of unbroken sound */
  double vibrato_hz, vibrato_cents;
  int    vibratos;
  int    per, pending; /* ticks a point; of the point that is being made */
  float  gathered;
  int    gathered_sound;
} RlTrainer;

/** Begins anew, with another aim or the same. */
void rl_trainer_begin(RlTrainer *trainer, RlAim aim);

/** What is heard at `time`, in seconds: does the aimed note sound, and then how many cents off? It
    holds until it is told otherwise. A clock that goes back by more than 0.2 s, or on by over ten,
    begins anew. True if a try has ended that is kept: `last[0]`. */
bool rl_trainer_hear(RlTrainer *trainer, double time, bool sounds, float off);

#endif
