/* SPDX-License-Identifier: ISC */
#include "plugin/rt/track_out.h"

#include <math.h>

static const double leap = 0.25; /* quarters: off by more, and the music is elsewhere */

bool
rl_track_out_tune(RlTrackOut *const t, const bool wanted)
{
  if (wanted == t->wanted) {
    return false;
  }
  t->wanted = wanted;
  t->on     = false;
  rl_lend_desk_want(t->desk, wanted, t->ring);
  t->ring = wanted ? t->ring : NULL;
  return true;
}

void
rl_track_out_begin(RlTrackOut *const t)
{
  if (!t->ring) {
    t->ring = (RlTrackRing *)rl_lend_desk_take(t->desk);
  }
}

void
rl_track_out_hear(RlTrackOut *const t, const RlFollower *const f, const float *const left,
                  const float *const right, const uint32_t frames, const bool counts)
{
  const unsigned chart = f->snapshot->version[RL_CHART];
  if (!t->ring || !left || !counts || !rl_music_moves(f)) {
    t->on = false;
    return;
  }
  const double at   = rl_music_quarters(f);
  const double rate = f->now.beats_per_frame * 4 / f->now.place.unit;
  t->run += !t->on || fabs(at - t->due) > leap || chart != t->chart;
  const RlTrackHead head = {f->clock.now, at, rate, chart, t->run};
  rl_track_ring_put(t->ring, &head, left, right, frames);
  t->on    = true;
  t->chart = chart;
  t->due   = at + rate * frames;
}
