/* SPDX-License-Identifier: ISC */
/* How far the notes of each hole reach on the comb, and so how much is free in the upper left
   corner (Now stands there) and in the lower right one (Next). A row is one lamp high. Pure. */
#ifndef RL_UI_LAYOUT_COMB_EXTENT_H
#define RL_UI_LAYOUT_COMB_EXTENT_H

#include "core/harmony/harp.h"

typedef struct {
  int beyond[2][RL_HOLES]; /**< rows beyond the blow lamp [0] and the draw lamp [1], by hole - 1 */
  int rows[2];             /**< the most of them, the corners included */
  int low, high;           /**< Now stands above holes 1 to `low`, Next below holes `high` to 10 */
  int now_rows, next_rows; /**< the corners' heights */
} RlCombExtent;

/** For a harp and its player. Each corner is at least two rows high. */
RlCombExtent rl_comb_extent(const RlHarp *harp, RlPlayer player);

/** In which row beyond the blow or draw lamp of its hole a note stands: 0 for those two, 1 to 3 for
    bends, 1 for overblows and overdraws. */
int rl_comb_level(RlTechnique technique);

/** Does the comb show this note? Bends beyond the player's are shown too, overblows and overdraws
    only to those who play them. `hole` from 1. */
bool rl_comb_shows(const RlHarp *harp, RlPlayer player, int hole, RlTechnique technique);

#endif
