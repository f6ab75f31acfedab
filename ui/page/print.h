/* Draws the lesson sheet of what was heard, for one pupil. In a child of the server alone: it
   leaves fonts and memory behind. */
#ifndef RL_PRINT_H
#define RL_PRINT_H

#include "copies.h"

/** An RlCopyDraw. A plan that cannot be read, or that the chart has no bars for, is left out as far
    as it goes, as on the page. */
RlCopyEnd rl_print(const RlHeard *heard, const RlCopyWish *wish, int to);

#endif
