/* SPDX-License-Identifier: ISC */
/* The teeth of the comb: how far each hole's notes reach, and so where the two corners are free.
 * Pure.
 */
#ifndef RL_UI_LAYOUT_COMB_EXTENT_H
#define RL_UI_LAYOUT_COMB_EXTENT_H

#include "core/harmony/harp.h"

typedef struct {
  int taken[2][RL_HOLES]; /* by [draws][hole - 1] */
  int rows[2];            /* beyond blow and draw */
  int low, high;          /* Now stands above holes 1 to low, Next under holes high to 10 */
  int now_rows, next_rows;
} RlCombExtent;

/** Works them out for a harp and its player. Each corner is two rows high at least. */
RlCombExtent rl_comb_extent(const RlHarp *harp, RlPlayer player);

#endif
