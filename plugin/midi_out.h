/* The lane as MIDI: plays the planned phrases on `midi_out`, in time with the music. The audio
   thread's; real-time safe. */
#ifndef RL_MIDI_OUT_H
#define RL_MIDI_OUT_H

#include "leader.h"
#include "uris.h"

enum {
  RL_MIDI_OUT_VOICES   = 16, /**< notes that sound at once */
  RL_MIDI_OUT_VELOCITY = 96
};

/** The state; zeroed at the beginning. */
typedef struct {
  const RlUris  *uris;
  void          *port; /* the sequence being written; NULL: unplugged */
  uint32_t       capacity;
  const RlScore *score;    /* whose lane is played */
  bool           playing;  /* and where it stood in it is known */
  double         expected; /* ticks at which the next stretch should begin */
  RlLaneOnset    due;
  int            voices;
  struct {
    uint8_t note;
    double  end; /* ticks */
  } voice[RL_MIDI_OUT_VOICES];
} RlMidiOut;

/** Another score comes: the notes that sound end before anything else is played. */
static inline void
rl_midi_out_turn(RlMidiOut *const out)
{
  out->playing = false;
}

/** Is there anything to play or to end? */
static inline bool
rl_midi_out_busy(const RlMidiOut *const out, const RlScore *const score)
{
  return score->lane.notes > 0 || out->voices > 0;
}

/** A block begins: empties the port (NULL is legal). */
void rl_midi_out_begin(RlMidiOut *out, void *port);

/** While it is busy: plays what lies in the next `frames` frames of the music (rl_leader_straight()
   at most), from `frame` of the block on. Whatever is no straight way on from the stretch before (a
   stop, a jump, another score, not `wanted`) ends every note first. */
void rl_midi_out_play(RlMidiOut *out, const RlLeader *leader, int64_t frame, int64_t frames,
                      bool wanted);

#endif
