/* SPDX-License-Identifier: ISC */
#include "ui/paper/song.h"

#include <assert.h>
#include <limits.h>
#include <math.h>
#include <string.h>

enum { PICKUP_BARS_MAX = 8 };

_Static_assert(RL_SONG_VERSIONS_MAX <= 64, "sets of choruses are bits of a uint64_t");
_Static_assert(RL_LANE_NOTES_MAX <= UINT16_MAX, "a sound has its notes as uint16_t");

static double
chorus_ticks(const RlSheet *const sheet)
{
  return sheet->form->starts[RL_AXIS_QUARTERS][sheet->form->bars] * RL_TICKS;
}

static RlSongBar
bar_at(const RlSheet *const sheet, const double from)
{
  const RlPlace place =
    rl_form_locate(sheet->form, RL_AXIS_QUARTERS, from / RL_TICKS, 1.0 / RL_TICKS);
  return (RlSongBar){place, from, from + place.beats * 4.0 / place.unit * RL_TICKS};
}

RlSongBar
rl_song_bar(const RlSheet *const sheet, const int n)
{
  const RlForm *const f    = sheet->form;
  const bool          ends = n >= f->bars;
  const RlPlace       at   = {.part   = n < 0  ? RL_PART_LEAD_IN
                                        : ends ? RL_PART_ENDING
                                               : RL_PART_CHORUS,
                              .chorus = ends ? f->choruses : 1,
                              .bar    = n < 0 ? n : n + 1,
                              .index  = n < 0 ? -1 : n,
                              .unit   = 4};
  return bar_at(sheet, rl_lane_ticks(f, &at, 0));
}

int
rl_song_pickup_bars(const RlSheet *const sheet)
{
  const RlLaneOnset first =
    sheet->lane ? rl_lane_first(sheet->lane, sheet->form, -1e12) : (RlLaneOnset){.index = -1};
  int bars = 0;
  while (first.index >= 0 && bars < PICKUP_BARS_MAX && first.at < rl_song_bar(sheet, -bars).from) {
    ++bars;
  }
  return bars;
}

/* ---- what sounds ---- */

/* Ends a sound where the next one begins, at `next`. */
static void
sound_end(RlSongSound *const s, const int32_t next)
{
  if (s->sound.at + s->sound.lasts > next) {
    s->sound.lasts = next - s->sound.at;
  }
}

int
rl_song_sounds(const RlSheet *const sheet, const RlSongBar *const bar, const int chorus,
               RlSongSound *const sounds)
{
  int count = 0;
  assert(chorus >= 1);
  if (!sheet->lane) {
    return 0;
  }
  const bool   in_chorus = bar->place.part == RL_PART_CHORUS;
  const double shift     = in_chorus ? (chorus - 1) * chorus_ticks(sheet) : 0;
  const double from      = bar->from + shift;
  RlLaneOnset  n         = rl_lane_sounding(sheet->lane, sheet->form, from);
  for (; n.index >= 0 && n.at < bar->to + shift; n = rl_lane_next(sheet->lane, sheet->form, n)) {
    RlSongSound *const last = count ? &sounds[count - 1] : NULL;
    const int32_t      at   = (int32_t)lround(n.at - from);
    if (last && last->sound.at == at) {
      if (last->notes < RL_PHRASE_TOGETHER) {
        last->note[last->notes++] = (uint16_t)n.index;
      }
      continue;
    }
    if (last) {
      sound_end(last, at);
      count -= last->sound.at + last->sound.lasts <= 0; /* it ended before this bar */
    }
    if (count < RL_SOUNDS_MAX) {
      sounds[count++] = (RlSongSound){{at, (int32_t)lround(n.lasts)}, {(uint16_t)n.index}, 1};
    }
  }
  if (n.index >= 0 && count) {
    sound_end(&sounds[count - 1], (int32_t)lround(fmin(n.at - from, INT32_MAX)));
  }
  if (count && sounds[count - 1].sound.at + sounds[count - 1].sound.lasts <= 0) {
    --count;
  }
  return count;
}

/* ---- versions ---- */

/* The choruses that may differ from each other: those the plan names and as many after the last of
   them as its phrases reach into, of which the last stands for all the rest; and the last choruses,
   in which no pickup leads into another. */
typedef struct {
  int chorus[RL_SONG_VERSIONS_MAX];
  int count;
  int others; /* index of the one that stands for all the rest, -1: none does */
} Choruses;

/* The last chorus that the plan names; 1 if it names none. */
static int
named_last(const RlPlan *const plan)
{
  int named = 1;
  for (int i = 0; i < plan->planned_count; ++i) {
    for (int k = named; k < RL_PLAN_CHORUSES; ++k) {
      named = plan->planned[i].choruses >> k & 1U ? k + 1 : named;
    }
  }
  return named;
}

/* Into how many choruses before and after its own does a phrase of the lane reach at most? */
static void
reach_find(const RlSheet *const sheet, int *const before, int *const after)
{
  double first = 0, last = 0;
  for (int i = 0; i < sheet->lane->notes; ++i) {
    const RlLaneNote *const n = &sheet->lane->note[i];
    first                     = fmin(first, n->at);
    last                      = fmax(last, (double)n->at + n->lasts);
  }
  *before = (int)fmin(ceil(-first / chorus_ticks(sheet)), 4);
  *after  = (int)fmin(ceil(last / chorus_ticks(sheet)), RL_SONG_VERSIONS_MAX);
}

static Choruses
choruses_of(const RlSheet *const sheet)
{
  enum { TAIL_MAX = 5 };
  const int last = sheet->form->choruses;
  int       before, after;
  Choruses  c = {.others = -1};
  reach_find(sheet, &before, &after);
  const int all = last ? last : INT_MAX;
  const int head =
    (int)fmin(named_last(sheet->plan) + fmax(before + after, 1), RL_SONG_VERSIONS_MAX - TAIL_MAX);
  while (c.count < head && c.count < all) {
    c.chorus[c.count] = c.count + 1;
    ++c.count;
  }
  if (c.count < all) {
    const int tail = last ? (int)fmax(last - before, c.count + 1) : all;
    c.others       = tail > c.count + 1 ? c.count - 1 : -1;
    for (int chorus = tail; chorus <= last; ++chorus) {
      c.chorus[c.count++] = chorus;
    }
  }
  return c;
}

static bool
same_sound(const RlSongSound *const a, const RlSongSound *const b)
{
  bool same =
    a->sound.at == b->sound.at && a->sound.lasts == b->sound.lasts && a->notes == b->notes;
  for (int i = 0; i < a->notes && same; ++i) {
    same = a->note[i] == b->note[i];
  }
  return same;
}

/* Do these bars sound the same in choruses `a` and `b`? */
static bool
same_bars(const RlSheet *const sheet, const int n, const int count, const int a, const int b)
{
  RlSongSound one[RL_SOUNDS_MAX], other[RL_SOUNDS_MAX];
  for (int i = n; i < n + count; ++i) {
    const RlSongBar bar    = rl_song_bar(sheet, i);
    const int       sounds = rl_song_sounds(sheet, &bar, a, one);
    if (rl_song_sounds(sheet, &bar, b, other) != sounds) {
      return false;
    }
    for (int k = 0; k < sounds; ++k) {
      if (!same_sound(&one[k], &other[k])) {
        return false;
      }
    }
  }
  return true;
}

/* A hash of what sounds in the bars (FNV-1a, its 64-bit prime); 0 for silence. */
static uint64_t
bars_hash(const RlSheet *const sheet, const int n, const int count, const int chorus)
{
  RlSongSound sounds[RL_SOUNDS_MAX];
  uint64_t    sum = 0;
  bool        any = false;
  for (int i = n; i < n + count; ++i) {
    const RlSongBar bar = rl_song_bar(sheet, i);
    for (int k = rl_song_sounds(sheet, &bar, chorus, sounds) - 1; k >= 0; --k) {
      const RlSongSound *const s = &sounds[k];
      any                        = true;
      sum = (sum ^ (uint32_t)s->sound.at ^ (uint64_t)(i + 1) << 48) * UINT64_C(1099511628211);
      sum = (sum ^ (uint32_t)s->sound.lasts ^ (uint64_t)s->note[0] << 32) * UINT64_C(1099511628211);
    }
  }
  return any ? sum | 1 : 0;
}

static void
numbers_write(const Choruses *const c, const uint64_t set, const char *const one,
              const char *const more, RlText *const text)
{
  rl_text_add(text, set & (set - 1) ? more : one);
  for (int i = 0; i < c->count; ++i) {
    if (set >> i & 1U) {
      rl_text_add(text, " ");
      rl_text_add_int(text, c->chorus[i]);
    }
  }
}

/* `choruses 1 3`, or `all choruses but 2`. */
static void
name_write(const Choruses *const c, const uint64_t set, RlText *const text)
{
  const uint64_t all = (UINT64_C(1) << c->count) - 1;
  if (set == all) {
    return;
  }
  if (c->others >= 0 && set >> c->others & 1U) {
    numbers_write(c, all & ~set, "all choruses but", "all choruses but", text);
  } else {
    numbers_write(c, set, "chorus", "choruses", text);
  }
}

int
rl_song_versions(const RlSheet *const sheet, const int n, const int count,
                 RlSongVersion *const versions)
{
  uint64_t sets[RL_SONG_VERSIONS_MAX] = {0};
  uint64_t hashes[RL_SONG_VERSIONS_MAX];
  int      first[RL_SONG_VERSIONS_MAX];
  int      kinds = 0;
  int      shown = 0;
  if (!sheet->lane || !sheet->lane->notes) {
    return 0;
  }
  const bool     once = n < 0 || n >= sheet->form->bars;
  const Choruses c    = once ? (Choruses){{1}, 1, -1} : choruses_of(sheet);
  for (int i = 0; i < c.count; ++i) {
    const uint64_t sum = bars_hash(sheet, n, count, c.chorus[i]);
    int            k   = 0;
    while (k < kinds && !(sum == hashes[k] && same_bars(sheet, n, count, first[k], c.chorus[i]))) {
      ++k;
    }
    hashes[k] = sum;
    first[k]  = k == kinds ? c.chorus[i] : first[k];
    kinds += k == kinds;
    sets[k] |= UINT64_C(1) << i;
  }
  for (int k = 0; k < kinds; ++k) {
    if (hashes[k]) {
      versions[shown].chorus = first[k];
      RlText name            = rl_text_in(versions[shown].name, sizeof(versions->name));
      name_write(&c, sets[k], &name);
      ++shown;
    }
  }
  return shown;
}

/* ---- cuts ---- */

static bool
same_fate(const RlLaneFate *const a, const RlLaneFate *const b)
{
  return a->by == b->by && a->lost == b->lost;
}

/* The choruses in which a phrase is planned, as a set; the ending counts as one. */
static uint64_t
planned_in(const RlSheet *const sheet, const int planned, const Choruses *const c)
{
  const uint32_t choruses = sheet->plan->planned[planned].choruses;
  uint64_t       set      = 0;
  for (int i = 0; i < c->count; ++i) {
    const int  chorus = c->chorus[i];
    const bool named  = chorus <= RL_PLAN_CHORUSES && (choruses >> (chorus - 1) & 1U);
    set |= (uint64_t)(!choruses || named || sheet->lane->phrase[planned].ending) << i;
  }
  return set;
}

int
rl_song_cuts(const RlSheet *const sheet, const int planned, RlSongCut *const cuts)
{
  uint64_t       sets[RL_SONG_VERSIONS_MAX] = {0};
  int            kinds                      = 0;
  const bool     ending                     = sheet->lane->phrase[planned].ending;
  const Choruses c                          = ending ? (Choruses){{1}, 1, -1} : choruses_of(sheet);
  const uint64_t all                        = planned_in(sheet, planned, &c);
  for (int i = 0; i < c.count; ++i) {
    if (!(all >> i & 1U)) {
      continue;
    }
    const RlLaneFate fate = rl_lane_fate(sheet->lane, sheet->form, planned, c.chorus[i]);
    int              k    = 0;
    while (k < kinds && !same_fate(&cuts[k].fate, &fate)) {
      ++k;
    }
    if (fate.by != RL_LANE_BY_NONE) {
      cuts[k].fate = fate;
      kinds += k == kinds;
      sets[k] |= UINT64_C(1) << i;
    }
  }
  for (int k = 0; k < kinds; ++k) {
    RlText name = rl_text_in(cuts[k].name, sizeof(cuts->name));
    if (sets[k] != all) {
      name_write(&c, sets[k], &name);
    }
  }
  return kinds;
}
