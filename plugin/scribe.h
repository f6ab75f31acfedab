/* The scribe: writes takes down for the desk. Away from the audio thread; guarded by the desk's
 * lock. */
#ifndef RL_SCRIBE_H
#define RL_SCRIBE_H

#include "notate.h"
#include "plan.h"
#include "take_event.h"

/** The state; zeroed at the beginning. */
typedef struct {
  RlTake  *take; /**< being played; NULL: none */
  double   tempos;
  unsigned tempo_count;
  double   last; /**< quarters */
} RlScribe;

/** What it is played to, and what is there already. */
typedef struct {
  const RlForm *form;
  RlKey         key;
  const char   *takes;
  const RlPlan *plan; /**< NULL: none */
} RlSong;

/** What a take came to. */
typedef struct {
  bool        over;    /**< `text` means something */
  const char *problem; /**< for a person to read; NULL: none */
} RlScribed;

/** Heeds one piece of news. When a take with notes is over, `text` (empty, with room for
   RL_PLAN_MAX + 1) gets all takes in the syntax of a plan: those of the song, which are such a
   text, and the new one on its bar, under a title that neither they nor the plan's phrases have.
   Where there is no room the oldest go. */
RlScribed rl_scribe_hear(RlScribe *scribe, const RlTakeEvent *event, const RlSong *song,
                         RlText *text);

/** The chart is about to change: a take being played is over where it has come to. */
RlScribed rl_scribe_turn(RlScribe *scribe, const RlSong *song, RlText *text);

/** Forgets a take being played. */
void rl_scribe_drop(RlScribe *scribe);

#endif
