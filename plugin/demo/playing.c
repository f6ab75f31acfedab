/* SPDX-License-Identifier: ISC */
#include "plugin/demo/playing.h"

#include <math.h>
#include <stddef.h>

enum { HOLE = 3, PLAIN = 71 /* B4 */, OFTEN = 40 /* reports a second */ };

static const double turn = 6.283185307179586;

/* A try: where the pitch begins, in cents above B flat, where it is held, how long it takes there
   and is held, vibrato in cents to each side. */
static const struct {
  double from, to, glide, hold, wide;
} tries[] = {
  {100, 78, 0.3, 0.9, 0}, {100, 64, 0.5, 1.1, 0}, {100, 12, 0.4, 0.8, 0},  {100, 52, 0.6, 1.3, 0},
  {-40, 30, 0.5, 1.2, 0}, {100, 46, 0.5, 2.2, 0}, {100, 38, 0.4, 2.6, 11}, {100, 42, 0.35, 3.4, 14},
};

enum { TRIES = sizeof(tries) / sizeof(tries[0]) };

static void
hear(RlController *const c, const double at, const bool sounds, const double cents,
     const double now)
{
  const bool     bent   = cents < 50; /* above the flat third */
  RlPlayedReport report = {.count    = sounds,
                           .note     = {{HOLE, bent ? RL_DRAW_1 : RL_DRAW, bent ? PLAIN - 1 : PLAIN,
                                     bent ? cents : cents - 100}},
                           .level    = -18,
                           .sure     = sounds ? 0.97 : 0,
                           .heard_at = at};
  rl_controller_hear_played(c, &report, now);
}

void
rl_playing_tries(RlController *const c, const double now)
{
  double at = 0;
  for (int t = 0; t < TRIES; ++t) {
    const double sounds = tries[t].glide + tries[t].hold;
    for (int i = 0; i < sounds * OFTEN; ++i) {
      const double in    = (double)i / OFTEN;
      const double way   = fmin(1, in / tries[t].glide);
      const double held  = fmax(0, in - tries[t].glide);
      const double shake = fmin(1, held) * tries[t].wide * sin(turn * 5.3 * held);
      const double sway  = 4 * sin(2.1 * in + t);
      hear(c, at + in, true, tries[t].from + (tries[t].to - tries[t].from) * way + shake + sway,
           now);
    }
    at += sounds;
    if (t < TRIES - 1) {
      hear(c, at, false, 0, now);
      at += 0.6;
      hear(c, at, false, 0, now);
    }
  }
}

/* Draw 3 bent half a step, held. */
static void
hold(RlController *const c, const double cents, const double now)
{
  const RlPlayedReport report = {.count    = 1,
                                 .note     = {{HOLE, RL_DRAW_1, PLAIN - 1, cents}},
                                 .level    = -18,
                                 .sure     = 0.97,
                                 .heard_at = 1e4 + 0.4,
                                 .since    = 1e4};
  rl_controller_hear_played(c, &report, now);
}

void
rl_playing_phrase(RlController *const c, const double now)
{
  static const RlHitReport hits[] = {{false, 60, 4, RL_DRAW}, {false, 61, 6, RL_BLOW}};
  for (size_t i = 0; i < sizeof(hits) / sizeof(hits[0]); ++i) {
    rl_controller_hear_hit(c, &hits[i], now);
  }
  hold(c, 31, now);
}

void
rl_playing_landing(RlController *const c, const double now)
{
  rl_controller_hear_hit(c, &(RlHitReport){true, 64, HOLE, RL_DRAW_1}, now);
  hold(c, -14, now);
}

void
rl_playing_silence(RlController *const c, const double now)
{
  rl_controller_hear_played(c, &(RlPlayedReport){.heard_at = 1e4}, now);
}
