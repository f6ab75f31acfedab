/* SPDX-License-Identifier: ISC */
/* The form in rows of bars: chords, and where there are phrases their notes below them. A row whose
   phrases differ from chorus to chorus is shown once for each version. */
#ifndef RL_UI_PAPER_ROWS_H
#define RL_UI_PAPER_ROWS_H

#include "ui/paper/flow.h"

void rl_rows_add(RlFlow *flow);

#endif
