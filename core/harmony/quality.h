/* SPDX-License-Identifier: ISC */
/* Degrees, scales and chord qualities. A quality is a set of degrees; it is read as a base with
   alterations and printed in one house spelling. CHORDS.md is the reference. Constant tables;
   real-time safe, any thread. */
#ifndef RL_CORE_HARMONY_QUALITY_H
#define RL_CORE_HARMONY_QUALITY_H

#include "core/harmony/pitch.h"

/** A note against a root, by the name a chord gives it. */
typedef enum {
  RL_DEGREE_ROOT, /**< R, 0 semitones */
  RL_DEGREE_FLAT_9,
  RL_DEGREE_9,
  RL_DEGREE_2, /**< of a sus2: stands for the third */
  RL_DEGREE_FLAT_3,
  RL_DEGREE_SHARP_9,
  RL_DEGREE_3,
  RL_DEGREE_11,
  RL_DEGREE_4, /**< of a sus4: stands for the third */
  RL_DEGREE_SHARP_11,
  RL_DEGREE_FLAT_5,
  RL_DEGREE_5,
  RL_DEGREE_SHARP_5,
  RL_DEGREE_FLAT_13,
  RL_DEGREE_13,
  RL_DEGREE_6,
  RL_DEGREE_DOUBLE_FLAT_7,
  RL_DEGREE_FLAT_7,
  RL_DEGREE_7,
  RL_DEGREES
} RlDegree;

/** The function of a tone in its chord. */
typedef enum {
  RL_FUNCTION_ROOT,
  RL_FUNCTION_THIRD, /**< the third, or the 2 or 4 that a sus chord has in its place */
  RL_FUNCTION_FIFTH,
  RL_FUNCTION_SEVENTH,
  RL_FUNCTION_OTHER /**< 6, 9, 11, 13, altered or not */
} RlFunction;

/** `R`, `b9`, `9`, `b3`, … in ASCII. */
const char *rl_degree_name(RlDegree degree);

/** 0..11 above the root. */
int rl_degree_semitones(RlDegree degree);

/** The name of the degree above a root: the flat seventh of G is F. Double signs as in
    rl_spelling_above(). */
RlSpelling rl_degree_spelling(RlDegree degree, RlSpelling root);

/** The function of the degree where it is a chord tone. */
RlFunction rl_degree_function(RlDegree degree);

/** The degree of a note that is no tone of the chord, any number of semitones above the root: R b9
   9 b3 3 11 #11 5 b13 13 b7 7. */
RlDegree rl_degree_plain(int semitones);

/** A set of pitch classes: bit n is n semitones above whatever the set is measured from. */
typedef uint16_t RlClassSet;

/** Is the pitch class (any number of semitones) in the set? */
bool rl_class_set_has(RlClassSet set, int semitones);

/** Scales against their own root (common practice in jazz and blues teaching, no source). */
extern const RlClassSet rl_scale_major, rl_scale_natural_minor, rl_scale_blues,
  rl_scale_fifth_of_harmonic;

/** A chord's quality: its tones, bit n for RlDegree n, and RL_QUALITY_ALT. No two of its tones are
    the same pitch. 0: no chord. */
typedef uint32_t RlQuality;

enum {
  RL_QUALITY_NONE      = 0,               /**< N.C., no chord */
  RL_QUALITY_ALT       = 1 << RL_DEGREES, /**< written `alt` */
  RL_QUALITY_NAME_SIZE = 23               /**< bytes for any printed quality, the NUL included */
};

/** How a quality is printed. Finding it takes thousands of instructions, writing it few: what is
    printed in the audio thread was found when it was read. */
typedef struct {
  uint8_t  base;    /**< from 1; 0: not found yet */
  uint16_t altered; /**< bit n: by the alteration n */
} RlQualitySpelling;

/** Reads a quality as written behind a root (all of `text`): `m7b5`, `7(#9,b13)`, ``. Behind a
    lower-case numeral (`lower`) it is minor unless it says itself to be minor or diminished. False,
    and neither `quality` nor `spelling` means anything, if it is none. */
bool rl_quality_read(RlSlice text, bool lower, RlQuality *quality, RlQualitySpelling *spelling);

/** Finds how a quality is printed; that of no chord is empty. */
RlQualitySpelling rl_quality_spell(RlQuality quality);

/** Appends what was found. */
void rl_quality_spelling_write(RlQualitySpelling spelling, RlText *text);

/** Does it stand behind a numeral in lower case: minor, or diminished? */
bool rl_quality_spelling_lower(RlQualitySpelling spelling);

/** Appends it behind such a numeral, or another: in lower case `m` goes without saying, save before
    `Maj7`. */
void rl_quality_spelling_write_behind(RlQualitySpelling spelling, RlText *text);

/** The quality of a name, RL_QUALITY_NONE if there is none. */
RlQuality rl_quality_find(RlSlice name);

/** Appends the quality in the house spelling: a base, then its alterations; `` for a major triad.
    Reads back as the same quality. */
void rl_quality_name(RlQuality quality, RlText *text);

/** Lists the tones from the root up as a chord is stacked; returns how many. */
int rl_quality_tones(RlQuality quality, RlDegree tone[RL_DEGREES]);

/** The tone that lies so many semitones (any number) above the root; RL_DEGREES if there is none.
 */
RlDegree rl_quality_tone(RlQuality quality, int semitones);

/** The tones as pitch classes above the root. */
RlClassSet rl_quality_classes(RlQuality quality);

/** The scale above the root (CHORDS.md; common practice, no source). All tones lie in it. */
RlClassSet rl_quality_scale(RlQuality quality);

/** Does the chord stand on a minor third? */
bool rl_quality_minor(RlQuality quality);

/** The qualities that CHORDS.md lists, by an index from 0 below rl_qualities(). There are more:
    whatever rl_quality_read() reads. */
int       rl_qualities(void);
RlQuality rl_quality(int index);

#endif
