/* SPDX-License-Identifier: ISC */
/* The track handed on to where its last minute is kept, with its place along the song, while that
   is wanted. The audio thread's; real-time safe. */
#ifndef RL_PLUGIN_RT_TRACK_OUT_H
#define RL_PLUGIN_RT_TRACK_OUT_H

#include "plugin/rt/stretch.h"
#include "plugin/shared/lend_desk.h"
#include "plugin/shared/track_ring.h"

/** The state; zeroed at the beginning. */
typedef struct {
  RlLendDesk  *desk; /* of an RlTrackRing */
  RlTrackRing *ring; /**< NULL: the worker has not made it yet, or it is not wanted */
  bool         wanted;
  bool         on;    /**< the music moves: */
  uint32_t     run;   /**< another number after every break */
  double       due;   /**< quarters: where the next frame should be */
  unsigned     chart; /**< RlSnapshot.version[RL_CHART] then */
} RlTrackOut;

/** The ports say whether it is wanted. True if the worker has something to do. */
bool rl_track_out_tune(RlTrackOut *out, bool wanted);

/** A block begins, while it is wanted. */
void rl_track_out_begin(RlTrackOut *out);

/** The next `frames` frames, over which the follower's `now` holds, sound so; `left` NULL: nothing
    is connected; `right` may be NULL. `counts`: what is heard now counts. */
void rl_track_out_hear(RlTrackOut *out, const RlFollower *follower, const float *left,
                       const float *right, uint32_t frames, bool counts);

#endif
