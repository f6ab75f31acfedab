/* SPDX-License-Identifier: ISC */
/* The notes of a clip, and what they suggest of key and beat where nobody says it; written down as
   a tune. Any thread but audio: tenths of a second for ten seconds; memory is allocated. */
#ifndef RL_UI_CLIP_LIFTED_H
#define RL_UI_CLIP_LIFTED_H

#include "core/capture/notate.h"
#include "core/ear/phrase/lift.h"
#include "ui/clip/sound.h"

enum { RL_PHRASE_LIFTED_MAX = 16384 };

/** All notes of a clip; times in seconds of the recording. */
typedef struct {
  int          notes;
  float        tuning, swing; /**< of its last piece, as in RlLifted */
  RlLiftedNote note[RL_PHRASE_LIFTED_MAX];
} RlLiftedPhrase;

/** The grid it is written on. */
typedef struct {
  double        beat, origin; /**< seconds; a felt beat, and a bar line */
  bool          known;        /**< told, not found */
  RlKey         key;
  const RlForm *form; /**< what its bars are counted by */
} RlPhraseGrid;

/** Lifts a clip with what is known of the grid; times in seconds from its beginning. False without
    memory. */
bool rl_lifted_hear(const RlClip *clip, const RlLiftGrid *grid, RlLiftedPhrase *phrase);

/** The tonic over which a blues fits best: by how long each pitch class sounds. Our own judgement.
 */
RlKey rl_lifted_key(const RlLiftedPhrase *phrase);

/** The beat that the notes themselves suggest: as rl_lift_beat(); half a second where there is
    none. */
void rl_lifted_beat(const RlLiftedPhrase *phrase, double *beat, bool has_origin, double *origin);

/** A chart without chords, for what has none. False if none can be made. */
bool rl_lifted_plain(RlForm *form, RlKey key);

/** Quarters of a felt beat. */
double rl_lifted_felt(const RlForm *form);

/** Writes it down, with that title and what there is to say. False without notes or memory. */
bool rl_lifted_notate(const RlLiftedPhrase *phrase, const RlPhraseGrid *grid, const char *title,
                      RlNotated *notated);

#endif
