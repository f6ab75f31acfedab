/* SPDX-License-Identifier: ISC */
/* Notes: pitch classes, their spelling, keys by name. CHORDS.md is the reference. Pure; real-time
   safe, any thread. */
#ifndef RL_CORE_HARMONY_PITCH_H
#define RL_CORE_HARMONY_PITCH_H

#include "core/text/text.h"

#include <stdbool.h>

/** A note name without octave. */
typedef struct {
  int8_t letter; /**< 0..6: C D E F G A B */
  int8_t alter;  /**< semitones: -1 flat, 0 natural, +1 sharp */
} RlSpelling;

/** A key: its tonic as it is spelled, and its mode. */
typedef struct {
  RlSpelling tonic;
  bool       minor; /**< natural minor; otherwise major */
} RlKey;

enum { RL_NAME_SIZE = 8 /**< bytes for any note or key name, the NUL included */ };

/** The pitch class 0..11 (C = 0) of any number of semitones above C. */
int rl_pitch_class(int semitones);

/** The pitch class 0..11 (C = 0) of a name. */
int rl_spelling_class(RlSpelling spelling);

/** The note `steps` letters and `semitones` above `from` (any numbers). Where that would need a
    double sharp or flat, the plain name of the same pitch class instead. */
RlSpelling rl_spelling_above(RlSpelling from, int steps, int semitones);

/** Reads one letter A to G and at most one accidental (# b, or their music signs) from the front of
    `text`. Returns the bytes read, 0 if there is no note name there. */
size_t rl_spelling_read(RlSlice text, RlSpelling *spelling);

/** Appends the name in ASCII: `F#`, `Bb`. */
void rl_spelling_write(RlSpelling spelling, RlText *text);

/** The key on pitch class `tonic` (any number) by the name it usually goes by. Major: C Db D Eb E
    F F# G Ab A Bb B; minor: C C# D Eb E F F# G G# A Bb B (common practice, no source). */
RlKey rl_key_named(int tonic, bool minor);

/** Reads `G`, `Bb`, `F#m`, `G major`, `F# minor`: all of `text`. False, and `key` means nothing, if
   it is not a key. The tonic stays as it was written; rl_key_named() gives the usual name. */
bool rl_key_read(RlSlice text, RlKey *key);

/** Appends `G`, `F#m`. */
void rl_key_write(RlKey key, RlText *text);

/** Hertz of a MIDI note number in equal temperament: 440 * 2^((n - 69) / 12), with A4 = 440 Hz
    (ISO 16:1975). */
double rl_pitch_hertz(int midi_note);

#endif
