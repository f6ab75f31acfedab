/* SPDX-License-Identifier: ISC */
/* Chords: as written (a letter or a degree with a quality), as they sound in a key, their tones,
   scales and names. CHORDS.md is the reference. Constant tables; real-time safe, any thread. */
#ifndef RL_CORE_HARMONY_CHORD_H
#define RL_CORE_HARMONY_CHORD_H

#include "core/harmony/quality.h"

enum {
  RL_CHORD_SIZE = 32 /**< bytes for any chord name or degree, the NUL included */
};

/** A note as written in a chart: a letter, or a degree. */
typedef struct {
  bool   letter; /**< `step` is a letter 0..6 from C; otherwise a degree 0..6 from the tonic */
  int8_t step;
  int8_t alter; /**< semitones away from that letter, or that degree of the major scale */
} RlWritten;

/** What stands after the slash of a chord. */
typedef enum {
  RL_OF_NONE,  /**< nothing, or a bass */
  RL_OF_MAJOR, /**< the degree that the chord belongs to, in capitals: `V7/V` */
  RL_OF_MINOR  /**< in small letters: `V7/ii` */
} RlOf;

/** A chord as written. Compare with rl_chord_same(). */
typedef struct {
  RlQuality         quality;
  RlQualitySpelling spelling; /**< of `quality`; of a chord that was not read, it may be unfound */
  bool              has_bass;
  uint8_t           of; /**< RlOf; if not RL_OF_NONE, `root` is a degree of the degree `bass` */
  RlWritten         root, bass;
} RlChord;

/** Why a chord could not be read. */
typedef enum {
  RL_CHORD_OK,
  RL_CHORD_NO_ROOT,    /**< does not begin with A to G or I to VII */
  RL_CHORD_NO_QUALITY, /**< what follows the root is no quality */
  RL_CHORD_NO_BASS     /**< what follows the slash is no note */
} RlChordStatus;

/** Reads a chord symbol (`F#m7`, `bVII7`, `ii7`, `C/E`, `V7/ii`, `N.C.`): all of `text`. Unless it
    returns RL_CHORD_OK, `chord` means nothing. A degree is not settled until rl_chord_in_key(). */
RlChordStatus rl_chord_read(RlSlice text, RlChord *chord);

/** Does the chord as read, a ii with a degree after its slash, lead to `next`, a V or vii of the
    same degree? Then it is the ii of that degree, and `chord` is made so. */
bool rl_chord_leads(RlChord *chord, RlChord next);

/** The chord as read, settled in the key: letters become degrees, so that it moves with the key;
    degrees of a minor key, counted from natural minor, are measured from the major scale. */
RlChord rl_chord_in_key(RlChord chord, RlKey written);

/** Letters become degrees, and degrees stay what they are: a settled chord in another key, or one
    under the older rules of charts (CHART.md, rules 1). */
RlChord rl_chord_letters_in_key(RlChord chord, RlKey written);

/** The chord as the older rules of charts have it: what stands after a slash is a bass. */
RlChord rl_chord_slash_is_bass(RlChord chord);

/** The chord without its bass; the degree it belongs to stays. */
RlChord rl_chord_without_bass(RlChord chord);

/** Do the two have the same name in every key? */
bool rl_chord_same(RlChord a, RlChord b);

/** What a chord sounds in a key. */
typedef struct {
  bool              sounding; /**< false for N.C.: nothing below means anything */
  bool              has_bass;
  bool              minor_key;
  uint8_t           of; /**< RlOf */
  RlQuality         quality;
  RlQualitySpelling spelling; /**< of `quality` */
  RlSpelling        root, bass;
  RlWritten         degree; /**< of the key's tonic, or of `bass_degree` if `of`; never a letter */
  RlWritten         bass_degree; /**< of the key's tonic */
  RlClassSet        scale;       /**< above the root; see rl_harmony_of() */
} RlHarmony;

/** The settled chord in the key. The scale is the quality's own, but for a dominant (7, 7b9, 7b13)
    on the fifth degree of a minor key: the fifth mode of harmonic minor (common practice). */
RlHarmony rl_harmony_of(RlChord chord, RlKey key);

/** Pitch class 0..11 of the root. */
int rl_harmony_root(const RlHarmony *harmony);

/** Appends the chord by letter: `Bb7`, `C/E`, `N.C.` */
void rl_harmony_name(const RlHarmony *harmony, RlText *text);

/** Appends the chord by degree: `bVII7`, `ii7`, `I/III`, `V7/ii`, `N.C.` In a minor key III, VI and
    VII always have a sign. Under a V or vii the bass is a letter. Read back and settled in the same
    key it is the same chord; a ii of another degree is one in front of its V only
    (rl_chord_leads()). */
void rl_harmony_degree(const RlHarmony *harmony, RlText *text);

#endif
