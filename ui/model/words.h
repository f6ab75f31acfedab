/* SPDX-License-Identifier: ISC */
/* Words that are searched for, in upper or lower case (ASCII). Pure. */
#ifndef RL_UI_MODEL_WORDS_H
#define RL_UI_MODEL_WORDS_H

#include "core/text/text.h"

#include <stdbool.h>

/** Does `text` contain every one of the words, which have spaces between them, in any order? */
bool rl_words_all_in(const char *text, RlSlice words);

#endif
