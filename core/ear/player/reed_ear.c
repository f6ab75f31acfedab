/* SPDX-License-Identifier: ISC */
#include "core/ear/player/reed_ear.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

static const float usual_level = -20; /* dB full scale, until it is known */
static const float quietest    = -38; /* dB against the usual level */
static const float nobody      = 12;  /* nepers for "nothing" below that */
static const float unlikely    = -30; /* nepers of what was not looked at */
static const float most_cents  = 75;
static const float steep_fall  = -9;   /* dB in 21 ms */
static const float unlike      = 0.1F; /* less alike than before: something begins */

/* The forward filter, own judgement: how much of a score counts in a block of 5.3 ms, how likely a
 * state goes on. */
static const float counts = 1, stays = 0.76F;
static const float least = 1e-12F; /* what may always come */

/* Own judgement: worth of a chord told in part; beliefs not worth telling. */
static const float in_part = 0.7F, hardly = 0.01F;

/* Nepers a block that speak against an octave, but not while the nets are learned: a strange reed
 * sounds like two more often than those learned from. */
static const float octave_doubt = 0.5F;

/* Where belief comes anew. */
static const float anew_nothing = 0.2F, anew_single = 0.5F, anew_several = 0.3F;

static bool
octave(const RlReedEar *const e, const RlReedState *const s)
{
  return s->count == 2 && e->reeds.note[s->note[1]].midi - e->reeds.note[s->note[0]].midi == 12;
}

/* ---- the forward filter ---- */

static float
anew(const RlReeds *const r, const int state)
{
  if (state == r->states) {
    return anew_nothing;
  }
  return state < r->pitches ? anew_single / (float)r->pitches
                            : anew_several / (float)(r->states - r->pitches);
}

static void
belief_init(RlReedEar *const e)
{
  const int n = e->reeds.states;
  memset(e->belief, 0, sizeof(e->belief));
  memset(e->anew, 0, sizeof(e->anew));
  for (int s = 0; s <= n; ++s) {
    e->belief[s] = 1 / (float)(n + 1);
    e->anew[s]   = (1 - stays) * anew(&e->reeds, s);
  }
}

/* Of a score below the best one. */
static float
likelihood(const float score)
{
  return score * counts < -25 ? 1e-11F : expf(score * counts);
}

/* All scores but those of candidates and "nothing" are alike. */
static void
belief_move(RlReedEar *const e)
{
  const int n = e->reeds.states, count = e->candidates.count;
  float     top = rl_greater(unlikely, e->score[RL_CANDIDATES]), now[RL_CANDIDATES + 1];
  int       state[RL_CANDIDATES + 1];
  RlFour    sum = {0};
  for (int i = 0; i < count; ++i) {
    top = rl_greater(top, e->score[i]);
  }
  for (int i = 0; i <= count; ++i) {
    state[i]          = i < count ? e->candidates.candidate[i].state : n;
    const float score = e->score[i < count ? i : RL_CANDIDATES];
    now[i] = (stays * e->belief[state[i]] + e->anew[state[i]]) * likelihood(score - top) + least;
  }
  const float others = likelihood(unlikely - top);
  for (int s = 0; s <= n; s += 4) {
    const RlFour was = stays * rl_four_at(e->belief + s) + rl_four_at(e->anew + s);
    rl_four_put(e->belief + s, was * others + least);
  }
  for (int i = 0; i <= count; ++i) {
    e->belief[state[i]] = now[i];
  }
  for (int s = n + 1; s % 4; ++s) {
    e->belief[s] = 0;
  }
  for (int s = 0; s <= n; s += 4) {
    sum += rl_four_at(e->belief + s);
  }
  const float share = 1 / rl_four_sum(sum);
  for (int s = 0; s <= n; s += 4) {
    rl_four_put(e->belief + s, rl_four_at(e->belief + s) * share);
  }
}

/* ---- begin ---- */

static void
harp_take(RlReedEar *const e, const RlHarp *const harp, const RlPlayer player)
{
  float lowest = 1e9F;
  rl_reeds_init(&e->reeds, harp, player, RL_EAR_RATE);
  for (int k = 0; k < e->reeds.notes; ++k) {
    lowest = rl_lesser(lowest, e->reeds.note[k].hz);
  }
  rl_tape_init(&e->tape, e->reeds.lags, lowest);
  rl_lines_init(&e->lines, &e->reeds);
  rl_beats_init(&e->beats, &e->reeds);
  rl_candidates_init(&e->candidates, &e->reeds);
  rl_background_init(&e->background);
  rl_reed_memory_init(&e->memory);
  memset(&e->tuning, 0, sizeof(e->tuning));
  belief_init(e);
  e->state        = e->reeds.states;
  e->breath       = -1;
  e->rested       = false;
  e->played.count = 0;
}

void
rl_reed_ear_init(RlReedEar *const e, const RlHarp *const harp, const RlPlayer player,
                 const double rate)
{
  memset(e, 0, sizeof(*e));
  rl_resampler_init(&e->resampler, rate);
  e->net       = &rl_net;
  e->reference = usual_level;
  harp_take(e, harp, player);
}

void
rl_reed_ear_change(RlReedEar *const e, const RlHarp *const harp, const RlPlayer player)
{
  harp_take(e, harp, player);
}

/* ---- what is told ---- */

/* How unlikely a hole is among those of one pitch: 2 draw and 3 blow are one, and what the player
   may mean besides decides, then the easier technique, then the breath heard last. */
static float
unlikelihood(const RlReedEar *const e, const int note)
{
  const RlTechnique technique = (RlTechnique)e->reeds.note[note].technique;
  const bool        other     = rl_technique_draws(technique) != (e->breath == RL_DRAW);
  float             among     = 0;
  for (int i = 0; i < e->candidates.count; ++i) {
    const int s = e->candidates.candidate[i].state;
    among += e->reeds.state[s].count > 1 && (e->reeds.state[s].own >> note & 1) ? e->belief[s] : 0;
  }
  return (technique > RL_DRAW ? 4.0F : 0.0F) + (technique >= RL_OVERBLOW ? 4.0F : 0.0F) +
         (other && e->breath >= 0 ? 1.0F : 0.0F) - 20 * among;
}

static int
note_likeliest(const RlReedEar *const e, const int note)
{
  int best = note;
  for (int k = 0; k < e->reeds.notes; ++k) {
    if (e->reeds.note[k].same == note && unlikelihood(e, k) < unlikelihood(e, best)) {
      best = k;
    }
  }
  return best;
}

static void
breath_learn(RlReedEar *const e, const int note)
{
  for (int k = 0; k < e->reeds.notes; ++k) {
    if (k != note && e->reeds.note[k].same == note) {
      return;
    }
  }
  e->breath = rl_technique_draws((RlTechnique)e->reeds.note[note].technique) ? RL_DRAW : RL_BLOW;
}

/* A quarter tone, and what harps are off. */
static float
cents_of(const RlReedNote *const n, const float lag)
{
  const float cents = lag > 0 ? 1200 * log2f(n->lag / lag) : 0;
  return rl_greater(-most_cents, rl_lesser(cents, most_cents));
}

static const RlCandidate *
candidate_of(const RlReedEar *const e, const int state)
{
  for (int i = 0; i < e->candidates.count; ++i) {
    if (e->candidates.candidate[i].state == state) {
      return &e->candidates.candidate[i];
    }
  }
  return NULL;
}

/* A harp is a little off as a whole and reed by reed; natural notes, well heard, tell. */
static void
harp_learn(RlReedEar *const e, const RlCandidate *const x, const int note)
{
  const RlReedNote *const n     = &e->reeds.note[note];
  const float             cents = cents_of(n, x->lag[0]);
  if (n->technique > RL_DRAW || x->left[RL_SHORT] > 0.1F || fabsf(cents) > 40 ||
      e->belief[e->state] < 0.95F) {
    return;
  }
  e->tuning.note[note] += 0.01F * (cents - e->tuning.all - e->tuning.note[note]);
  e->tuning.all += 0.002F * (cents - e->tuning.all);
}

static void
played_tell(RlReedEar *const e, const bool begins)
{
  const RlReedState *const s = &e->reeds.state[e->state];
  const RlCandidate *const x = candidate_of(e, e->state);
  RlPlayed *const          p = &e->played;
  p->count                   = s->count;
  for (int i = 0; i < s->count; ++i) {
    const int               told = s->count == 1 ? note_likeliest(e, s->note[0]) : s->note[i];
    const RlReedNote *const n    = &e->reeds.note[told];
    const float             was  = begins ? 0 : p->note[i].cents;
    p->note[i] = (RlPlayedNote){n->hole, n->technique, n->midi, x ? cents_of(n, x->lag[i]) : was};
  }
  if (x && s->count == 1) {
    harp_learn(e, x, s->note[0]);
  }
  if (x && e->belief[e->state] > 0.9F && (s->count == 1 || octave(e, s))) {
    const int known = s->count == 1 ? RL_KNOWN_ALONE : RL_KNOWN_OCTAVE;
    rl_reed_memory_even(&e->memory, &e->reeds, s->note[0], &e->lines);
    rl_reed_memory_partials(&e->memory, &e->reeds, s->note[0], known, &e->lines, &e->beats);
  }
  breath_learn(e, s->note[0]);
}

/* What it is worth to tell a state: whole if it is the one that sounds, in part if some of what
   sounds is told and nothing else. */
static float
worth(const RlReedEar *const e, const int state)
{
  const uint64_t told = e->reeds.state[state].pitches;
  float          sum  = e->belief[state];
  for (int i = 0; i < e->candidates.count; ++i) {
    const int s = e->candidates.candidate[i].state;
    sum += s != state && !(told & ~e->reeds.state[s].pitches) ? in_part * e->belief[s] : 0;
  }
  return sum;
}

static int
state_worth_telling(const RlReedEar *const e)
{
  int   best = e->reeds.states;
  float most = e->belief[best];
  for (int s = 0; s < e->reeds.states; ++s) {
    const float now = e->belief[s] > hardly ? worth(e, s) : 0;
    if (now > most) {
      most = now;
      best = s;
    }
  }
  return best;
}

/* What falls away is an end, no beginning, whatever its last block looks like. */
static bool
falls_away(const RlReedEar *const e)
{
  return rl_lines_level(&e->lines, 0) - rl_lines_level(&e->lines, 4) < steep_fall;
}

static void
result_tell(RlReedEar *const e)
{
  const int before = e->state, nothing = e->reeds.states;
  const int best  = before == nothing && falls_away(e) ? nothing : state_worth_telling(e);
  e->state        = best;
  e->played.sure  = e->belief[best];
  e->played.count = 0;
  if (best != before) {
    e->played.since = e->frame;
  }
  if (best < e->reeds.states) {
    played_tell(e, best != before);
  }
  const float level = e->played.level - e->reference;
  if (best < e->reeds.states && e->belief[best] > 0.9F && level > -12) {
    e->reference += level * (level > 0 ? 0.004F : 0.0015F);
  }
}

/* ---- one block ---- */

/* Whether the newest block still repeats what came a period before, as well as it did. One hole
   only; of several the lags are not followed. */
static bool
goes_on(RlReedEar *const e)
{
  if (e->state == e->reeds.states || e->reeds.state[e->state].count > 1) {
    return true;
  }
  const RlReedNote *const n   = &e->reeds.note[e->reeds.state[e->state].note[0]];
  const float             lag = n->lag * exp2f(-e->played.note[0].cents / 1200);
  const float now = rl_tape_alike(&e->tape, RL_NEWEST, (int)(lag + 0.5F)), was = e->alike;
  e->alike = now;
  return now > was - unlike;
}

/* Surely the same note, as loud as before. */
static bool
is_same(RlReedEar *const e)
{
  const float step = rl_lines_level(&e->lines, 0) - rl_lines_level(&e->lines, 1);
  return goes_on(e) && !e->thorough && e->belief[e->state] > 0.97F && fabsf(step) < 1.5F;
}

static void
pitch_follow(RlReedEar *const e)
{
  if (e->state == e->reeds.states || e->reeds.state[e->state].count > 1) {
    return;
  }
  const RlReedNote *const n         = &e->reeds.note[e->reeds.state[e->state].note[0]];
  float                   alike[64] = {0};
  const int first = n->low - 1, count = n->high + 2 - first < 64 ? n->high + 2 - first : 64;
  int       best = 1;
  for (int i = 0; i < count; ++i) {
    alike[i] = rl_tape_alike(&e->tape, n->window, first + i);
  }
  for (int i = 1; i < count - 1; ++i) {
    best = alike[i] > alike[best] ? i : best;
  }
  const float a = alike[best - 1], b = alike[best], c = alike[best + 1], bend = a - 2 * b + c;
  if (b >= a && b >= c && bend < -1e-9F) {
    e->played.note[0].cents = cents_of(n, (float)(first + best) + 0.5F * (a - c) / bend);
  }
}

static void
scores_make(RlReedEar *const e, const bool same)
{
  e->candidates.count = 0;
  if (e->played.level - e->reference < quietest) {
    e->score[RL_CANDIDATES] = nobody;
    return;
  }
  rl_tape_compare(&e->tape);
  rl_candidates_choose(&e->candidates, &e->reeds, &e->tape, &e->lines, &e->tuning, e->belief, same);
  rl_figures_make(&e->candidates, &e->reeds, &e->tape, &e->lines, &e->beats, &e->background,
                  &e->tuning, e->reference, &e->memory, e->figures, &e->moment);
  rl_net_candidates(e->net, e->figures, e->candidates.count, e->score);
  for (int i = 0; i < e->candidates.count && !e->thorough; ++i) {
    e->score[i] -= octave(e, &e->reeds.state[e->candidates.candidate[i].state]) ? octave_doubt : 0;
  }
  e->score[RL_CANDIDATES] = rl_net_nothing(e->net, &e->moment);
}

static void
block_hear(RlReedEar *const e)
{
  rl_tape_block(&e->tape);
  rl_lines_block(&e->lines, &e->tape);
  rl_beats_block(&e->beats, &e->reeds, &e->lines);
  e->played.level = rl_lines_level(&e->lines, 0);
  e->played.frame = e->frame;
  rl_background_block(&e->background, &e->reeds, &e->lines, e->state);
  const bool same = is_same(e);
  e->rested       = same && !e->rested; /* every second block only its pitch is followed */
  if (e->rested) {
    pitch_follow(e);
    rl_reed_memory_rest(&e->memory);
    return;
  }
  scores_make(e, same && e->state < e->reeds.pitches);
  belief_move(e);
  result_tell(e);
}

uint32_t
rl_reed_ear_hear(RlReedEar *const e, const float *const sound, const uint32_t frames,
                 bool *const fresh)
{
  uint32_t taken = 0;
  *fresh         = false;
  while (taken < frames && !*fresh) {
    int            lacks, came;
    float *const   to = rl_tape_room(&e->tape, &lacks);
    const uint32_t took =
      rl_resampler_take(&e->resampler, sound + taken, frames - taken, to, lacks, &came);
    taken += took;
    e->frame += took;
    *fresh = rl_tape_put(&e->tape, came);
    if (*fresh) {
      block_hear(e);
    }
  }
  return taken;
}
