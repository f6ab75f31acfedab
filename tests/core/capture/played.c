/* SPDX-License-Identifier: ISC */
#include "played.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

double
played_random(unsigned *const seed)
{
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 8) / 16777216.0;
}

double
played_normal(unsigned *const seed)
{
  const double u = 1 - played_random(seed);
  return sqrt(-2 * log(u)) * cos(6.283185307179586 * played_random(seed));
}

/* ---- swing ---- */

static int32_t
floor_to(const int32_t at, const int32_t step)
{
  return at - ((at % step) + step) % step;
}

/* Does anything in that quarter begin or end on a third of it? */
static bool
has_thirds(const RlPhrase *const p, const int32_t beat)
{
  for (int i = 0; i < p->notes; ++i) {
    const int32_t ends[2] = {p->note[i].at, p->note[i].at + p->note[i].lasts};
    for (int k = 0; k < 2; ++k) {
      const int32_t in = ends[k] - beat;
      if (in > 0 && in < RL_TICKS && in % (RL_TICKS / 4) && in % (RL_TICKS / 6) == 0) {
        return true;
      }
    }
  }
  return false;
}

static double
swung(const RlPhrase *const p, const int32_t at, const double swing)
{
  const int32_t beat = floor_to(at, RL_TICKS);
  const double  in   = (double)(at - beat) / RL_TICKS;
  if (p->meter_unit == 8 || has_thirds(p, beat)) {
    return beat + in * RL_TICKS;
  }
  return beat + RL_TICKS * (in < 0.5 ? in * 2 * swing : swing + (in * 2 - 1) * (1 - swing));
}

/* ---- playing ---- */

int
played_in_order(const void *const a, const void *const b)
{
  const PlayedEvent *const x = (const PlayedEvent *)a;
  const PlayedEvent *const y = (const PlayedEvent *)b;
  return x->at != y->at ? (x->at > y->at) - (x->at < y->at) : x->bytes[0] - y->bytes[0];
}

int
played_events(const RlPhrase *const p, const double bar, const Played how, PlayedEvent *const event)
{
  const double ms   = how.tempo / 60000; /* quarters */
  unsigned     seed = how.seed;
  int          n    = 0;
  for (int i = 0; i < p->notes; ++i) {
    const RlPhraseNote *const note  = &p->note[i];
    const uint8_t             pitch = (uint8_t)rl_phrase_pitch(p, note);
    double at[2] = {swung(p, note->at, how.swing), swung(p, note->at + note->lasts, how.swing)};
    for (int k = 0; k < 2; ++k) {
      at[k] = bar + at[k] / RL_TICKS + (how.behind_ms + how.spread_ms * played_normal(&seed)) * ms;
    }
    event[n++] = (PlayedEvent){at[0], {0x90, pitch, 90}};
    event[n++] = (PlayedEvent){fmax(at[1], at[0] + 10 * ms), {0x80, pitch, 0}};
  }
  qsort(event, (size_t)n, sizeof(*event), played_in_order);
  return n;
}

/* ---- inventing ---- */

/* A beat: where notes begin, in twelfths, and where they stop being held; -1 ends the list. A rest
   of the beat's end is written by a note that stops before it. */
typedef struct {
  int    weight;
  bool   fine, swings; /* sixteenths; a swung player plays it too */
  int8_t on[5], off[5];
} Beat;

static const Beat plain_beats[] = {
  {20, false, true, {0, -1}, {12}},
  {30, false, true, {0, 6, -1}, {6, 12}},
  {12, false, true, {6, -1}, {12}},
  {6, false, true, {0, -1}, {6}},
  {8, false, true, {-1}, {0}}, /* the note before is held */
  {14, false, true, {0, 4, 8, -1}, {4, 8, 12}},
  {4, false, true, {4, 8, -1}, {8, 12}},
  {3, false, true, {0, 4, -1}, {4, 8}},
  {6, true, false, {0, 3, 6, 9, -1}, {3, 6, 9, 12}},
  {6, true, false, {0, 6, 9, -1}, {6, 9, 12}},
  {4, true, false, {0, 3, 6, -1}, {3, 6, 12}},
  {5, true, false, {0, 9, -1}, {9, 12}},
};

static const Beat dotted_beats[] = {
  {20, false, true, {0, -1}, {12}},
  {25, false, true, {0, 4, 8, -1}, {4, 8, 12}},
  {25, false, true, {0, 8, -1}, {8, 12}},
  {10, false, true, {8, -1}, {12}},
  {8, false, true, {-1}, {0}},
  {6, false, true, {0, 4, -1}, {4, 12}},
  {6, true, true, {0, 2, 4, 8, -1}, {2, 4, 8, 12}},
  {4, true, true, {0, 4, 8, 10, -1}, {4, 8, 10, 12}},
};

static const Beat *
beat_draw(unsigned *const seed, const bool dotted, const bool swung_too, const bool fine)
{
  const Beat *const from = dotted ? dotted_beats : plain_beats;
  const int         count =
    dotted ? sizeof(dotted_beats) / sizeof(Beat) : sizeof(plain_beats) / sizeof(Beat);
  for (;;) {
    int       draw = (int)(played_random(seed) * 120);
    const int at   = (int)(played_random(seed) * count);
    if (draw < from[at].weight && (fine || !from[at].fine) && (!swung_too || from[at].swings)) {
      return &from[at];
    }
  }
}

static void
beat_add(RlPhrase *const p, unsigned *const seed, const Beat *const b, const int32_t at,
         const int32_t length, int *const above)
{
  for (int i = 0; b->on[i] >= 0; ++i) {
    *above              = (int)fmax(0, fmin(24, *above + floor(played_random(seed) * 9) - 4));
    p->note[p->notes++] = (RlPhraseNote){.at    = at + b->on[i] * length / 12,
                                         .lasts = (b->off[i] - b->on[i]) * length / 12,
                                         .above = (int16_t)*above};
  }
}

void
played_invent(unsigned *const seed, const int bars, const bool dotted, const bool swung_too,
              const double beats_a_minute, RlPhrase *const p)
{
  const int32_t length = dotted ? RL_TICKS * 3 / 2 : RL_TICKS;
  int           above  = 12;
  memset(p, 0, sizeof(*p));
  p->meter_beats = dotted ? 12 : 4;
  p->meter_unit  = dotted ? 8 : 4;
  p->chords      = 1;
  rl_chord_read(rl_slice("C7"), &p->chord[0].chord);
  for (int b = 0; b < bars * 4; ++b) {
    const Beat *const beat = beat_draw(seed, dotted, swung_too, beats_a_minute <= 112);
    if (beat->on[0] < 0 && p->notes &&
        p->note[p->notes - 1].at + p->note[p->notes - 1].lasts == b * length) {
      p->note[p->notes - 1].lasts += length;
    }
    beat_add(p, seed, beat, b * length, length, &above);
  }
  if (!p->notes) {
    beat_add(p, seed, &plain_beats[0], 0, length, &above);
  }
  p->lasts = bars * 4 * length;
}
