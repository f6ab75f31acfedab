/* SPDX-License-Identifier: ISC */
/* The transcriber: writes takes down for the document. Away from the audio thread; guarded by the
 * document's lock. */
#ifndef RL_PLUGIN_WORKER_TRANSCRIBER_H
#define RL_PLUGIN_WORKER_TRANSCRIBER_H

#include "core/arrange/plan.h"
#include "core/capture/notate.h"
#include "plugin/shared/take_event.h"

/** The state; zeroed at the beginning. */
typedef struct {
  RlTake  *take; /**< being played; NULL: none */
  double   tempos;
  unsigned tempo_count;
  double   last;  /**< quarters */
  unsigned taken; /**< so many takes have been taken down so far */
  char     title[RL_PLAN_PHRASES_MAX][RL_PHRASE_TITLE_SIZE]; /**< of the last ones, as it was: that
                                                                of number n at n % their room */
} RlTranscriber;

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
} RlTranscribed;

/** Heeds one piece of news. When a take with notes is over, `text` (empty, with room for
   RL_PLAN_MAX + 1) gets all takes in the syntax of a plan: those of the song, which are such a
   text, and the new one on its bar, under a title that neither they nor the plan's phrases have.
   Where there is no room the oldest go. The text says how many have been taken down so far. */
RlTranscribed rl_transcriber_hear(RlTranscriber *transcriber, const RlTakeEvent *event,
                                  const RlSong *song, RlText *text);

/** The chart is about to change: a take being played is over where it has come to. */
RlTranscribed rl_transcriber_finish(RlTranscriber *transcriber, const RlSong *song, RlText *text);

/** What is said where there is no memory to change takes. */
extern const char rl_transcriber_no_memory[];

/** Takes as somebody sends them back, some kept, discarded or changed: `text` (as above) gets them
   with those that have been taken down since, by what `sent` says of how many it knows. One that
   says nothing of it stands for all there are. NULL, or what is wrong, for a person to read. */
const char *rl_transcriber_merge(RlTranscriber *transcriber, const RlPlan *sent, const char *takes,
                                 RlText *text);

/** Takes of a session: what comes next is counted from there. */
void rl_transcriber_count(RlTranscriber *transcriber, const RlPlan *restored);

/** Forgets a take being played. */
void rl_transcriber_drop(RlTranscriber *transcriber);

#endif
