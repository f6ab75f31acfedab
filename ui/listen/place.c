/* SPDX-License-Identifier: ISC */
#include "ui/listen/place.h"

#include "core/ear/align.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  HALVES       = 8,  /* half beats that a way is held against others, each way */
  BEGINS_AFTER = 10, /* hops that the hearing takes to settle */
  BEGINS_LEVEL = 5   /* of nine, in all bands: something has begun */
};

const float         rl_place_lean_cost = 5;
static const float  lean_share         = 0.7F;
static const float  begins_bar = 10, begins_beat = 5; /* nepers, of the song's first sound */
static const float  form_accent = 3; /* nepers a level by which the form's first beat is louder */
static const double near_beat   = 0.17;

/* A way whose form lies half beats later. */
static void
halves_move(RlPathBeat *const beat, const int beats, const int all, const int halves)
{
  const int odd = halves & 1, back = (halves - odd) / 2;
  for (int i = 0; i < beats; ++i) {
    const bool last = i + 1 == beats || beat[i + 1].entered;
    beat[i].beat    = ((beat[i].beat - back) % all + all) % all;
    if (odd && !last) {
      beat[i].hop = (beat[i].hop + beat[i + 1].hop) / 2;
    } else if (odd && i > 0) {
      beat[i].hop += beat[i].hop - beat[i - 1].hop;
    }
  }
}

/* ---- what speaks for a place ---- */

/* Some of what chords say is taken as if they lay on the beats, for there they are more often than
   not. */
static float
words_worth(const RlPathWords *const words)
{
  const float on   = words->chords[RL_LEAN_ON];
  float       most = on;
  for (int lean = RL_LEAN_ON + 1; lean < RL_EAR_LEANS; ++lean) {
    most = fmaxf(most, on + lean_share * (words->chords[lean] - on) - rl_place_lean_cost);
  }
  return words->onsets + words->pulse + words->bass + most;
}

static int
level_sum(const int symbol)
{
  return (symbol >> 4) + (symbol >> 2 & 3) + (symbol & 3);
}

/* Beats from the beat nearest to a hop, whose index comes back, up to that hop. */
static double
beats_off(const RlPathSearch *const s, const RlPathBeat *const beats, const int count,
          const double hop, int *const nearest)
{
  int best = 0;
  for (int i = 1; i < count; ++i) {
    best = fabs(beats[i].hop - hop) < fabs(beats[best].hop - hop) ? i : best;
  }
  const int    other = best + 1 < count && !beats[best + 1].entered ? best + 1 : best - 1;
  const double step  = other < 0 ? s->longest : fabs(beats[other].hop - beats[best].hop);
  *nearest           = best;
  return (hop - beats[best].hop) / fmax(step, 1);
}

/* A song's first sound is likely to lie on a bar line, as the band counts back from the form, and
   if not there on a beat. */
static float
beginning_worth(const RlPathSearch *const s, const RlPathBeat *const beats, const int count)
{
  int hop = BEGINS_AFTER, bar = 1, i;
  while (hop < s->hops && level_sum(s->hop[hop].symbol) < BEGINS_LEVEL) {
    ++hop;
  }
  while (bar < s->score->beats && s->score->beat[bar].bar == 0) {
    ++bar;
  }
  const double off    = beats_off(s, beats, count, hop, &i);
  const int    in_bar = s->score->beat[beats[i].beat].in_bar + (int)lround(off);
  return fabs(off - (double)lround(off)) > near_beat ? 0
         : in_bar % bar == 0                         ? begins_beat + begins_bar
                                                     : begins_beat;
}

/* How strongly something begins about a beat, low and high. */
static int
accent(const RlPathSearch *const s, const double at)
{
  const int beat = (int)lround(at);
  int       low = 0, high = 0;
  for (int h = beat > 2 ? beat - 2 : 0; h < beat + 4 && h < s->hops; ++h) {
    const int symbol = s->hop[h].symbol;
    low              = symbol >> 4 > low ? symbol >> 4 : low;
    high             = (symbol & 3) > high ? symbol & 3 : high;
  }
  return low + high;
}

/* Bands come down on the form's first beat harder than on that of other bars. */
static float
accent_worth(const RlPathSearch *const s, const RlPathBeat *const beats, const int count)
{
  float sum[2] = {0}, all[2] = {0};
  for (int i = 0; i < count; ++i) {
    if (s->score->beat[beats[i].beat].in_bar == 0) {
      const int first = beats[i].beat == 0;
      sum[first] += (float)accent(s, beats[i].hop);
      all[first] += 1;
    }
  }
  return all[0] > 0 && all[1] > 0 ? form_accent * (sum[1] / all[1] - sum[0] / all[0]) : 0;
}

static float
place_worth(const RlPathSearch *const s, void *const memory, const RlPathBeat *const beats,
            const int count)
{
  RlPathWords words;
  rl_path_words(s, memory, beats, count, &words);
  return words_worth(&words) + beginning_worth(s, beats, count) + accent_worth(s, beats, count);
}

/* ---- the choice ---- */

/* Room for ways, and what the places were worth. */
typedef struct {
  RlPathBeat *way, *best;
  uint8_t (*align)[RL_ALIGN_PLACES];
  float worth[2 * HALVES + 1];
  int   first, last, at; /* half beats: those tried, the best of them */
} Choice;

static bool
choice_begin(Choice *const c, const int count)
{
  const size_t room = (size_t)count + 1;
  c->way            = malloc(room * sizeof(*c->way));
  c->best           = malloc(room * sizeof(*c->best));
  c->align          = malloc(room * sizeof(*c->align));
  return c->way && c->best && c->align;
}

/* Half beats by which the form must lie later to begin where it was told. */
static int
halves_told(const RlPathSearch *const s, const RlPathBeat *const beats, const int count,
            const double hop)
{
  int          i;
  const double off = beats_off(s, beats, count, hop, &i);
  return 2 * beats[i].beat + (int)lround(fmax(fmin(2 * off, 1e6), -1e6));
}

static void
all_try(const RlPathSearch *const s, void *const memory, const RlPathBeat *const beats,
        const int count, Choice *const c)
{
  for (int halves = c->first; halves <= c->last; ++halves) {
    memcpy(c->way, beats, (size_t)count * sizeof(*beats));
    halves_move(c->way, count, s->score->beats, halves);
    rl_align(s->hop, s->hops, c->way, count, c->align);
    c->worth[halves - c->first] = place_worth(s, memory, c->way, count);
    if (halves == c->first || c->worth[halves - c->first] > c->worth[c->at - c->first]) {
      c->at = halves;
      memcpy(c->best, c->way, (size_t)count * sizeof(*beats));
    }
  }
}

static RlWayPlace
next_best(const Choice *const c)
{
  RlWayPlace place = {HUGE_VAL, 0};
  for (int halves = c->first; halves <= c->last; ++halves) {
    const double ahead = (double)(c->worth[c->at - c->first] - c->worth[halves - c->first]);
    if (halves != c->at && ahead < place.ahead) {
      place = (RlWayPlace){ahead, halves - c->at};
    }
  }
  return place;
}

bool
rl_place_choose(const RlPathSearch *const s, void *const memory, const RlWayTold *const told,
                RlPathBeat *const beats, const int count, RlWayPlace *const place)
{
  Choice     c    = {.first = -HALVES, .last = HALVES};
  const bool good = choice_begin(&c, count);
  *place          = (RlWayPlace){HUGE_VAL, 0};
  if (good && count > 0) {
    if (told->told) {
      c.first = c.last = halves_told(s, beats, count, told->hop);
    }
    all_try(s, memory, beats, count, &c);
    *place = next_best(&c);
    memcpy(beats, c.best, (size_t)count * sizeof(*beats));
  }
  free(c.way);
  free(c.best);
  free(c.align);
  return good;
}
