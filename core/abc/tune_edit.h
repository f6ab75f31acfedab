/* SPDX-License-Identifier: ISC */
/* A tune's text with one thing changed, every other byte as it was. Not for the audio thread. No
   heap, no state; any other thread. */
#ifndef RL_CORE_ABC_TUNE_EDIT_H
#define RL_CORE_ABC_TUNE_EDIT_H

#include "core/abc/abc.h"

/** Appends the tune with another value in its first field of a name (T, N, R, G), above the music.
    Without such a field it gets one, below its titles; with an empty value the line goes. The value
    must be of one line and have no `%` and no backslash. A comment behind the value stays. */
void rl_abc_field_set(RlSlice tune, char name, RlSlice value, RlText *out);

/** Over which chord a phrase is meant to be played, as it is tagged. */
typedef enum {
  RL_ABC_OVER_NOTHING,
  RL_ABC_OVER_I,
  RL_ABC_OVER_IV,
  RL_ABC_OVER_V,
  RL_ABC_OVERS
} RlAbcOver;

/** What the field G of a tune says, words with commas between them: `over IV`, `hard`. */
typedef struct {
  uint8_t over; /**< RlAbcOver */
  uint8_t hard; /**< 0: it does not say; 1 easy, 2 medium, 3 hard */
} RlAbcTags;

RlAbcTags rl_abc_tags(RlSlice tune);

/** Appends the tune with these tags; other words of its field G stay. */
void rl_abc_tags_set(RlSlice tune, RlAbcTags tags, RlText *out);

/** `over I`, `easy`; empty for nothing. */
const char *rl_abc_over_name(RlAbcOver over);
const char *rl_abc_hard_name(int hard);

/** Scratch memory; need not be cleared. */
typedef struct {
  RlPhrase phrase;
  char     text[RL_ABC_MAX], music[RL_ABC_MAX];
} RlAbcEditWorkspace;

/** Appends the tune with the notes of `phrase` in place of its music; L above it is written anew,
   and K, M and Q where they have to be, the rest stays. False, and `out` means nothing, where that
   would lose something that a phrase has no room for, or a comment in the music, or would read as
   another phrase. */
bool rl_abc_notes_set(RlSlice tune, const RlPhrase *phrase, RlAbcEditWorkspace *workspace,
                      RlText *out);

#endif
