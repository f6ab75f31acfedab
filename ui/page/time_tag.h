/* SPDX-License-Identifier: ISC */
/* When something happened, from the time tag of whoever saw it. Pure; one thread. */
#ifndef RL_UI_PAGE_TIME_TAG_H
#define RL_UI_PAGE_TIME_TAG_H

#include <stdbool.h>

/** How far another machine's clock is from ours, at least: the fastest of its packets lately is
    taken to have needed no time at all. */
typedef struct {
  double since;    /**< when the present half of the window began */
  double least[2]; /**< smallest delay in this half and in the one before, seconds */
  int    halves;   /**< of which something is known */
} RlTimeTag;

/** Seconds on the monotonic clock of this machine. */
double rl_time_tag_clock(void);

/** The moment, on the clock that `now` is read from, of something tagged `tag` (seconds since 1970
    on the sender's clock) that came at `now`, when our own wall clock said `wall`. From the same
    machine the tag is right as it is; from another one only its changes are. Tags further off than
    4 s say nothing: then it happened now. */
double rl_time_tag_happened(RlTimeTag *when, double tag, double wall, double now,
                            bool same_machine);

#endif
