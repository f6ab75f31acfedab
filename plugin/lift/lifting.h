/* SPDX-License-Identifier: ISC */
/* A part of the track lifted: the notes of its horn, written down over the form, and its picture.
   Tenths of a second for ten seconds of sound: in a thread of its own. */
#ifndef RL_PLUGIN_LIFT_LIFTING_H
#define RL_PLUGIN_LIFT_LIFTING_H

#include "core/capture/notate.h"
#include "plugin/lift/kept.h"

#include <stdatomic.h>

/** One part, what is known of it, and what comes of it. Zeroed at the beginning. */
typedef struct {
  RlLiftWant want;
  RlKeptPart part;
  RlForm     form; /**< that it was heard against */
  RlKey      key;
  unsigned   session; /**< RlSnapshot.bar_one_version when it was wanted */

  float   *left, *right; /**< right NULL: mono; one piece of memory: left */
  size_t   samples;
  double  *quarters;    /**< along the song, at every RL_LIFTING_STEP-th sample */
  uint32_t keeping;     /**< number of the keeping that it was cut from, */
  int64_t  sample;      /**< and the part's first sample there */
  double   first, past; /**< seconds of the part in it, the rest is around it */

  RlTake            take;
  RlNotateWorkspace workspace;
  RlNotated         notated; /**< once it is done: without notes, none were heard */
  RlPicture        *picture; /**< NULL: none; malloc() */
} RlLifting;

enum { RL_LIFTING_STEP = RL_LIFT_RATE / 100 };

/** Cuts the part out of what is kept. NULL without memory. */
RlLifting *rl_lifting_cut(const RlKept *kept, const RlKeptPart *part);
void       rl_lifting_free(RlLifting *lifting);

/** Does the work; gives up between two pieces where `quit` says so. False: it gave up, or there was
    no memory, or this build cannot (NULL: no reason to tell). */
bool rl_lifting_run(RlLifting *lifting, const atomic_bool *quit, const char **why);

#endif
