/* SPDX-License-Identifier: ISC */
/* Which bars the sheet has, and what sounds in them in each chorus. */
#include "ui/paper/inside.h"

#include <math.h>
#include <string.h>

enum { BEFORE_MAX = 8 };

static double
chorus_ticks(const RlSheet *const p)
{
  return p->form->starts[RL_AXIS_QUARTERS][p->form->bars] * RL_TICKS;
}

static RlPaperBar
bar_at(const RlSheet *const p, const double from)
{
  const RlPlace place = rl_form_locate(p->form, RL_AXIS_QUARTERS, from / RL_TICKS, 1.0 / RL_TICKS);
  return (RlPaperBar){place, from, from + place.beats * 4.0 / place.unit * RL_TICKS};
}

RlPaperBar
rl_paper_bar(const RlSheet *const p, const int n)
{
  const RlForm *const f    = p->form;
  const bool          ends = n >= f->bars;
  const RlPlace       at   = {.part   = n < 0  ? RL_PART_LEAD_IN
                                        : ends ? RL_PART_ENDING
                                               : RL_PART_CHORUS,
                              .chorus = ends ? f->choruses : 1,
                              .bar    = n < 0 ? n : n + 1,
                              .index  = n < 0 ? -1 : n,
                              .unit   = 4};
  return bar_at(p, rl_lane_ticks(f, &at, 0));
}

int
rl_paper_before(const RlSheet *const p)
{
  const RlLaneOnset first =
    p->lane ? rl_lane_first(p->lane, p->form, -1e12) : (RlLaneOnset){-1, 0, 0};
  int bars = 0;
  while (first.index >= 0 && bars < BEFORE_MAX && first.at < rl_paper_bar(p, -bars).from) {
    ++bars;
  }
  return bars;
}

/* ---- what sounds ---- */

static int32_t
longest(const RlLane *const lane)
{
  int32_t most = 0;
  for (int i = 0; i < lane->notes; ++i) {
    most = lane->note[i].lasts > most ? lane->note[i].lasts : most;
  }
  return most;
}

/* A sound ends where the next one begins. */
static void
sound_end(RlPaperSound *const s, const int32_t next)
{
  if (s->sound.at + s->sound.lasts > next) {
    s->sound.lasts = next - s->sound.at;
  }
}

int
rl_paper_sounds(const RlSheet *const p, const RlPaperBar *const bar, const int chorus,
                RlPaperSound *const sounds)
{
  int count = 0;
  if (!p->lane) {
    return 0;
  }
  const bool   in_chorus = bar->place.part == RL_PART_CHORUS;
  const double shift     = in_chorus ? (chorus - 1) * chorus_ticks(p) : 0;
  const double from      = bar->from + shift;
  RlLaneOnset  n         = rl_lane_first(p->lane, p->form, from - longest(p->lane));
  for (; n.index >= 0 && n.at < bar->to + shift; n = rl_lane_next(p->lane, p->form, n)) {
    RlPaperSound *const last = count ? &sounds[count - 1] : NULL;
    const int32_t       at   = (int32_t)lround(n.at - from);
    if (last && last->sound.at == at) {
      if (last->notes < RL_PHRASE_TOGETHER) {
        last->note[last->notes++] = (uint16_t)n.index;
      }
      continue;
    }
    if (last) {
      sound_end(last, at);
      count -= last->sound.at + last->sound.lasts <= 0; /* it was over before this bar */
    }
    if (count < RL_SOUNDS_MAX) {
      sounds[count++] = (RlPaperSound){{at, p->lane->note[n.index].lasts}, {(uint16_t)n.index}, 1};
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

/* The choruses that may differ: every one that is named and the one after it, which stands for all
   the others; and the last, before which nothing is played that leads into another. */
typedef struct {
  int chorus[RL_VERSIONS_MAX];
  int count;
  int others; /* index of the one that stands for more than itself, -1: none does */
} Choruses;

static Choruses
choruses_of(const RlSheet *const p)
{
  const int last  = p->form->choruses;
  int       named = 1;
  Choruses  c     = {.others = -1};
  for (int i = 0; i < p->plan->planned_count; ++i) {
    for (int k = named; k < RL_PLAN_CHORUSES; ++k) {
      named = p->plan->planned[i].choruses >> k & 1U ? k + 1 : named;
    }
  }
  while (c.count <= named && (!last || c.count < last)) {
    c.chorus[c.count] = c.count + 1;
    ++c.count;
  }
  if (!last || c.count < last) {
    c.others = c.count - 1;
  }
  if (c.count < last) {
    c.others            = last > c.count + 1 ? c.others : -1;
    c.chorus[c.count++] = last;
  }
  return c;
}

static bool
same_sound(const RlPaperSound *const a, const RlPaperSound *const b)
{
  bool same =
    a->sound.at == b->sound.at && a->sound.lasts == b->sound.lasts && a->notes == b->notes;
  for (int i = 0; i < a->notes && same; ++i) {
    same = a->note[i] == b->note[i];
  }
  return same;
}

/* Do those bars sound the same in two choruses? */
static bool
same(const RlSheet *const p, const int n, const int count, const int a, const int b)
{
  RlPaperSound one[RL_SOUNDS_MAX], other[RL_SOUNDS_MAX];
  for (int i = n; i < n + count; ++i) {
    const RlPaperBar bar    = rl_paper_bar(p, i);
    const int        sounds = rl_paper_sounds(p, &bar, a, one);
    if (rl_paper_sounds(p, &bar, b, other) != sounds) {
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

/* A number that differs where the bars sound different, as good as always; 0 for silence. */
static uint64_t
digest(const RlSheet *const p, const int n, const int count, const int chorus)
{
  RlPaperSound sounds[RL_SOUNDS_MAX];
  uint64_t     sum = 0;
  bool         any = false;
  for (int i = n; i < n + count; ++i) {
    const RlPaperBar bar = rl_paper_bar(p, i);
    for (int k = rl_paper_sounds(p, &bar, chorus, sounds) - 1; k >= 0; --k) {
      const RlPaperSound *const s = &sounds[k];
      any                         = true;
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
name_write(const Choruses *const c, const uint64_t set, char *const name, const size_t room)
{
  const uint64_t all  = (UINT64_C(1) << c->count) - 1;
  RlText         text = rl_text_in(name, room);
  if (set == all) {
    return;
  }
  if (c->others >= 0 && set >> c->others & 1U) {
    numbers_write(c, all & ~set, "all choruses but", "all choruses but", &text);
  } else {
    numbers_write(c, set, "chorus", "choruses", &text);
  }
}

int
rl_paper_versions(const RlSheet *const p, const int n, const int count, RlVersion *const versions)
{
  uint64_t sets[RL_VERSIONS_MAX] = {0};
  uint64_t digests[RL_VERSIONS_MAX];
  int      first[RL_VERSIONS_MAX];
  int      kinds = 0;
  int      shown = 0;
  if (!p->lane || !p->lane->notes) {
    return 0;
  }
  const bool     once = n < 0 || n >= p->form->bars;
  const Choruses c    = once ? (Choruses){{1}, 1, -1} : choruses_of(p);
  for (int i = 0; i < c.count; ++i) {
    const uint64_t sum = digest(p, n, count, c.chorus[i]);
    int            k   = 0;
    while (k < kinds && !(sum == digests[k] && same(p, n, count, first[k], c.chorus[i]))) {
      ++k;
    }
    digests[k] = sum;
    first[k]   = k == kinds ? c.chorus[i] : first[k];
    kinds += k == kinds;
    sets[k] |= UINT64_C(1) << i;
  }
  for (int k = 0; k < kinds; ++k) {
    if (digests[k]) {
      versions[shown].chorus = first[k];
      name_write(&c, sets[k], versions[shown++].name, sizeof(versions->name));
    }
  }
  return shown;
}
