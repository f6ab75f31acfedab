/* SPDX-License-Identifier: ISC */
/* Songs whose phrases overlap, by chance, and what of them is to be heard: found by asking of every
   note of every phrase in every chorus whether another phrase has begun since. Slow, and written
   without core's own walk along the lane, to hold that against it. */
#ifndef TESTS_CORE_ARRANGE_OVERLAPS_H
#define TESTS_CORE_ARRANGE_OVERLAPS_H

#include "core/arrange/lane.h"

enum { SONG_NOTES_MAX = 65536 };

/** A note of the song as it is played. */
typedef struct {
  int    index;     /**< in RlLane.note */
  int    chorus;    /**< in which its phrase begins */
  double at, lasts; /**< ticks from bar 1 of chorus 1 */
} SongNote;

/** The notes of `choruses` choruses (and of the ending, if the song has as many) in order of time,
    those at once as in the lane. What begins after those choruses is left out. */
typedef struct {
  int      count;
  int      lost; /**< notes of the plan in those choruses that are not heard */
  SongNote note[SONG_NOTES_MAX];
} Song;

void song_play(const RlPlan *plan, const RlForm *form, const RlLane *lane, int choruses,
               Song *song);

/** Appends a short chart, and a plan for it in which phrases meet in all ways there are. */
void overlaps_write(uint32_t seed, RlText *chart, RlText *plan);

#endif
