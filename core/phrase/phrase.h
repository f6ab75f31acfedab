/* SPDX-License-Identifier: ISC */
/* A phrase: notes as they were played over chords, and how they move to other chords and keys.
   core/abc/abc reads and writes it as text. Plain data; no heap, no state; real-time safe, any
   thread. */
#ifndef RL_CORE_PHRASE_PHRASE_H
#define RL_CORE_PHRASE_PHRASE_H

#include "core/harmony/chord.h"

enum {
  RL_TICKS              = 20160, /**< in a quarter note: 2^6 * 3^2 * 5 * 7 */
  RL_PHRASE_NOTES_MAX   = 512,
  RL_PHRASE_CHORDS_MAX  = 32,
  RL_PHRASE_TITLE_SIZE  = 64,   /**< bytes, the NUL included */
  RL_PHRASE_FIELDS_SIZE = 2560, /**< for each note how sure it is, and more */
  RL_PHRASE_TOGETHER    = 3     /**< notes at once */
};

/** How a note is played; a set of flags. */
typedef enum {
  RL_ARTICULATION_SCOOP = 1 << 0, /**< from below (ABC: !slide!) */
  RL_ARTICULATION_BEND  = 1 << 1, /**< bent (ABC: "^bend") */
  RL_ARTICULATION_SLUR = 1 << 2, /**< into the next onset without a new attack (ABC: parentheses) */
  RL_ARTICULATION_FALL = 1 << 3  /**< its end falls away below it (ABC: "^fall") */
} RlArticulation;

/** A note. Notes at the same time have the same `at` and `lasts`, the lowest first. */
typedef struct {
  int32_t at;    /**< ticks from the first beat of the phrase's bar; negative: in its pickup */
  int32_t lasts; /**< ticks, at least 1; a tied note is one note */
  int16_t above; /**< semitones above the root of its chord, that root taken in the octave from
                      middle C up (MIDI 60..71) */
  uint8_t chord; /**< index of the chord it was played over */
  uint8_t articulation; /**< RlArticulation */
} RlPhraseNote;

/** A chord the phrase was played over, by letter, at concert pitch. */
typedef struct {
  int32_t at;    /**< ticks; the first counts from the beginning of the phrase whatever it says */
  RlChord chord; /**< its root is a letter; never N.C. */
} RlPhraseChord;

/** A phrase. About 9 KiB. */
typedef struct {
  char title[RL_PHRASE_TITLE_SIZE];   /**< may be empty */
  char fields[RL_PHRASE_FIELDS_SIZE]; /**< ABC fields that only inform (C, N, R, S, …), a line
                                           each, kept as they came */
  RlKey   key;                        /**< at concert pitch; modes count by their third */
  uint8_t mode;                       /**< 0..6: Ionian, Dorian, … Locrian on that tonic */
  int8_t  transpose;                  /**< semitones from written to concert pitch: -2 for a B-flat
                                           trumpet. All other members are at concert pitch. */
  uint8_t  meter_beats, meter_unit;   /**< 4, 4; 12, 8 */
  double   tempo;                     /**< quarter notes a minute, 0 if it does not say */
  int32_t  pickup;                    /**< ticks before the first beat of its bar, 0: none */
  int32_t  lasts;                     /**< ticks from there to its end, rests at the end included */
  uint16_t notes;                     /**< at least 1 */
  uint16_t chords;                    /**< at least 1: without any, the tonic's triad */

  RlPhraseNote  note[RL_PHRASE_NOTES_MAX];
  RlPhraseChord chord[RL_PHRASE_CHORDS_MAX];
} RlPhrase;

/** The concert pitch at which a note of the phrase was played: a MIDI number. */
int rl_phrase_pitch(const RlPhrase *phrase, const RlPhraseNote *note);

/** How a phrase moves to another place. */
typedef enum {
  RL_MOVE_CHORD, /**< with the chord, root to root; thirds, fifths and sevenths become the chord's
                  */
  RL_MOVE_KEY,   /**< with the key, tonic to tonic */
  RL_MOVE_NOT,   /**< not at all */
  RL_MOVES
} RlMove;

/** `with the chord`, `with the key`, `as it is`. */
const char *rl_move_name(RlMove move);

/** A note of a moved phrase. */
typedef struct {
  int32_t at, lasts;    /**< ticks, as in the phrase */
  int16_t pitch;        /**< MIDI number; may lie outside 0..127 */
  uint8_t chord;        /**< index of the phrase's chord */
  uint8_t articulation; /**< RlArticulation */
  bool    followed; /**< changed to the tone of the same function in a chord of another quality */
} RlNote;

/** Moves the notes of a phrase to where they are played, into `notes` (phrase->notes of them).
   `over` has for each chord of the phrase the harmony that sounds in its place; over N.C. it moves
   as the chord before it does. A move is at most six semitones, and six down rather than six up;
   later chords move as nearly as possible like the first. That a third follows the chord is common
    practice, no source; fifths do where the chord's own differs (m7b5, aug). */
void rl_phrase_move(const RlPhrase *phrase, RlMove move, RlKey key, const RlHarmony *over,
                    RlNote *notes);

#endif
