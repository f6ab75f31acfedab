/* SPDX-License-Identifier: ISC */
/* Practice for the page: the choruses as panels, computed here as the window does, so that a phone
   only draws. Pure, any thread. */
#ifndef RL_UI_PAGE_PRACTICE_H
#define RL_UI_PAGE_PRACTICE_H

#include "core/text/text.h"

enum { RL_PAGE_PRACTICE_MOST = 24 /**< choruses */, RL_PAGE_PRACTICE_SIZE = 6144 };

/** Writes lines of practice, the oldest first, as JSON with a NUL; returns its length. Of more than
    RL_PAGE_PRACTICE_MOST the newest, and what is no line is left out:

        {"said": the newest in a line, "days": the day of each,
         "panels": [[title, the newest in words, [how good each was]], ...]}

    How good is a percentage, -1 where there was nothing of it; in the last panel it is the list of
    its parts, the best first, or -1. */
size_t rl_page_practice_write(RlSlice lines, char json[RL_PAGE_PRACTICE_SIZE]);

#endif
