/* SPDX-License-Identifier: ISC */
/* Following by ear, the audio thread's part: hands the sound on, reads the news, and knows at once
   where a loop or a locate leads if the song was heard there before. Real-time safe. */
#ifndef RL_PLUGIN_RT_LISTENING_H
#define RL_PLUGIN_RT_LISTENING_H

#include "plugin/rt/follower.h"
#include "plugin/shared/hearing.h"

/** The state; zeroed at the beginning. */
typedef struct {
  RlListenDesk  *desk;
  RlHearing     *hearing; /* NULL: the worker has not made it yet, or the clock is another one */
  bool           wanted, key_heard, freewheel;
  bool           transport_told;
  RlWord         word;    /* not handed on yet */
  double         tempo;   /* of RL_WORD_TEMPO */
  RlTaps         taps;    /* which set the tempo to start from */
  RlNews         news;    /* the last; its key is kept while the clock is another one */
  RlHearingState state;   /* as it was when `changes` was last made anew */
  unsigned       changes; /* another number: there is something new besides the place */
} RlListening;

void rl_listening_init(RlListening *listening, RlListenDesk *desk, double rate);

/** The ports say whether to listen, and whether the key is to be heard too. True if the worker has
   something to do. */
bool rl_listening_tune(RlListening *listening, bool wanted, bool key_heard, bool freewheel);

/** A block begins: reads the news. */
void rl_listening_begin(RlListening *listening, RlFollower *follower);

/** The host reports, now. In place of rl_follower_report(). */
void rl_listening_report(RlListening *listening, RlFollower *follower, const RlReport *report);

/** A pedal goes down, now, while it is wanted. */
void rl_listening_pedal(RlListening *listening, RlPedal pedal);

/** The next `frames` frames sound so; `right` may be NULL. */
void rl_listening_hear(RlListening *listening, const RlFollower *follower, const float *left,
                       const float *right, uint32_t frames);

/** Time passes. */
static inline void
rl_listening_advance(RlListening *const listening, const int64_t frames)
{
  rl_taps_advance(&listening->taps, frames);
}

/** How it goes. */
RlHearingState rl_listening_state(const RlListening *listening);

#endif
