/* SPDX-License-Identifier: ISC */
/* The transcriber: gathers what the audio thread tells of a take until it is over. Asks for no
   memory, so that nothing of a take is lost for want of it. Guarded by the document's lock. */
#ifndef RL_PLUGIN_WORKER_TRANSCRIBER_H
#define RL_PLUGIN_WORKER_TRANSCRIBER_H

#include "core/capture/take.h"
#include "plugin/shared/take_event.h"

#include <stdbool.h>

/** The state; zeroed at the beginning. */
typedef struct {
  bool     on;   /**< capture is armed, or a take is being played */
  RlTake   take; /**< what has come so far */
  double   tempos;
  unsigned tempo_count;
  double   last; /**< quarters: where the last message came */
} RlTranscriber;

/** A take that is over, to be written down. */
typedef struct {
  RlTake   take;
  double   tempo; /**< quarters a minute, the mean; 0: there is nothing to write down */
  unsigned lost;  /**< messages that the audio thread could not pass on */
} RlTranscribed;

/** Adds a message to a take. A note that was heard for less than 45 ms was none. */
void rl_transcriber_message(RlTake *take, const RlTakeEvent *message);

/** Heeds one event. True if a take is over: `over` gets it. */
bool rl_transcriber_hear(RlTranscriber *transcriber, const RlTakeEvent *event, RlTranscribed *over);

/** The chart is about to change: a take with notes is over where it has come to, and another one
   may come. True if there was one. */
bool rl_transcriber_finish(RlTranscriber *transcriber, RlTranscribed *over);

#endif
