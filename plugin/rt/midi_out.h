/* SPDX-License-Identifier: ISC */
/* The lane as MIDI: plays the planned phrases on `midi_out`, in time with the music, and knows what
   of them sounds. The audio thread's; real-time safe. */
#ifndef RL_PLUGIN_RT_MIDI_OUT_H
#define RL_PLUGIN_RT_MIDI_OUT_H

#include "plugin/protocol/uris.h"
#include "plugin/rt/follower.h"
#include "plugin/shared/osc_snapshot.h"

enum {
  RL_MIDI_OUT_VOICES   = 16, /**< notes that sound at once */
  RL_MIDI_OUT_VELOCITY = 96
};

/** The state; zeroed at the beginning. */
typedef struct {
  const RlUris     *uris;
  void             *port; /* the sequence being written; NULL: unplugged */
  uint32_t          capacity;
  const RlSnapshot *snapshot; /* whose lane is played */
  bool              playing;  /* and where it stood in it is known */
  double            expected; /* ticks at which the next stretch should begin */
  RlLaneOnset       due;
  unsigned          changes; /**< one more whenever a note begins or ends */
  int               voices;  /**< how many sound */
  struct {
    RlBegunNote played;
    double      end; /* ticks */
  } voice[RL_MIDI_OUT_VOICES];
} RlMidiOut;

/** Another snapshot comes: the notes that sound end before anything else is played. */
static inline void
rl_midi_out_stop(RlMidiOut *const out)
{
  out->playing = false;
}

/** Is there anything to play or to end? */
static inline bool
rl_midi_out_busy(const RlMidiOut *const out, const RlSnapshot *const snapshot)
{
  return snapshot->lane.notes > 0 || out->voices > 0;
}

/** A block begins: empties the port (NULL is legal). */
void rl_midi_out_begin(RlMidiOut *out, void *port);

/** Puts a MIDI message out. False if there is no room; of an unplugged port nobody hears anything,
    and that is no lack of room. */
bool rl_midi_out_put(const RlMidiOut *out, int64_t frame, const void *bytes, uint32_t size);

/** While it is busy: plays what is due now, at `frame` of the block. Returns how many of the next
   `frames` frames (rl_follower_straight() at most) may pass until it must be called again. Whatever
   is no straight way on from the stretch before (a stop, a jump, another snapshot, not `wanted`)
   ends every note first. */
int64_t rl_midi_out_play(RlMidiOut *out, const RlFollower *follower, int64_t frame, int64_t frames,
                         bool wanted);

#endif
