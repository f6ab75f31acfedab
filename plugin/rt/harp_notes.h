/* SPDX-License-Identifier: ISC */
/* What the ear hears of the player, note by note: when each begins and ends, and how far off it
   was. The audio thread's; real-time safe. */
#ifndef RL_PLUGIN_RT_HARP_NOTES_H
#define RL_PLUGIN_RT_HARP_NOTES_H

#include "plugin/shared/harp_ear_desk.h"

/** A note that sounds. */
typedef struct {
  RlPlayedNote note; /**< its cents as heard last */
  uint64_t     since, last;
  double       cents, frames; /**< the sum of cents times frames, and of frames */
} RlHarpNote;

/** The state; zeroed at the beginning. */
typedef struct {
  int        count;
  RlHarpNote note[RL_REED_TOGETHER];
} RlHarpNotes;

/** A note begins or ends at a frame. */
typedef struct {
  RlPlayedNote note; /**< where it ends its cents are the mean */
  uint64_t     frame;
  bool         begins;
} RlHarpNoteEvent;

enum { RL_HARP_NOTE_EVENTS = 2 * RL_REED_TOGETHER };

/** Something new is heard. Returns how many events there are, ends first. `rate` in frames a
 * second.
 */
int rl_harp_notes_hear(RlHarpNotes *notes, const RlPlayed *played, double rate,
                       RlHarpNoteEvent events[RL_HARP_NOTE_EVENTS]);

#endif
