/* SPDX-License-Identifier: ISC */
/* Prints a harp's notes. Usage: reeds_dump KEY RANGE TUNING   A line for each: hole, technique,
 * MIDI number. */
#include "core/harmony/harp.h"

#include <stdio.h>
#include <stdlib.h>

int
main(const int count, char **const words)
{
  if (count != 4) {
    (void)fputs("usage: reeds_dump KEY RANGE TUNING\n", stderr);
    return 2;
  }
  const RlHarpChoice choice = {(uint8_t)atoi(words[1]), (int8_t)atoi(words[2]),
                               (RlTuning)atoi(words[3])};
  const RlHarp       harp   = rl_harp_make(choice);
  for (int h = 0; h < RL_HOLES; ++h) {
    for (int t = 0; t < RL_TECHNIQUES; ++t) {
      if (harp.note[h][t]) {
        (void)printf("%d %d %d\n", h + 1, t, harp.note[h][t]);
      }
    }
  }
  return 0;
}
