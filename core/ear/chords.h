/* SPDX-License-Identifier: ISC */
/* Which chord sounds, by itself; in which key the form is played; and whether the form explains the
   chords better than any chords would. */
#ifndef RL_CORE_EAR_CHORDS_H
#define RL_CORE_EAR_CHORDS_H

#include "core/ear/hearing.h"
#include "core/ear/score.h"

enum { RL_KEY_TEMPI = 4, RL_KEYS = 12 };

/** Its state. About 150 KiB. */
typedef struct {
  const RlScore *score;
  float          slow[24];                 /**< chroma and bass, smoothed */
  float          nepers[RL_CHORD_CLASSES]; /**< log of how likely each chord sounds */
  float
    worth[RL_CHORD_CLASSES]; /**< of each chord for a step, foreign ones clipped; 1 at the most */
  float likely[RL_CHORD_CLASSES];   /**< the same, 1 where nothing sounds */
  float chord[RL_SCORE_CHORDS_MAX]; /**< the same for each chord of the score, over the keys */
  float
    bass[RL_STANDS * RL_SCORE_CHORDS_MAX]; /**< what the bass now heard is worth: [stand][chord] */
  float   key[RL_KEYS];                    /**< how likely each key is */
  bool    key_given;
  int     runs; /**< of beats with one chord */
  uint8_t run_chord[RL_SCORE_BEATS_MAX];
  float   run_beats[RL_SCORE_BEATS_MAX];
  float   run[RL_KEYS][RL_KEY_TEMPI][RL_SCORE_BEATS_MAX];
  float   free[RL_CHORD_CLASSES];   /**< any chord, changing at any time */
  float   barred[RL_CHORD_CLASSES]; /**< the form's chords in any order, changing at bar lines */
  float   common[RL_CHORD_CLASSES]; /**< how much of the form each chord takes */
  double  free_gain, barred_gain;   /**< likelihoods of this step's chroma under both */
} RlChords;

/** `key`: pitch class of the tonic, -1 if it is to be found. */
void rl_chords_init(RlChords *chords, const RlScore *score, int key);

/** Where the form is believed to be, for the free chords' changes. */
typedef enum {
  RL_CHANGE_NONE, /**< no beat begins now */
  RL_CHANGE_BEAT,
  RL_CHANGE_MIDDLE,
  RL_CHANGE_BAR
} RlChangeHere;

/** Takes a step's observation. */
void rl_chords_step(RlChords *chords, const RlHeard *heard, RlChangeHere here);

/** The likeliest key. */
int rl_chords_key(const RlChords *chords);

#endif
