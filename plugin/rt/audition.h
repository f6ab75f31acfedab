/* SPDX-License-Identifier: ISC */
/* What the worker lends to be listened to, added to the outputs. Real-time safe. */
#ifndef RL_PLUGIN_RT_AUDITION_H
#define RL_PLUGIN_RT_AUDITION_H

#include "plugin/shared/audition_desk.h"

/** The state; zeroed at the beginning. */
typedef struct {
  bool            busy; /**< call rl_audition_play(); set it with every snapshot */
  RlAuditionDesk *desk;
  RlAuditionLoan *loan;    /* NULL: none */
  uint32_t        at;      /* the next frame of it */
  float           gain;    /* 0 to 1 */
  float           step;    /* what it changes by in a frame */
  uint32_t        dropped; /* number of the last that is not to be heard any more */
} RlAudition;

/** Sets up a zeroed one; `rate` in frames a second. */
void rl_audition_init(RlAudition *audition, RlAuditionDesk *desk, double rate);

/** What was asked for so far is not to be heard any more. */
void rl_audition_drop(RlAudition *audition);

/** Adds what is to be heard in these `frames` to `left` and `right`, either of which may be NULL;
    where it is not `allowed` it falls silent within 10 ms and is given back. True if the worker has
    something to do. */
bool rl_audition_play(RlAudition *audition, float *left, float *right, uint32_t frames,
                      bool allowed);

/** Does something sound? */
static inline bool
rl_audition_sounds(const RlAudition *const audition)
{
  return audition->loan && audition->at > 0;
}

#endif
