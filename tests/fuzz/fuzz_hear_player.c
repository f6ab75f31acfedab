/* SPDX-License-Identifier: ISC */
/* Feeds the player's ear any sound: the first bytes choose harp, player, rate and block; each
   further byte is a run of samples of one kind (reeds of the harp, one or two; noise, silence, a
   click, what is no number, denormals, clipped), or another harp. What is heard must be notes that
   this harp and this player have, from the lowest hole up, as numbers, and come every 5.3 ms. A
   libFuzzer harness.

   RL_PLANTED_BUG, defined for one build only, plants a read too far below, so that one can see the
   fuzzer find it. */
#include "core/ear/player/reed_ear.h"
#include "demand.h"
#include "feed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { RUN = 1500, RUNS_MAX = 120, ANOTHER_HARP = 255 };

static const double   rates[]  = {22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000};
static const uint32_t blocks[] = {1, 7, 64, 8192};

typedef struct {
  RlReedEar *ear;
  RlHarp     harp;
  RlPlayer   player;
  double     rate;
  uint64_t   frames, last; /* fed; where the newest block began */
  uint32_t   block, seed;
} Fed;

static void
harp_choose(Fed *const f, const unsigned a, const unsigned b)
{
  f->harp = rl_harp_make(
    (RlHarpChoice){(uint8_t)(a % 12), (int8_t)((int)(a / 12 % 3) - 1), (RlTuning)(b % RL_TUNINGS)});
  f->player = (RlPlayer){(uint8_t)(b / 8 % 4), (uint8_t)(b / 32 % 4), b > 127};
}

static void
notes_check(const Fed *const f, const RlPlayed *const p)
{
  const size_t        bytes = (size_t)p->count * sizeof(RlPlayedNote);
  RlPlayedNote *const note  = (RlPlayedNote *)calloc(1, bytes ? bytes : 1);
  const int           count = p->count + (PLANTED && p->count == 2);
  int                 below = 0;
  DEMAND(note);
  memcpy(note, p->note, bytes);
  for (int i = 0; i < count; ++i) {
    const RlPlayedNote *const n = &note[i];
    DEMAND(n->hole > below && n->hole <= RL_HOLES && n->technique < RL_TECHNIQUES);
    DEMAND(n->midi > 0 && f->harp.note[n->hole - 1][n->technique] == n->midi);
    DEMAND(rl_player_can(f->player, (RlTechnique)n->technique));
    DEMAND(isfinite(n->cents) && fabsf(n->cents) <= 75);
    below = n->hole;
  }
  free(note);
}

static void
played_check(Fed *const f)
{
  const RlPlayed *const p = &f->ear->played;
  DEMAND(p->frame == f->frames && (double)(p->frame - f->last) < 0.006 * f->rate + 2);
  DEMAND(p->since <= p->frame && p->count >= 0 && p->count <= RL_REED_TOGETHER);
  DEMAND(p->sure >= 0 && p->sure <= 1 && p->level > -160 && p->level < 40);
  notes_check(f, p);
  f->last = p->frame;
}

/* A saw, as bright as a reed, of one of the harp's notes. */
static float
reed(const Fed *const f, const int which, const uint32_t i)
{
  const int    midi = f->harp.note[which % RL_HOLES][which / RL_HOLES % RL_TECHNIQUES];
  const double t    = (double)(f->frames + i) / f->rate;
  const double turn = 440 * exp2((midi - 69) / 12.0) * t;
  return midi ? (float)(2 * (turn - floor(turn)) - 1) * 0.2F : 0;
}

static float
sample_of(Fed *const f, const int kind, const uint32_t i)
{
  f->seed = f->seed * 1664525U + 1013904223U;
  switch (kind) {
  case 240:
    return 0;
  case 241:
    return (float)(f->seed >> 8) / 8388608.0F - 1;
  case 242:
    return NAN;
  case 243:
    return i % 2 ? INFINITY : -INFINITY;
  case 244:
    return 1e-40F;
  case 245:
    return i % 100 < 50 ? 1 : -1;
  case 246:
    return i < 60;
  case 247:
    return 3e38F;
  default:
    return reed(f, kind, i) + (kind < 110 ? 0 : reed(f, kind + 1, i));
  }
}

static void
run_feed(Fed *const f, const int kind)
{
  float *const sound = (float *)malloc(RUN * sizeof(float)); /* exact: one too far is seen */
  DEMAND(sound);
  for (uint32_t i = 0; i < RUN; ++i) {
    sound[i] = sample_of(f, kind, i);
  }
  for (uint32_t at = 0; at < RUN;) {
    const uint32_t left = RUN - at, now = left < f->block ? left : f->block;
    bool           fresh = false;
    const uint32_t took  = rl_reed_ear_hear(f->ear, sound + at, now, &fresh);
    DEMAND(took >= 1 && took <= now && (fresh || took == now));
    at += took;
    f->frames += took;
    if (fresh) {
      played_check(f);
    }
  }
  free(sound);
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  Feed feed = {data, size};
  Fed  f    = {.ear = (RlReedEar *)malloc(sizeof(RlReedEar)), .seed = (uint32_t)size};
  DEMAND(f.ear);
  const unsigned a = feed_byte(&feed), b = feed_byte(&feed), c = feed_byte(&feed);
  f.rate  = rates[c % 8];
  f.block = blocks[c / 8 % 4];
  harp_choose(&f, a, b);
  rl_reed_ear_init(f.ear, &f.harp, f.player, f.rate);
  for (int runs = 0; feed.left && runs < RUNS_MAX; ++runs) {
    const unsigned kind = feed_byte(&feed);
    if (kind == ANOTHER_HARP) {
      const unsigned key = feed_byte(&feed);
      harp_choose(&f, key, feed_byte(&feed));
      rl_reed_ear_change(f.ear, &f.harp, f.player);
      f.last = f.frames; /* its block begins anew */
    } else {
      run_feed(&f, (int)kind);
    }
  }
  free(f.ear);
  return 0;
}
