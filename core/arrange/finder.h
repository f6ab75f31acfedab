/* SPDX-License-Identifier: ISC */
/* The harp finder: of the harps a player owns, which to take for this song, and by how much to move
   the recording if none will do. Pure, no heap, no state. Not for the audio thread (up to a few
   milliseconds for a long form and every harp there is); any other thread. */
#ifndef RL_CORE_ARRANGE_FINDER_H
#define RL_CORE_ARRANGE_FINDER_H

#include "core/chart/form.h"
#include "core/harmony/harp.h"

/** The whole table of weights: a harp's score is their sum, each times how much of it the harp
    gives, 0 to 1000. What a position is worth stands in a table in finder.c and in the README.
    (Our own judgement of common practice, no source.) */
enum {
  RL_SCORE_POSITION    = 250, /**< for the position players like best in this mode */
  RL_SCORE_PLAIN       = 450, /**< for all chord tones without a bend */
  RL_SCORE_BENT        = 200, /**< for all chord tones with what this player can do */
  RL_SCORE_BLUE        = 100, /**< for every blue note in RL_SCORE_BLUE_PLACES places */
  RL_SCORE_BLUE_PLACES = 2,   /**< low and high; more make a harp no better */
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
  int8_t       shift; /**< semitones -6..5 to move the recording by, so that this harp comes to
                           stand in its best position; the smallest, of six either way six down */
} RlFinding;

/** Judges a harp for a form in the key it sounds in. The shares: of all notes from the harp's
    lowest natural note to its highest, whatever the octave, that are tones of the chord, how many
    the harp has; the mean over chords, by how long each sounds. The chorus counts once, the ending
    once, N.C. nothing; a form of N.C. alone has shares of 0. The register changes nothing. */
RlFinding rl_finder_judge(const RlForm *form, RlKey key, RlHarpChoice choice, RlPlayer player);

/** Judges `count` harps (none: nothing happens) into `ranked`, which has room for as many, the
    best first. Equal scores: the position liked better, then the standard register before low and
    high, then the first tuning, then the first key from C up. The order of `owned` is of no
    account. */
void rl_finder_rank(const RlForm *form, RlKey key, const RlHarpChoice *owned, int count,
                    RlPlayer player, RlFinding *ranked);

/** A way out when no harp fits. */
typedef struct {
  int8_t    semitones; /**< to move the recording by, -6..5; 0: no need, or no way */
  RlFinding then;      /**< the harp as it will be; only where semitones is not 0 */
} RlShift;

/** The smallest move of the recording that makes one of the `ranked` harps fit in its best
    position. None if the first fits already, or if nothing helps. Equal moves: the harp that then
    scores higher, then down, then the harp ranked first. Letter chords of a form without a key
    move too, as the recording does. */
RlShift rl_finder_shift(const RlForm *form, RlKey key, RlPlayer player, const RlFinding *ranked,
                        int count);

#endif
