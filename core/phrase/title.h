/* SPDX-License-Identifier: ISC */
/* Titles of phrases from names that nobody chose as one: of files, of a file's tracks. Any thread.
 */
#ifndef RL_CORE_PHRASE_TITLE_H
#define RL_CORE_PHRASE_TITLE_H

#include "core/text/text.h"

/** Appends `name` as it may stand in a title: on one line, without commas, which end a title in a
    plan, and without signs that have a meaning in ABC 2.1 (`%`, `\`). Where it is no UTF-8, holds
    control characters, or nothing would be left, `otherwise`. */
void rl_title_write(RlSlice name, const char *otherwise, RlText *text);

#endif
