/* SPDX-License-Identifier: ISC */
/* From sound to news: runs the ear over chunks of the track, and knows what a stop, a locate, a
   gap or a word of the player means for it. One thread; no thread of its own. */
#ifndef RL_PLUGIN_LISTEN_FOLLOW_H
#define RL_PLUGIN_LISTEN_FOLLOW_H

#include "core/ear/ear.h"
#include "plugin/shared/hearing.h"

/** Where the form comes from: fills in `form` and tells which version of the chart it is. */
typedef struct {
  void *data;
  unsigned (*form)(void *data, RlForm *form);
} RlFormSource;

/** The state; zeroed at the beginning but for the first three. */
typedef struct {
  RlHearing     *hearing;
  double         rate;
  RlFormSource   source;
  RlForm         form;
  unsigned       chart; /* of `form` */
  bool           has_form;
  void          *memory; /* the ear's; NULL: there is none, `trouble` says why */
  RlEar         *ear;
  RlHearingState trouble;
  RlSoundHead    last; /* of the chunk before, moved to its end */
  bool           begun;
  int64_t        sound;      /* frames that this ear has heard, from the first that is no silence */
  int64_t        silent;     /* frames of silence up to now, while the host rolls */
  double         length;     /* felt beats in the form */
  double         felt;       /* where the song is believed to be, counted over choruses */
  double         tempo;      /* felt beats a minute */
  bool           found;      /* since the place was last given up */
  int64_t        unsure;     /* frames since something was claimed */
  bool           seeks;      /* the song was moved to where no place is known */
  int64_t        heard_from; /* of the song: heard without a break since then, and no place kept */
  int64_t        late_until; /* frame up to which it is said that sound was left out */
  int64_t        news_due;   /* frame */
  int            candidate;  /* key */
  int64_t        candidate_since;
  RlNews         news; /* the last */
} RlListenFollow;

/** Takes a chunk, and tells news of it. */
void rl_listen_follow(RlListenFollow *follow, const RlSoundChunk *chunk);

/** Gives its memory back. */
void rl_listen_follow_end(RlListenFollow *follow);

#endif
