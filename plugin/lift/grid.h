/* SPDX-License-Identifier: ISC */
/* Private to plugin/lift: what the lifter is told of a piece's beats and chords. */
#ifndef RL_PLUGIN_LIFT_GRID_H
#define RL_PLUGIN_LIFT_GRID_H

#include "plugin/lift/lifting.h"

enum { RL_LIFT_GRID_BEATS = 256 };

/* The quarters along the song at a second of the clip. */
double rl_lifting_quarters(const RlLifting *lifting, double second);

/* The beats of the form in the clip's seconds `from` to `to`, as a grid that begins at `from`;
   `scale` gets the pitch classes over each. Where they do not lie evenly (a tempo that changes), or
   there are too few of them, only the key is told. */
void rl_lifting_grid(const RlLifting *lifting, double from, double to,
                     uint16_t scale[RL_LIFT_GRID_BEATS], RlLiftGrid *grid);

#endif
