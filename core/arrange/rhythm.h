/* SPDX-License-Identifier: ISC */
/* Rhythm: the sounds of a bar as notes and rests to be engraved: values, dots, ties, tuplets and
   beams. No heap, no state; any thread. How values are split at the beats is common practice in
   engraving, no source. Ticks are RL_TICKS a quarter. */
#ifndef RL_CORE_ARRANGE_RHYTHM_H
#define RL_CORE_ARRANGE_RHYTHM_H

#include "core/chart/form.h"
#include "core/phrase/phrase.h"

enum {
  RL_SYMBOLS_MAX = 1024,
  RL_SOUNDS_MAX  = 512 /**< in one bar */
};

/** A stretch of sound. */
typedef struct {
  int32_t at;    /**< ticks from the bar's first beat; negative: tied from the bar before */
  int32_t lasts; /**< ticks, at least 1; past the bar's end: tied into the next */
} RlSound;

/** Note values. Value n lasts a whole note divided by 2^n. */
typedef enum {
  RL_WHOLE_NOTE,
  RL_HALF_NOTE,
  RL_QUARTER_NOTE,
  RL_EIGHTH_NOTE,
  RL_16TH,
  RL_32ND,
  RL_64TH,
  RL_VALUES
} RlValue;

/** A note or rest as it is engraved. */
typedef struct {
  int32_t at, lasts; /**< ticks in the bar, from 0 */
  int16_t sound;     /**< index of the sound; -1: a rest */
  uint8_t value;     /**< RlValue */
  bool    dot;
  bool    from, into; /**< tied from the symbol (or bar) before, into the one after */
  uint8_t tuplet;     /**< the number of its tuplet: 3, 5, 7 or 9; 0: none */
  uint8_t group;      /**< which tuplet of the bar, from 1; 0: none */
  uint8_t beam;       /**< which beam of the bar, from 1; 0: it is not beamed */
} RlSymbol;

/** Engraves a bar of the meter `beats`/`unit` (1 to RL_BAR_BEATS_MAX over 1 to 32, a power of two):
    `sounds`, in order, none overlapping another, at most RL_SOUNDS_MAX of them, into `symbols`
    (space for RL_SYMBOLS_MAX; more are left out). A time on no grid of a beat (halves of halves,
    thirds, fifths, sevenths) is rounded to the nearest; a sound shorter than a sixty-fourth may be
    left out so. Returns how many symbols there are. */
int rl_rhythm_write(int beats, int unit, const RlSound *sounds, int count, RlSymbol *symbols);

/** Ticks of a felt beat. */
int32_t rl_rhythm_beat(int beats, int unit);

/** Into how many parts felt beat `beat` (from 0) is divided when it is counted aloud: 1, 2, 3 or 4;
    as few as the symbols that begin in it need, three in compound meters. */
int rl_rhythm_count(int beats, int unit, int beat, const RlSymbol *symbols, int count);

/** What is said on part `part` (0 to parts - 1) of a felt beat divided into `parts` (1 to 4): `&`,
    `trip`. NULL for the first part: its word is the number of the beat. */
const char *rl_rhythm_word(int parts, int part);

#endif
