/* SPDX-License-Identifier: ISC */
/* From the time tag of an OSC bundle to this machine's clock. Pure but for rl_time_tag_now(); one
   thread. Times are seconds. */
#ifndef RL_UI_PAGE_TIME_TAG_H
#define RL_UI_PAGE_TIME_TAG_H

#include <stdbool.h>

/** The offset of another machine's clock from ours, plus the network's delay at its smallest: the
    quickest packet of the last 15 to 30 s is taken to have needed no time. Begins with all zero. */
typedef struct {
  double since;    /**< when the present half of the window began */
  double least[2]; /**< smallest delay in this half and in the one before */
  int    halves;   /**< how many of them have one: 0..2 */
} RlSenderClock;

/** The monotonic clock of this machine. */
double rl_time_tag_now(void);

/** The moment, on the monotonic clock, of something tagged `tag` (seconds since 1970 on the
    sender's clock) that came at `now`, when our own wall clock said `wall`. From the same machine
    the tag is right as it is; from another one only its changes are. A tag more than 4 s off is of
    no use: then the result is `now`. */
double rl_time_tag_to_local(RlSenderClock *sender, double tag, double wall, double now,
                            bool same_machine);

#endif
