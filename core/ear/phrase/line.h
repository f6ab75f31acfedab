/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: from frames to notes. The best path through notes of at least 60 ms
   and rests. What a note costs, what an interval, a repeated note and a rest cost, and how the grid
   and the chords count beside what was heard, was tuned on rendered phrases (tests/ear/lift). */
#ifndef RL_CORE_EAR_PHRASE_LINE_H
#define RL_CORE_EAR_PHRASE_LINE_H

#include "core/ear/phrase/net.h"

enum { RL_LIFT_SHORTEST = 6 /* frames of a note */ };

/* A note, in frames. */
typedef struct {
  int on, off, pitch; /* pitch from RL_LIFT_LOWEST */
} RlLiftSpan;

/* How this player divides the beat. */
typedef struct {
  float swing;  /* where the off-beat lies; .52 and less: straight */
  float behind; /* seconds */
  float spread; /* seconds, of what is played on a place */
} RlLiftPlayed;

/* What the path is found with. `prior`: [frames], log ratio of a note that begins there against
   anywhere; `weight` is how much it counts. */
typedef struct {
  const RlLiftHeard *heard;
  const RlLiftGrid  *grid;
  const float       *prior;
  float              weight;
} RlLiftTask;

/* The pitch classes that belong at a frame. */
unsigned rl_lift_scale_at(const RlLiftGrid *grid, int frame);

/* Where twelfth k of a beat is played, in beats; how usual it is; how far it strays (seconds). */
float rl_lift_place(int k, const RlLiftPlayed *played);
float rl_lift_usual(int k, const RlLiftPlayed *played, float beat);
float rl_lift_spread(int k, const RlLiftPlayed *played, float beat);

/* How much more likely a note begins `at` seconds behind a beat of the grid than anywhere: the
   logarithm of the ratio. `beat`: seconds. */
float rl_lift_on_grid(double at, float beat, const RlLiftPlayed *played);

/* Fills in `prior`, [frames]; level without a grid. */
void rl_lift_prior(const RlLiftGrid *grid, const RlLiftPlayed *played, int frames, float *prior);

/* The best path; how many notes it has, at most RL_LIFT_NOTES_MAX. */
int rl_lift_line(const RlLiftTask *task, RlLiftRoom *room, RlLiftSpan span[RL_LIFT_NOTES_MAX]);

#endif
