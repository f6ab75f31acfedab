/* SPDX-License-Identifier: ISC */
/* Phrases as text, in ABC 2.1: the part of it that one voice needs. What is read and what is
   refused stands in core/abc/ABC.md. Not for the audio thread: time grows with the text. No
   heap, no state; any other thread. */
#ifndef RL_CORE_ABC_ABC_H
#define RL_CORE_ABC_ABC_H

#include "core/phrase/phrase.h"

enum {
  RL_ABC_MAX         = 65536, /**< bytes of a tune's text; holds whatever rl_abc_write() writes */
  RL_ABC_BARS_MAX    = 128,   /**< the pickup included */
  RL_ABC_REASON_SIZE = 192    /**< bytes, the NUL included */
};

/** What is wrong with a tune. */
typedef struct {
  int  line;   /**< from 1 */
  int  column; /**< characters, from 1 */
  char reason[RL_ABC_REASON_SIZE];
} RlAbcError;

/** Reads one tune of at most RL_ABC_MAX bytes of UTF-8. On failure returns false, fills in `error`,
    and `phrase` holds nothing of use. Not kept: the tune's number, comments, words beside a tempo,
    how notes were spelled, how a rhythm was noted. */
bool rl_abc_read(RlSlice text, RlPhrase *phrase, RlAbcError *error);

/** Appends the phrase as a tune that reads back as the same phrase, if it came from rl_abc_read()
   or keeps to these: one voice, in order; chords in order within it; a tempo in millionths; names
   as rl_abc_read() gives them where `transpose` is no octave. RL_ABC_MAX bytes of room hold any. */
void rl_abc_write(const RlPhrase *phrase, RlText *text);

/** The same into an empty text; returns the tune in it, from `X:` on: without the line that says
   which ABC it is, as it stands in books and plans. */
RlSlice rl_abc_tune(const RlPhrase *phrase, RlText *text);

/** What the first field of a name (`T`) says in a tune's text, read or not; empty if there is none.
 */
RlSlice rl_abc_field_value(RlSlice tune, char name);

/** Appends `line 3, column 7: …`. */
void rl_abc_error_write(const RlAbcError *error, RlText *text);

/** A tunebook being gone through. */
typedef struct {
  RlSlice rest; /**< what is still to come */
  int     next; /**< the line it begins on, from 1 */
  int     line; /**< where the tune taken last begins */
} RlAbcBook;

/** At the beginning of a text of any length. */
RlAbcBook rl_abc_book(RlSlice text);

/** Takes the next tune: from a line `X:` to a blank line or the end. Free text between tunes is
    passed over. Fields at the head of the book, which would hold for all its tunes, come out as a
    tune too, for rl_abc_read() to refuse. Empty (length 0) when there is none left. */
RlSlice rl_abc_next(RlAbcBook *book);

#endif
