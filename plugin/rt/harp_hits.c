/* SPDX-License-Identifier: ISC */
#include "plugin/rt/harp_hits.h"

#include <math.h>

/* Seconds from a note's beginning until it is known: the median of rendered notes. */
static const double known_after = 0.025;

/* A note that goes on is struck again where it grows louder by so many dB faster than by so many in
   a block of the ear's (5.3 ms); own judgement: tongues do, throats and hands do not. */
static const float struck = 6, rises = 0.35F;

static bool
struck_again(RlHarpHits *const h, const float level)
{
  h->low           = fminf(h->low + rises, level);
  const bool again = level - h->low >= struck;
  h->low           = again ? level : h->low;
  return again;
}

/* Quarters along the song where what is heard now was begun to be played; NAN where nobody knows.
 */
static double
place_of(const RlFollower *const f)
{
  const RlPlace *const p       = &f->now.place;
  const bool           nowhere = p->part == RL_PART_NOWHERE || p->part == RL_PART_OVER;
  if (nowhere || !f->now.rolling || !(f->now.beats_per_frame > 0)) {
    return (double)NAN;
  }
  const double a_second = f->now.beats_per_frame * 4 / p->unit * f->rate;
  return rl_form_quarters(&f->snapshot->form, p, rl_follower_beat(f)) - known_after * a_second;
}

static void
hit_add(RlHitsTold *const told, const RlForm *const form, const RlHit *const hit)
{
  static const double slack                = 1e-6; /* quarters */
  const RlPlace       p                    = rl_form_locate(form, RL_AXIS_QUARTERS, hit->at, slack);
  told->last[told->count++ % RL_HITS_TOLD] = (RlHitTold){.quarters  = hit->at,
                                                         .chorus    = p.chorus,
                                                         .bar       = p.bar,
                                                         .beat      = (float)p.beat + 1,
                                                         .hole      = hit->hole,
                                                         .technique = hit->technique,
                                                         .note      = hit->note,
                                                         .target    = hit->target};
}

bool
rl_harp_hits_find(RlHarpHits *const h, const RlFollower *const f, const RlPlayed *const played)
{
  const RlSnapshot *const s    = f->snapshot;
  const RlHitSong         song = {&s->form, &s->line, &s->lane};
  const bool              anew = struck_again(h, played->level);
  const double            at   = place_of(f);
  uint8_t                 notes[RL_HITS_PITCHES];
  RlHit                   hit[RL_HITS_MOST];
  if (isnan(at)) {
    rl_hits_forget(&h->hits);
    return false;
  }
  for (int i = 0; i < played->count; ++i) {
    notes[i] = played->note[i].midi;
  }
  const int count = rl_hits_hear(&h->hits, &song, at, notes, played->count, anew, hit);
  for (int i = 0; i < count; ++i) {
    hit_add(&h->told, &s->form, &hit[i]);
  }
  return count > 0;
}
