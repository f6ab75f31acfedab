/* SPDX-License-Identifier: ISC */
/* Phrases as text in ABC 2.1, the part of it that one voice needs; ABC.md says what is read and
   what is refused. Not for the audio thread: time grows with the text. No heap, no state; any other
   thread. */
#ifndef RL_CORE_ABC_ABC_H
#define RL_CORE_ABC_ABC_H

#include "core/phrase/phrase.h"

enum {
  RL_ABC_MAX         = 65536, /**< bytes of a tune's text; holds whatever rl_abc_write() writes */
  RL_ABC_BARS_MAX    = 128,   /**< the pickup included */
  RL_ABC_REASON_SIZE = 192    /**< bytes, the NUL included */
};

/** Why a tune could not be read. */
typedef struct {
  int  line;   /**< from 1 */
  int  column; /**< characters, from 1 */
  char reason[RL_ABC_REASON_SIZE];
} RlAbcError;

/** What a phrase has no room for, by kind. */
typedef enum {
  RL_ABC_ORNAMENTS, /**< trills, rolls, turns and their like */
  RL_ABC_MARKS,     /**< all other decorations: staccato, bowings, dynamics, fingers */
  RL_ABC_GRACES,    /**< grace notes */
  RL_ABC_TEXTS,     /**< text in quotes that is no chord */
  RL_ABC_CHORDS,    /**< chord symbols that cannot be read, or that no note takes up */
  RL_ABC_WORDS,     /**< lines of words to sing */
  RL_ABC_LINES,     /**< other lines and fields: P: I: %% and their like */
  RL_ABC_SLURS,     /**< slurs inside others, over one note, or open at one end */
  RL_ABC_TIES,      /**< ties that lead to no note of the same pitch */
  RL_ABC_TONES,     /**< notes of a chord beyond three, the lowest */
  RL_ABC_TITLES,    /**< the end of a title */
  RL_ABC_TEMPOS,    /**< tempo changes inside */
  RL_ABC_KEYS,      /**< key changes inside: the notes are right, the phrase keeps its first key */
  RL_ABC_METERS,    /**< meter changes inside: lengths are right, bars are counted by the first */
  RL_ABC_JUMPS,     /**< D.C., D.S., Fine and Coda */
  RL_ABC_REPEATS,   /**< 1: there is no room to play the repeats, each part is read once */
  RL_ABC_BARS,      /**< bars too long or too short for their meter */
  RL_ABC_LEFT_KINDS
} RlAbcLeft;

/** What was left out of a tune, or could not be kept. */
typedef struct {
  uint16_t count[RL_ABC_LEFT_KINDS];
  int      bar_line, bar_column; /**< where the first bar of RL_ABC_BARS begins */
} RlAbcLeftOut;

/** Reads one tune of at most RL_ABC_MAX bytes of UTF-8. On failure returns false, fills in `error`,
    and `phrase` means nothing. Not kept: the tune's number, comments, words beside a tempo,
    how notes were spelled, how a rhythm was noted. */
bool rl_abc_read(RlSlice text, RlPhrase *phrase, RlAbcError *error);

/** The same, and counts in `left` what the phrase has no room for. The browser's build counts
    nothing. */
bool rl_abc_read_counting(RlSlice text, RlPhrase *phrase, RlAbcLeftOut *left, RlAbcError *error);

/** Appends `3 ornaments and a grace note left out`; nothing if there is nothing to say. */
void rl_abc_left_write(const RlAbcLeftOut *left, RlText *text);

/** How many things are left out. Changes inside and bars of another length lose nothing: they do
   not count. */
int rl_abc_left_things(const RlAbcLeftOut *left);

/** Appends the phrase as a tune that reads back as the same phrase, if it came from rl_abc_read()
   or has: notes of one voice in order of time; chords in order within it; a tempo in whole
   millionths; where `transpose` is no octave, names as rl_abc_read() gives them. A buffer of
   RL_ABC_MAX bytes holds any tune. */
void rl_abc_write(const RlPhrase *phrase, RlText *text);

/** The same into an empty text. Returns the tune in it from `X:` on, as it stands in books and
   plans: without the line with the version of ABC. */
RlSlice rl_abc_tune(const RlPhrase *phrase, RlText *text);

/** Does a line say how sure the notes are (core/phrase/sure.h)? Is it a field of that name? That
   line is none. */
bool rl_abc_is_sure(RlSlice line);
bool rl_abc_is_named(RlSlice line, char name);

/** The value of the first field of a name (`T`) in the text of a tune, whether or not it can be
   read; empty if there is none. */
RlSlice rl_abc_field_value(RlSlice tune, char name);

/** Appends `line 3, column 7: …`. */
void rl_abc_error_write(const RlAbcError *error, RlText *text);

/** A tunebook being read tune by tune. */
typedef struct {
  RlSlice rest; /**< what is still to come */
  int     next; /**< the line that `rest` begins on, from 1 */
  int     line; /**< of the tune read last, its first */
} RlAbcBook;

/** A book at its beginning; its text may have any length. */
RlAbcBook rl_abc_book(RlSlice text);

/** The next tune: from a line `X:` to a blank line or the end. Free text between tunes is skipped.
    Fields at the head of the book, which would apply to all its tunes, are returned as a tune too,
    for rl_abc_read() to refuse. Empty when there is none left. */
RlSlice rl_abc_next(RlAbcBook *book);

#endif
