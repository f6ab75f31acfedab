/* SPDX-License-Identifier: ISC */
/* What can be done by hand to a note of a phrase, as one table: window, keys and tests use it.
   Plain data; no heap, no state; any thread but audio. */
#ifndef RL_CORE_PHRASE_NOTE_EDIT_H
#define RL_CORE_PHRASE_NOTE_EDIT_H

#include "core/phrase/edit.h"

typedef enum {
  RL_NOTE_EARLIER, /**< by a place of the beat */
  RL_NOTE_LATER,
  RL_NOTE_LOWER, /**< by a half step */
  RL_NOTE_HIGHER,
  RL_NOTE_SHORTER, /**< its end by a place */
  RL_NOTE_LONGER,
  RL_NOTE_INSERT, /**< a note behind it */
  RL_NOTE_REMOVE,
  RL_NOTE_SPLIT,
  RL_NOTE_JOIN, /**< with the next */
  RL_NOTE_SCOOP,
  RL_NOTE_FALL,
  RL_NOTE_ACCEPT, /**< it is right, though it was not sure */
  RL_NOTE_EDITS
} RlNoteEdit;

/** What it is called on a button: one or two words. */
const char *rl_note_edit_name(RlNoteEdit edit);

/** Does it to onset `*onset` of the phrase, which becomes the one to look at next. NULL, or why it
    cannot be done, with the way out; then nothing has changed. */
const char *rl_note_edit(RlPhrase *phrase, RlNoteEdit edit, int *onset);

#endif
