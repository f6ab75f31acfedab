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
  return words->onsets + words->bass + most;
}

static int
level_sum(const int symbol)
{
  return (symbol >> 4) + (symbol >> 2 & 3) + (symbol & 3);
}

/* The beat nearest to a hop. */
static int
nearest(const RlPathBeat *const beats, const int count, const double hop)
{
  int best = 0;
  for (int i = 1; i < count; ++i) {
    best = fabs(beats[i].hop - hop) < fabs(beats[best].hop - hop) ? i : best;
  }
  return best;
}

/* A song's first sound is likely to lie on a bar line, as the band counts back from the form, and
   if not there on a beat. */
static float
beginning_worth(const RlPathSearch *const s, const RlPathBeat *const beats, const int count)
{
  int hop = BEGINS_AFTER, bar = 1;
  while (hop < s->hops && level_sum(s->hop[hop].symbol) < BEGINS_LEVEL) {
    ++hop;
  }
  while (bar < s->score->beats && s->score->beat[bar].bar == 0) {
    ++bar;
  }
  const int    i      = nearest(beats, count, hop);
  const int    other  = i + 1 < count && !beats[i + 1].entered ? i + 1 : i - 1;
  const double step   = other < 0 ? s->longest : fabs(beats[other].hop - beats[i].hop);
  const double off    = (hop - beats[i].hop) / step;
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

bool
rl_place_choose(const RlPathSearch *const s, void *const memory, RlPathBeat *const beats,
                const int count)
{
  const size_t      bytes                 = ((size_t)count + 1) * sizeof(*beats);
  RlPathBeat *const rival                 = malloc(bytes);
  RlPathBeat *const best                  = malloc(bytes);
  uint8_t(*const places)[RL_ALIGN_PLACES] = malloc(((size_t)count + 1) * sizeof(*places));
  const bool good                         = rival && best && places;
  float      most                         = -HUGE_VALF;
  for (int halves = -HALVES; halves <= HALVES && good && count; ++halves) {
    memcpy(rival, beats, bytes - sizeof(*rival));
    halves_move(rival, count, s->score->beats, halves);
    rl_align(s->hop, s->hops, rival, count, places);
    const float worth = place_worth(s, memory, rival, count);
    if (worth > most) {
      most = worth;
      memcpy(best, rival, bytes - sizeof(*rival));
    }
  }
  if (good && count) {
    memcpy(beats, best, bytes - sizeof(*best));
  }
  free(rival);
  free(best);
  free(places);
  return good;
}
