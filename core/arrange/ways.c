/* SPDX-License-Identifier: ISC */
#include "core/arrange/ways.h"

#include <string.h>

enum {
  OCTAVES      = 5,  /* that a phrase is moved by, at most */
  EASY_BELOW   = 20, /* tenths of what an onset costs */
  HARD_ABOVE   = 33,
  KEYS         = 12,
  NOT_PLAYABLE = -1
};

/* ---- what a way costs ---- */

static void
notes_move(const RlWaysInput *const in, const int octaves, RlWaysWorkspace *const w)
{
  memcpy(w->note, in->notes, (size_t)in->count * sizeof(RlNote));
  for (int i = 0; i < in->count; ++i) {
    w->note[i].pitch = (int16_t)(w->note[i].pitch + 12 * octaves);
  }
}

static int
away(const int octaves)
{
  return octaves < 0 ? -octaves : octaves;
}

/* Every note on that harp, so many octaves up; NOT_PLAYABLE if it lacks one. */
static int32_t
whole_cost(const RlWaysInput *const in, const RlHarp *const harp, const int octaves,
           RlWaysWorkspace *const w)
{
  notes_move(in, octaves, w);
  const int32_t cost =
    rl_tab_fit_whole(w->note, in->count, in->over, harp, in->player, &w->room, w->tab);
  return cost < 0 ? NOT_PLAYABLE : cost + away(octaves) * RL_TAB_OCTAVE;
}

static bool
cheaper(const int32_t cost, const int32_t than)
{
  return cost >= 0 && (than < 0 || cost < than);
}

/* The cheapest octave from `low` to `high`: of equal ones the nearest, then the lower. */
static int32_t
octave_find(const RlWaysInput *const in, const RlHarpChoice choice, const int low, const int high,
            RlWaysWorkspace *const w, int *const octaves)
{
  const RlHarp harp = rl_harp_make(choice);
  int32_t      best = NOT_PLAYABLE;
  for (int far = 0; far <= OCTAVES && (best < 0 || far * RL_TAB_OCTAVE < best); ++far) {
    for (int side = -1; side <= (far ? 1 : -1); side += 2) {
      const int     by   = side * far;
      const int32_t cost = by < low || by > high ? NOT_PLAYABLE : whole_cost(in, &harp, by, w);
      if (cheaper(cost, best)) {
        best     = cost;
        *octaves = by;
      }
    }
  }
  return best;
}

int32_t
rl_ways_cost(const RlWaysInput *const in, RlWaysWorkspace *const w)
{
  int octaves = 0;
  return octave_find(in, in->harp, -OCTAVES, OCTAVES, w, &octaves);
}

/* ---- what is said of it ---- */

void
rl_way_tab(const RlWaysInput *const in, const RlWay *const way, RlWaysWorkspace *const w,
           RlTab *const tab)
{
  const RlHarp harp = rl_harp_make(way->harp);
  if (way->kind == RL_WAY_NEAREST) {
    rl_tab_fit(in->notes, in->count, in->over, &harp, in->player, &w->room, tab);
  } else {
    notes_move(in, way->octaves, w);
    rl_tab_fit_whole(w->note, in->count, in->over, &harp, in->player, &w->room, tab);
  }
}

static void
way_count(const RlWaysInput *const in, RlWaysWorkspace *const w, RlWay *const way)
{
  const RlTab *first = NULL;
  rl_way_tab(in, way, w, w->tab);
  for (int i = 0; i < in->count; ++i) {
    const RlTab *const t = &w->tab[i];
    first                = first || !t->hole ? first : t;
    way->onsets          = (uint16_t)(way->onsets + (!i || in->notes[i].at != in->notes[i - 1].at));
    way->left_out        = (uint16_t)(way->left_out + !t->hole);
    way->changed         = (uint16_t)(way->changed + (t->hole && (t->marks & RL_TAB_IS_REPLACED)));
    way->moved           = (uint16_t)(way->moved + (t->hole && t->octaves != first->octaves));
    way->bends =
      (uint16_t)(way->bends + (t->hole && rl_technique_bend((RlTechnique)t->technique) > 0));
    way->overs = (uint16_t)(way->overs + (t->hole && t->technique >= RL_OVERBLOW));
  }
  if (way->kind == RL_WAY_NEAREST && first) {
    way->octaves = first->octaves;
  }
}

RlDifficulty
rl_difficulty(const int32_t cost, const int onsets)
{
  return cost * 10 < EASY_BELOW * onsets    ? RL_EASY
         : cost * 10 <= HARD_ABOVE * onsets ? RL_MEDIUM
                                            : RL_HARD;
}

const char *
rl_difficulty_name(const RlDifficulty difficulty)
{
  static const char *const names[RL_DIFFICULTIES] = {"easy", "medium", "hard"};
  return names[difficulty];
}

/* ---- the ways ---- */

typedef struct {
  const RlWaysInput *in;
  RlWaysWorkspace   *room;
  int                count;
  RlWay             *way; /* the cheapest first */
} Ways;

static void
way_add(Ways *const s, const RlWay *const way)
{
  RlWay one = *way;
  int   at  = s->count;
  if (way->cost < 0 || s->count == RL_WAYS_MAX) {
    return;
  }
  way_count(s->in, s->room, &one);
  for (; at > 0 && s->way[at - 1].cost > one.cost; --at) {
    s->way[at] = s->way[at - 1];
  }
  s->way[at] = one;
  ++s->count;
}

static void
octave_add(Ways *const s, const int low, const int high)
{
  RlWay way     = {.kind = RL_WAY_OCTAVE, .harp = s->in->harp};
  int   octaves = 0;
  way.cost      = octave_find(s->in, s->in->harp, low, high, s->room, &octaves);
  way.octaves   = (int8_t)octaves;
  way_add(s, &way);
}

static bool
same_harp(const RlHarpChoice a, const RlHarpChoice b)
{
  return a.key == b.key && a.range == b.range && a.tuning == b.tuning;
}

static bool
is_owned(const RlWaysInput *const in, const RlHarpChoice choice)
{
  int i = 0;
  while (i < in->owned_count && !same_harp(in->owned[i], choice)) {
    ++i;
  }
  return i < in->owned_count;
}

/* Takes it on this harp if that is cheaper. */
static void
harp_try(const Ways *const s, const RlHarpChoice choice, RlWay *const best)
{
  int           octaves = 0;
  const int32_t cost    = same_harp(choice, s->in->harp)
                            ? NOT_PLAYABLE
                            : octave_find(s->in, choice, -OCTAVES, OCTAVES, s->room, &octaves);
  if (cheaper(cost, best->cost)) {
    best->harp    = choice;
    best->cost    = cost;
    best->octaves = (int8_t)octaves;
  }
}

static void
harps_add(Ways *const s)
{
  RlWay owned = {.kind = RL_WAY_HARP, .cost = NOT_PLAYABLE};
  RlWay other = {.kind = RL_WAY_POSITION, .cost = NOT_PLAYABLE};
  for (int i = 0; i < s->in->owned_count; ++i) {
    harp_try(s, s->in->owned[i], &owned);
  }
  for (int key = 0; key < KEYS; ++key) {
    const RlHarpChoice choice = {(uint8_t)key, s->in->harp.range, s->in->harp.tuning};
    if (!is_owned(s->in, choice)) {
      harp_try(s, choice, &other);
    }
  }
  way_add(s, &owned);
  way_add(s, &other);
}

/* Where the nearest notes are those of the phrase, all in one octave, it is that octave again. */
static void
nearest_add(Ways *const s)
{
  const RlHarp harp = rl_harp_make(s->in->harp);
  RlWay        way  = {.kind = RL_WAY_NEAREST, .harp = s->in->harp};
  way.cost          = rl_tab_fit(s->in->notes, s->in->count, s->in->over, &harp, s->in->player,
                                 &s->room->room, s->room->tab);
  RlWay counted     = way;
  way_count(s->in, s->room, &counted);
  if (counted.changed || counted.left_out || counted.moved) {
    way_add(s, &way);
  }
}

int
rl_ways_find(const RlWaysInput *const in, RlWaysWorkspace *const w, RlWay ways[RL_WAYS_MAX])
{
  Ways         s    = {in, w, 0, ways};
  const RlHarp harp = rl_harp_make(in->harp);
  RlWay        way  = {.kind = RL_WAY_AS_IT_IS, .harp = in->harp};
  way.cost          = whole_cost(in, &harp, 0, w);
  if (way.cost >= 0) {
    way_add(&s, &way);
    return s.count;
  }
  octave_add(&s, -OCTAVES, -1);
  octave_add(&s, 1, OCTAVES);
  harps_add(&s);
  nearest_add(&s);
  return s.count;
}
