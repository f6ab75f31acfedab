/* SPDX-License-Identifier: ISC */
/* Are the beats that are shown beats, or the halves between them? A band that pushes all it plays
   sounds the same to the filter half a beat off; the net of pulse.h hears what surrounds a beat for
   seconds, on both sides, so its word comes some seconds late: what was shown is kept, and weighed
   then. */
#ifndef RL_CORE_EAR_HALVES_H
#define RL_CORE_EAR_HALVES_H

#include "core/ear/lattice.h"
#include "core/ear/pulse.h"

enum {
  RL_HALVES_FRAMES = 16 * RL_PULSE_FRAMES, /**< that are kept */
  RL_HALVES_LATE   = 4 * RL_PULSE_FRAMES,  /**< that the net wants to know after a frame */
  RL_HALVES_EACH   = 4 * RL_PULSE_FRAMES   /**< frames after which it is asked again */
};

/** About 190 KiB. Frames are steps of the lattice. */
typedef struct {
  float fine[RL_HALVES_FRAMES][RL_PULSE_BANDS];
  float place[RL_HALVES_FRAMES]; /**< felt beats that were shown in a frame */
  float word[RL_HALVES_FRAMES][RL_PULSE_WORDS];
  float room[RL_HALVES_FRAMES * RL_PULSE_ROOM]; /**< for the net */
  int   frames, told;                           /**< kept; of those, weighed already */
  int   since;                                  /**< frames since the net was asked */
  int   known;                                  /**< first frame with a place that holds */
  float margin;                                 /**< nepers for the beats shown, fading over 20 s */
} RlHalves;

/** The sound goes on elsewhere. */
void rl_halves_forget(RlHalves *halves);

/** A frame, and the place that is shown after it. */
void rl_halves_step(RlHalves *halves, const float fine[RL_PULSE_BANDS], double at);

/** Before a step: the place shown is `by` felt beats from where it was due, and a beat lasts
   `longer` times as long as it did. */
void rl_halves_moved(RlHalves *halves, double by, double longer);

/** What the filter is told for the next step, whose place would be `at`. */
RlGrid rl_halves_grid(const RlHalves *halves, double at, double period);

#endif
