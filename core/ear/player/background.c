/* SPDX-License-Identifier: ISC */
#include "core/ear/player/background.h"

#include "core/ear/four.h"

static const float quiet = -70; /* dB, until it is known */

/* Of a block, how much is remembered: a third of a second while nothing is played; two seconds
 * beside what is. */
static const float alone = 0.016F, beside = 0.0027F;

void
rl_background_init(RlBackground *const b)
{
  for (int i = 0; i < RL_REED_LINES; ++i) {
    b->line[i] = quiet;
  }
  b->level = quiet;
}

void
rl_background_block(RlBackground *const b, const RlReeds *const reeds, const RlLines *const lines,
                    const int state)
{
  const float *const now = rl_lines_fast(lines, 0);
  if (state == reeds->states) {
    for (int i = 0; i < lines->count; i += 4) {
      const RlFour was = rl_four_at(b->line + i);
      rl_four_put(b->line + i, was + alone * (rl_four_at(now + i) - was));
    }
    b->level += alone * (rl_lines_level(lines, 0) - b->level);
    return;
  }
  for (int k = 0; k < reeds->notes; ++k) {
    const int w = reeds->note[k].line[0];
    if (reeds->note[k].same == k && !(reeds->state[state].explained >> k & 1)) {
      b->line[w] += beside * (now[w] - b->line[w]);
    }
  }
}
