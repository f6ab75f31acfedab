/* SPDX-License-Identifier: ISC */
/* The harp finder: which of the harps a player owns suits this song, and by how much to transpose
   the recording if none does. No heap, no state; not for the audio thread (up to a few milliseconds
   for a long form and every harp there is); any other thread. */
#ifndef RL_CORE_ARRANGE_FINDER_H
#define RL_CORE_ARRANGE_FINDER_H

#include "core/chart/form.h"
#include "core/harmony/harp.h"

/** The whole table of weights. A harp's score, 0 to 1000, is their sum, each times the share of it
    that the harp has. What a position is worth stands in a table in finder.c and in COSTS.md.
    (Our own judgement of common practice, no source.) */
enum {
  RL_SCORE_POSITION    = 250, /**< for the position players like best in this mode */
  RL_SCORE_PLAIN       = 450, /**< for all chord tones without a bend */
  RL_SCORE_BENT        = 200, /**< for all chord tones with this player's techniques */
  RL_SCORE_BLUE        = 100, /**< for every blue note in RL_SCORE_BLUE_PLACES places */
  RL_SCORE_BLUE_PLACES = 2,   /**< low and high; more do not count */
  RL_SCORE_FITS        = 700  /**< below this a harp does not fit the song */
};

enum { RL_BLUE_MAX = 3 };

/** A blue note of the song's key on a harp. */
typedef struct {
  RlDegree degree; /**< against the key: b3, b5 or b7 */
  uint8_t  places; /**< pairs of hole and technique that sound it, as far as this player can */
} RlBlueNote;

/** What one harp is worth for a song. */
typedef struct {
  RlHarpChoice choice;
  uint8_t      position; /**< 1..12 */
  float        plain;    /**< share of chord tones without a bend, 0..1; see rl_finder_judge() */
  float        bent;     /**< with this player's bends, overblows and overdraws, plain..1 */
  uint8_t      blues;    /**< blue notes of the key: 3, in a minor key 1 */
  RlBlueNote   blue[RL_BLUE_MAX];
  int16_t      score; /**< 0..1000 */
  int8_t shift; /**< semitones -6..5 to transpose the recording by, so that this harp is in its
                     best position: the smallest; of six either way six down */
} RlFinding;

/** Judges a harp for a form in the key it sounds in. The shares: of all chord tones from the harp's
    lowest natural note to its highest, in every octave, how many the harp has; the mean over
   chords, weighted by how long each sounds. The chorus counts once, the ending once, N.C. not at
   all; a form of N.C. alone has shares of 0. The register has no influence. */
RlFinding rl_finder_judge(const RlForm *form, RlKey key, RlHarpChoice choice, RlPlayer player);

/** Judges `count` harps (0 or more) into `ranked` (space for `count`), the best first. Of equal
    scores the position liked better comes first, then the standard register before low before high,
    then the tuning first in RlTuning, then the first key from C up. The order of `owned` has no
    influence. */
void rl_finder_rank(const RlForm *form, RlKey key, const RlHarpChoice *owned, int count,
                    RlPlayer player, RlFinding *ranked);

/** A way out when no harp fits. */
typedef struct {
  int8_t    semitones; /**< to transpose the recording by, -6..5; 0: no need, or no way */
  RlFinding then;      /**< what the harp is worth then; valid only if semitones is not 0 */
} RlShift;

/** The smallest transposition of the recording that makes one of the `ranked` harps fit in its best
    position. None if the first fits already, or if nothing helps. Of equal ones that of the harp
    that then scores higher, then down before up, then the harp ranked first. Letter chords of a
   form without a key are transposed with the recording. */
RlShift rl_finder_shift(const RlForm *form, RlKey key, RlPlayer player, const RlFinding *ranked,
                        int count);

#endif
