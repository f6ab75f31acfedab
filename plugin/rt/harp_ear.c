/* SPDX-License-Identifier: ISC */
#include "plugin/rt/harp_ear.h"

#include <math.h>

/* What only drifts is told so many times a second at most, and not for less than this. */
static const double often     = 40;
static const float  cents_off = 0.5F, level_off = 0.5F, sure_off = 0.02F;

void
rl_harp_ear_init(RlHarpEar *const e, RlHarpEarDesk *const desk, const double rate)
{
  e->desk       = desk;
  e->heard.rate = rate;
}

/* ---- lent by the worker ---- */

static void
fall_silent(RlHarpEar *const e, const bool listens, const int64_t now)
{
  RlHeardNow *const h       = &e->heard;
  const bool        changed = h->listens != listens || h->played.count > 0;
  h->listens                = listens;
  h->played                 = (RlPlayed){.frame = (uint64_t)now, .since = (uint64_t)now};
  h->bar                    = 0;
  h->changes += changed;
  e->tell = e->tell || changed;
}

bool
rl_harp_ear_tune(RlHarpEar *const e, const RlHarpFrom from, const RlHand *const hand,
                 const int64_t now)
{
  const uint32_t wanted =
    from != RL_HARP_FROM_NOTHING ? rl_harp_ear_hand(hand->harp, hand->player) : 0;
  e->from = from;
  if (wanted == e->wanted) {
    return false;
  }
  e->wanted = wanted;
  e->busy   = true;
  fall_silent(e, wanted != 0, now);
  atomic_store_explicit(&e->desk->wanted, wanted, memory_order_release);
  return true;
}

/* A new ear for the same player: the level is kept. */
static void
take(RlHarpEar *const e, RlHarpEarLoan *const next, const int64_t now)
{
  if (e->loan) {
    next->ear.reference = e->loan->ear.reference;
  }
  e->loan  = next;
  e->began = now;
  e->fresh = false;
}

bool
rl_harp_ear_begin(RlHarpEar *const e, const int64_t now)
{
  RlHarpEarLoan *over = NULL;
  e->fed              = 0;
  if (atomic_load_explicit(&e->desk->returned, memory_order_acquire)) {
    return false; /* the worker has not fetched that yet */
  }
  if (!e->wanted) {
    over    = e->loan;
    e->loan = NULL;
    e->busy = false;
  } else if (atomic_load_explicit(&e->desk->offered, memory_order_relaxed)) {
    RlHarpEarLoan *const next =
      atomic_exchange_explicit(&e->desk->offered, NULL, memory_order_acquire);
    over = next && next->hand == e->wanted ? e->loan : next;
    if (next && next->hand == e->wanted) {
      take(e, next, now);
    }
  }
  if (over) {
    atomic_store_explicit(&e->desk->returned, over, memory_order_release);
  }
  return over != NULL;
}

/* ---- sound ---- */

static uint32_t
feed(RlHarpEar *const e, const float *const left, const float *const right, const uint32_t frames)
{
  enum { PART = 64 };
  float          sound[PART] = {0};
  const uint32_t part        = frames < PART ? frames : PART;
  if (left && !right) {
    return rl_reed_ear_hear(&e->loan->ear, left, frames, &e->fresh);
  }
  for (uint32_t i = 0; left && i < part; ++i) {
    sound[i] = 0.5F * (left[i] + right[i]);
  }
  return rl_reed_ear_hear(&e->loan->ear, sound, part, &e->fresh);
}

int64_t
rl_harp_ear_hear(RlHarpEar *const e, const float *const left, const float *const right,
                 const int64_t frames)
{
  int64_t took = 0;
  while (took < frames && !e->fresh) {
    took += feed(e, left ? left + took : NULL, left && right ? right + took : NULL,
                 (uint32_t)(frames - took));
  }
  return took;
}

/* ---- what is worth telling ---- */

static bool
same_notes(const RlPlayed *const a, const RlPlayed *const b)
{
  bool same = a->count == b->count;
  for (int i = 0; same && i < a->count; ++i) {
    same = a->note[i].hole == b->note[i].hole && a->note[i].technique == b->note[i].technique;
  }
  return same;
}

static bool
drifts(const RlPlayed *const a, const RlPlayed *const b)
{
  bool differ = fabsf(a->level - b->level) >= level_off || fabsf(a->sure - b->sure) >= sure_off;
  for (int i = 0; i < a->count; ++i) {
    differ = differ || fabsf(a->note[i].cents - b->note[i].cents) >= cents_off;
  }
  return a->count > 0 && differ;
}

static void
begun_here(RlHeardNow *const h, const RlFollower *const f)
{
  h->beat   = rl_follower_shown_beat(f);
  h->chorus = f->now.place.chorus;
  h->bar    = h->beat > 0 ? f->now.place.bar : 0;
}

/* By the plugin's frames; nothing where the ear is another harp's. */
static RlPlayed
played_now(const RlHarpEar *const e)
{
  RlPlayed now = e->loan->ear.played;
  now.count    = e->wanted == e->loan->hand ? now.count : 0;
  now.frame += (uint64_t)e->began;
  now.since += (uint64_t)e->began;
  return now;
}

bool
rl_harp_ear_heed(RlHarpEar *const e, const RlFollower *const f)
{
  const RlPlayed now = played_now(e);
  e->fresh           = false;
  e->now             = now;
  const bool anew    = !same_notes(&now, &e->heard.played);
  const bool passed  = (double)(now.frame - e->heard.played.frame) * often >= f->rate;
  if (!anew && !(passed && drifts(&now, &e->heard.played))) {
    return false;
  }
  if (anew) {
    begun_here(&e->heard, f);
  }
  e->heard.played = now;
  ++e->heard.changes;
  e->tell = true;
  return true;
}

const RlPlayed *
rl_harp_ear_now(const RlHarpEar *const e)
{
  return &e->now;
}

/* By the line of its fundamental. */
static float
loudness(const RlReedEar *const e, const RlPlayedNote *const note)
{
  for (int k = 0; k < e->reeds.notes; ++k) {
    const RlReedNote *const n = &e->reeds.note[k];
    if (n->hole == note->hole && n->technique == note->technique && n->line[0] >= 0) {
      return e->lines.slow[n->line[0]];
    }
  }
  return RL_HEARD_SILENCE;
}

const RlPlayedNote *
rl_harp_ear_strongest(const RlHarpEar *const e)
{
  const RlReedEar *const ear  = e->loan ? &e->loan->ear : NULL;
  const RlPlayedNote    *best = NULL;
  float                  most = RL_HEARD_SILENCE;
  const bool             ours = ear && e->loan->hand == e->wanted;
  for (int i = 0; ours && i < ear->played.count; ++i) {
    const RlPlayedNote *const note = &ear->played.note[i];
    const float               loud = loudness(ear, note);
    if (!best || loud > most) {
      best = note;
      most = loud;
    }
  }
  return best;
}
