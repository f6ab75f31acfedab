/* SPDX-License-Identifier: ISC */
#include "plugin/demo/practising.h"

#include "core/practice/line.h"

/* Chords landed on (of nine), bent notes' cents, milliseconds behind, of each chorus. */
static const struct {
  int day, landed, cents, ms;
} choruses[] = {{0, 2, -38, 61}, {0, 3, -35, 48}, {0, 2, -41, 52}, {0, 4, -30, 44}, {2, 3, -33, 47},
                {2, 4, -27, 39}, {2, 5, -22, 41}, {2, 4, -24, 35}, {2, 5, -20, 33}, {3, 4, -19, 36},
                {3, 5, -16, 28}, {3, 6, -18, 24}, {3, 6, -13, 27}, {6, 5, -15, 25}, {6, 6, -11, 19},
                {6, 7, -9, 21},  {6, 6, -12, 16}, {6, 8, -7, 18}};

enum { CHORUSES = sizeof(choruses) / sizeof(choruses[0]) };

void
rl_practising_write(RlText *const text)
{
  static const int64_t monday = 1795460400; /* 2026-11-23, 19:00 UTC */
  for (int i = 0; i < CHORUSES; ++i) {
    const int            hit  = choruses[i].landed;
    const RlPracticeLine line = {.when     = monday + choruses[i].day * 86400 + i * 60,
                                 .chorus   = 1 + i % 5,
                                 .tempo    = 72,
                                 .song_key = 7,
                                 .show     = hit < 5 ? 1 : 2,
                                 .tally    = {.bars         = 12,
                                              .notes        = 40,
                                              .targets      = 9,
                                              .targets_hit  = hit,
                                              .strong       = 20,
                                              .strong_chord = 8 + hit + i % 3,
                                              .role         = {[RL_ROLE_OFF]   = 9 - hit,
                                                               [RL_ROLE_PASS]  = 8,
                                                               [RL_ROLE_SAFE]  = 6,
                                                               [RL_ROLE_BLUE]  = 5,
                                                               [RL_ROLE_FIFTH] = 4,
                                                               [RL_ROLE_ROOT]  = 5,
                                                               [RL_ROLE_THIRD] = 3 + hit},
                                              .planned      = i % 4 ? 8 : 0,
                                              .planned_hit  = i % 4 ? hit - 1 : 0,
                                              .bends        = 7,
                                              .bend_cents   = choruses[i].cents,
                                              .bend_spread  = 9,
                                              .timed        = 18,
                                              .behind_ms    = choruses[i].ms,
                                              .behind_beats = choruses[i].ms / 833.0},
                                 .title    = "Ferry Street Slow Drag"};
    rl_practice_line_write(&line, text);
  }
}
