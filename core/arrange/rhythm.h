/* SPDX-License-Identifier: ISC */
/* Rhythm: what sounds in a bar as notes and rests to write down: values, dots, ties, tuplets and
   beams. Pure; no heap, no state; any thread. How values are cut at the beats is common practice
   in engraving, no source. */
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
  int32_t at;    /**< ticks from the bar's first beat; before it: it came over the bar line */
  int32_t lasts; /**< ticks, at least 1; may go on past the bar's end */
} RlSound;

/** Note values. The n-th lasts a whole note over 2^n. */
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

/** A note or rest as it is written. */
typedef struct {
  int32_t at, lasts; /**< ticks in the bar, from 0 */
  int16_t sound;     /**< index of what sounds, -1: a rest */
  uint8_t value;     /**< RlValue */
  bool    dot;
  bool    from, into; /**< tied from the symbol (or bar) before, into the one after */
  uint8_t tuplet;     /**< so many in a group: 3, 5 or 7; 0: none */
  uint8_t group;      /**< of its tuplet, from 1; 0: none */
  uint8_t beam;       /**< of its beam, from 1; 0: flags of its own, or none */
} RlSymbol;

/** Writes a bar of that meter (as RlBar's) down: `sounds`, in order, none over another, into
    `symbols` (room for RL_SYMBOLS_MAX; what is past them is left out). What lies on no grid of a
    beat (halves of halves, thirds, fifths, sevenths) goes to the nearest; what is shorter than a
    sixty-fourth may be left out there. Returns how many symbols there are. */
int rl_rhythm_write(int beats, int unit, const RlSound *sounds, int count, RlSymbol *symbols);

/** Ticks of a felt beat. */
int32_t rl_rhythm_beat(int beats, int unit);

/** Into how many parts a felt beat (from 0) is cut when it is counted aloud: 1, 2, 3 or 4; as few
    as every symbol that begins in it needs, three in 6/8, 9/8 and 12/8. */
int rl_rhythm_count(int beats, int unit, int beat, const RlSymbol *symbols, int count);

/** What is said on part `part` (from 0) of `parts` of a felt beat (from 0): `1`, `&`, `trip`. The
    first one is the beat's number: NULL. */
const char *rl_rhythm_word(int parts, int part);

#endif
