/* SPDX-License-Identifier: ISC */
/* The stretch: music that goes on without a break. A stop, a locate and a loop's end break it. The
   audio thread's; real-time safe. */
#ifndef RL_PLUGIN_RT_STRETCH_H
#define RL_PLUGIN_RT_STRETCH_H

#include "plugin/rt/follower.h"
#include "plugin/shared/take_event.h"

/** The state; zeroed at the beginning. */
typedef struct {
  bool     on;
  bool     played;   /**< something was played in it that is worth telling its end for */
  uint16_t number;   /**< another one after every break */
  double   from;     /**< quarters: where it began, or the chorus in it that plays */
  double   at, rate; /**< where it was when last looked at; quarters a frame */
  int64_t  frame;    /**< when that was */
  float    tempo;    /**< quarters a minute */
  unsigned looks;    /**< of the follower's, then */
} RlStretch;

/** Does the music move? A tapped beat may wait for the foot: then it rolls and stands. */
bool rl_music_moves(const RlFollower *follower);

/** Where it is, in quarters along the song; it must move. */
double rl_music_quarters(const RlFollower *follower);

/** Quarters a minute. */
float rl_music_tempo(const RlFollower *follower);

/** The follower's `now` has been made anew. True if a chorus or the stretch is over, and `event` is
   to be told: call it again then. A chorus is over half a beat behind its end, so that what came
   late is heard in it. `counts`: what is played now counts. */
bool rl_stretch_look(RlStretch *stretch, const RlFollower *follower, bool counts,
                     RlTakeEvent *event);

/** The form is another one: what was before does not count any more. */
void rl_stretch_forget(RlStretch *stretch);

#endif
