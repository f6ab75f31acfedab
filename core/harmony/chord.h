/* SPDX-License-Identifier: ISC */
/* Chords: as written (a letter or a degree with a quality), as they sound in a key, their tones,
   scales and names. CHORDS.md is the reference. Constant tables; real-time safe, any thread. */
#ifndef RL_CORE_HARMONY_CHORD_H
#define RL_CORE_HARMONY_CHORD_H

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
extern const RlClassSet rl_scale_major, rl_scale_natural_minor, rl_scale_blues;

enum {
  RL_TONES_MAX  = 6,
  RL_CHORD_SIZE = 32 /**< bytes for any chord name or degree, the NUL included */
};

/** A chord's quality: its tones from the root up. */
typedef struct {
  const char *name; /**< as it is printed, `` for a plain major triad */
  uint8_t     tones;
  RlDegree    tone[RL_TONES_MAX];
  RlClassSet  scale;
} RlQuality;

enum { RL_QUALITY_NONE = 255 /**< N.C., no chord */ };

/** How many qualities there are. */
int rl_qualities(void);

/** The quality of an index from 0, below rl_qualities(). */
const RlQuality *rl_quality(int index);

/** The tone that lies so many semitones (any number) above a quality's root; RL_DEGREES if there is
    none. */
RlDegree rl_quality_tone(int index, int semitones);

/** The index of a quality by any of its written names (all of `text`), -1 if there is none. */
int rl_quality_find(RlSlice text);

/** A note as written in a chart: a letter, or a degree of the tonic's major scale. */
typedef struct {
  bool   letter; /**< `step` is a letter 0..6 from C; otherwise a degree 0..6 from the tonic */
  int8_t step;
  int8_t alter; /**< semitones away from that letter or degree */
} RlWritten;

/** A chord as written. Compare with rl_chord_same(). */
typedef struct {
  uint8_t   quality; /**< index of a quality, or RL_QUALITY_NONE */
  bool      has_bass;
  RlWritten root, bass;
} RlChord;

/** Why a chord could not be read. */
typedef enum {
  RL_CHORD_OK,
  RL_CHORD_NO_ROOT,    /**< does not begin with A to G or I to VII */
  RL_CHORD_NO_QUALITY, /**< what follows the root is no quality */
  RL_CHORD_NO_BASS     /**< what follows the slash is no note */
} RlChordStatus;

/** Reads a chord symbol (`F#m7`, `bVII7`, `ii7`, `C/E`, `N.C.`): all of `text`. Unless it returns
    RL_CHORD_OK, `chord` means nothing. */
RlChordStatus rl_chord_read(RlSlice text, RlChord *chord);

/** The same chord with its letters turned into degrees of `written`, so that it moves with the key.
 */
RlChord rl_chord_in_key(RlChord chord, RlKey written);

/** Do the two have the same name in every key? */
bool rl_chord_same(RlChord a, RlChord b);

/** What a chord sounds in a key. */
typedef struct {
  bool       sounding; /**< false for N.C.: nothing below means anything */
  bool       has_bass;
  uint8_t    quality;
  RlSpelling root, bass;
  RlWritten  degree, bass_degree; /**< of the key's tonic, `letter` always false */
  RlClassSet scale;               /**< above the root; see rl_harmony_of() */
} RlHarmony;

/** The chord in the key. The scale is the quality's own, but for a dominant (7, 7b9) on the
    fifth degree of a minor key: the fifth mode of harmonic minor (common practice). */
RlHarmony rl_harmony_of(RlChord chord, RlKey key);

/** Pitch class 0..11 of the root. */
int rl_harmony_root(const RlHarmony *harmony);

/** Appends the chord by letter: `Bb7`, `C/E`, `N.C.` */
void rl_harmony_name(const RlHarmony *harmony, RlText *text);

/** Appends the chord by degree: `bVII7`, `ii7`, `I/III`, `N.C.`; reads back as the same chord. */
void rl_harmony_degree(const RlHarmony *harmony, RlText *text);

#endif
