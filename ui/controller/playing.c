/* SPDX-License-Identifier: ISC */
#include "ui/controller/playing.h"

#include "ui/controller/controller_state.h"

#include <math.h>
#include <string.h>

static const double sign_time = 1.2; /* seconds that a target landed on is marked */
static const double jump      = 0.5; /* quarters back that are no more a late report */

static double
limited(const double number, const double most)
{
  return isfinite(number) ? fmin(fmax(number, -most), most) : 0;
}

/* What cannot be is left out: a host may pass on anything. */
void
rl_controller_hear_played(RlController *const c, const RlPlayedReport *const raw, const double now)
{
  static const double most   = 1e9;
  RlPlayedReport      played = *raw;
  int                 count  = 0;
  for (int i = 0; i < raw->count && i < RL_PLAYED_NOTES; ++i) {
    RlPlayedSound n = raw->note[i];
    n.cents         = limited(n.cents, 1200);
    if (n.hole >= 1 && n.hole <= RL_HOLES && n.technique >= RL_BLOW &&
        n.technique < RL_TECHNIQUES && n.midi > 0 && n.midi <= 127) {
      played.note[count++] = n;
    }
  }
  played.count    = count;
  played.level    = limited(played.level, most);
  played.sure     = limited(played.sure, 1);
  played.heard_at = limited(played.heard_at, most);
  played.since    = limited(played.since, most);
  played.beat     = limited(played.beat, most);
  rl_training_hear(c, &played, now);
}

void
rl_controller_hear_hit(RlController *const c, const RlHitReport *const hit, const double now)
{
  RlViewHits *const v = &c->view.hits;
  memmove(&v->hit[1], &v->hit[0], sizeof(v->hit[0]) * (RL_HITS_KEPT - 1));
  v->hit[0] = *hit;
  v->count  = v->count < RL_HITS_KEPT ? v->count + 1 : RL_HITS_KEPT;
  if (hit->target) {
    v->lands             = true;
    v->landed            = *hit;
    c->playing.landed_at = now;
  }
}

/* Quarters from bar 1 of chorus 1; NAN where no place is known. */
static double
quarters_now(const RlView *const v)
{
  const RlPlace place = rl_view_place(v);
  const bool    known =
    v->form && place.index >= 0 && place.part != RL_PART_NOWHERE && place.part != RL_PART_OVER;
  return known ? rl_form_quarters(v->form, &place, place.beat) : (double)NAN;
}

void
rl_playing_advance(RlController *const c, const double now)
{
  RlViewHits *const v  = &c->view.hits;
  const double      at = quarters_now(&c->view);
  if (at < c->playing.was - jump) {
    v->count = 0;
  }
  c->playing.was = isnan(at) ? c->playing.was : at;
  v->lands       = v->lands && now - c->playing.landed_at < sign_time;
}
