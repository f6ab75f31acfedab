/* SPDX-License-Identifier: ISC */
#include "song_model.h"

#include <string.h>

/* ---- charts, and what they say ---- */

#define ONE(beats, unit, degree, name)                                                             \
  {                                                                                                \
    beats, unit,                                                                                   \
    {                                                                                              \
      {                                                                                            \
        0, degree, name                                                                            \
      }                                                                                            \
    }                                                                                              \
  }
#define TWO(beats, unit, degree, name, at, degree2, name2)                                         \
  {                                                                                                \
    beats, unit,                                                                                   \
    {                                                                                              \
      {0, degree, name},                                                                           \
      {                                                                                            \
        at, degree2, name2                                                                         \
      }                                                                                            \
    }                                                                                              \
  }

#define TWELVE_BARS                                                                                \
  {                                                                                                \
    ONE(4, 4, "I7", "G7"), ONE(4, 4, "IV7", "C7"), ONE(4, 4, "I7", "G7"), ONE(4, 4, "I7", "G7"),   \
      ONE(4, 4, "IV7", "C7"), ONE(4, 4, "IV7", "C7"), ONE(4, 4, "I7", "G7"),                       \
      ONE(4, 4, "VI7", "E7"), ONE(4, 4, "ii7", "Am7"), ONE(4, 4, "V7", "D7"),                      \
      TWO(4, 4, "I7", "G7", 2, "IV7", "C7"), TWO(4, 4, "I7", "G7", 2, "V7", "D7")                  \
  }

const Model model_twelve         = {"key: G\n" TWELVE_TEXT, 7, 12, 0, 0, 0, 0, TWELVE_BARS};
const Model model_silent_lead_in = {
  "key: G\nlead-in: 2\n" TWELVE_TEXT, 7, 12, 0, 2, 0, 0, TWELVE_BARS};
const Model model_played_lead_in = {
  "key: G\nlead-in: 4 from 9\n" TWELVE_TEXT, 7, 12, 0, 4, 9, 0, TWELVE_BARS};

const Model model_twelve_eight = {"key: C\nmeter: 12/8\n| I7 | IV9 I7 | I7 / / V7#5 | V7 |\n",
                                  0,
                                  4,
                                  0,
                                  0,
                                  0,
                                  0,
                                  {ONE(12, 8, "I7", "C7"), TWO(12, 8, "IV9", "F9", 6, "I7", "C7"),
                                   TWO(12, 8, "I7", "C7", 9, "V7#5", "G7#5"),
                                   ONE(12, 8, "V7", "G7")}};

const Model model_crooked = {"key: A\nlead-in: 1\n| I7 | IV7 | 2/4 IV7 | 4/4 I7 V7 |\n",
                             9,
                             4,
                             0,
                             1,
                             0,
                             0,
                             {ONE(4, 4, "I7", "A7"), ONE(4, 4, "IV7", "D7"), ONE(2, 4, "IV7", "D7"),
                              TWO(4, 4, "I7", "A7", 2, "V7", "E7")}};

const Model model_motley = {
  "key: F\nmeter: 6/8\nlead-in: 3 from 2\n| I | 9/8 IV | 3/4 V | 7/8 I7 |\n",
  5,
  4,
  0,
  3,
  2,
  0,
  {ONE(6, 8, "I", "F"), ONE(9, 8, "IV", "Bb"), ONE(3, 4, "V", "C"), ONE(7, 8, "I7", "F7")}};

const Model model_ended = {
  "key: C\nlead-in: 1 from 2\nchoruses: 2\n| I7 | V7 |\n[ending]\n| IV7 | IV7 I7 |\n",
  0,
  2,
  2,
  1,
  2,
  2,
  {ONE(4, 4, "I7", "C7"), ONE(4, 4, "V7", "G7"), ONE(4, 4, "IV7", "F7"),
   TWO(4, 4, "IV7", "F7", 2, "I7", "C7")}};

const Model model_stop_time = {
  "key: G\n| I7 N.C. | N.C. / / IV7 |\n",
  7,
  2,
  0,
  0,
  0,
  0,
  {TWO(4, 4, "I7", "G7", 2, "N.C.", "N.C."), TWO(4, 4, "N.C.", "N.C.", 3, "IV7", "C7")}};

const Model model_one_chord = {"key: E\nmeter: 3/4\n| I7 | % |\n",
                               4,
                               2,
                               0,
                               0,
                               0,
                               0,
                               {ONE(3, 4, "I7", "E7"), ONE(3, 4, "I7", "E7")}};

/* ---- the walk along the form ---- */

static Slot
slot_at(const Model *const m, const int n)
{
  const int after = n - m->lead_in;
  const int past  = after - m->choruses * m->bars;
  if (n < 0) { /* reference: -1 is the bar before bar 1 */
    return (Slot){RL_PART_BEFORE, 0, after, &m->bar[0], NULL};
  }
  if (after < 0) {
    const ModelBar *const plays = m->from ? &m->bar[m->from - 1 + n] : NULL;
    return (Slot){RL_PART_LEAD_IN, 0, after, plays ? plays : &m->bar[0], plays};
  }
  if (!m->choruses || past < 0) {
    const ModelBar *const plays = &m->bar[after % m->bars];
    return (Slot){RL_PART_CHORUS, after / m->bars + 1, after % m->bars + 1, plays, plays};
  }
  if (past < m->ending) {
    const ModelBar *const plays = &m->bar[m->bars + past];
    return (Slot){RL_PART_ENDING, m->choruses, m->bars + past + 1, plays, plays};
  }
  return (Slot){RL_PART_OVER, m->choruses, 0, &m->bar[0], NULL};
}

const ModelChord *
model_chord_on(const Slot *const slot, const double beat)
{
  const ModelChord *now = NULL;
  for (int i = 0; slot->plays && i < 4 && slot->plays->chord[i].name; ++i) {
    now = slot->plays->chord[i].beat <= beat ? &slot->plays->chord[i] : now;
  }
  return now;
}

const ModelChord *
model_chord_after(const Model *const m, const int n, const double beat, double *const beats)
{
  const Slot              here = slot_at(m, n);
  const ModelChord *const now  = model_chord_on(&here, beat);
  double                  way  = -beat;
  for (int k = n; k < n + 2 * m->bars + m->ending + m->lead_in + (n < 0 ? -n : 0); ++k) {
    const Slot slot = slot_at(m, k);
    for (int i = 0; slot.plays && i < 4 && slot.plays->chord[i].name; ++i) {
      const ModelChord *const chord = &slot.plays->chord[i];
      if ((k > n || chord->beat > beat) && (!now || strcmp(now->name, chord->name) != 0)) {
        *beats = way + chord->beat;
        return chord;
      }
    }
    way += slot.meter->beats;
  }
  *beats = 0;
  return NULL;
}

/* ---- the DAW ---- */

static int64_t
ticks_in(const Daw *const d, const int beats, const int unit)
{
  assert_int_equal(d->quarter * 4 * beats % unit, 0);
  return d->quarter * 4 * beats / unit;
}

const DawMeter *
model_meter_of(const Daw *const d, const int64_t bar)
{
  const DawMeter *meter = d->meter;
  for (int i = 1; i < d->meters; ++i) {
    meter = d->meter[i].bar <= bar ? &d->meter[i] : meter;
  }
  return meter;
}

int64_t
model_bar_line(const Daw *const d, const int64_t bar)
{
  int64_t at = 0;
  if (d->meters == 1) {
    return bar * ticks_in(d, d->meter->beats, d->meter->unit);
  }
  for (int64_t i = 0; i < bar; ++i) {
    at += ticks_in(d, model_meter_of(d, i)->beats, model_meter_of(d, i)->unit);
  }
  for (int64_t i = bar; i < 0; ++i) {
    at -= ticks_in(d, model_meter_of(d, i)->beats, model_meter_of(d, i)->unit);
  }
  return at;
}

Report
model_report_at(const Daw *const d, const int64_t frame)
{
  const int64_t at  = frame * d->ticks;
  int64_t       bar = 0;
  while (model_bar_line(d, bar + 1) <= at) {
    ++bar;
  }
  while (model_bar_line(d, bar) > at) {
    --bar;
  }
  const DawMeter *const meter = model_meter_of(d, bar);
  const double          beat  = (double)ticks_in(d, 1, meter->unit);
  return (Report){.said     = SAY_PLAIN,
                  .frame    = frame,
                  .bar      = bar,
                  .speed    = 1,
                  .bar_beat = (double)(at - model_bar_line(d, bar)) / beat,
                  .tempo    = 60.0 * RATE * (double)d->ticks / beat,
                  .beats    = meter->beats,
                  .unit     = meter->unit};
}

/* ---- a journey ---- */

static void
walk_add(Walk *const walk, const Model *const m, const int n, const int64_t start,
         const int64_t length)
{
  assert_true(walk->count < PLAYING_MAX);
  walk->bar[walk->count++] = (Playing){n, slot_at(m, n), start, length};
}

void
model_walk(Walk *const walk, const Journey *const j, const int64_t begin, const int64_t end)
{
  const Daw *const d     = &j->daw;
  const int64_t    first = j->start_bar - 1; /* from 0 */
  int64_t          at    = model_bar_line(d, first);
  int              n     = 0;
  walk->count            = 0;
  if (!j->count_by) {
    for (int64_t bar = j->from; model_bar_line(d, bar) < end; ++bar) {
      walk_add(walk, j->model, (int)(bar - first), model_bar_line(d, bar),
               model_bar_line(d, bar + 1) - model_bar_line(d, bar));
    }
    return;
  }
  for (; at > begin; --n) {
    at -= ticks_in(d, j->model->bar[0].beats, j->model->bar[0].unit);
  }
  for (; at < end; ++n) {
    const Slot    slot   = slot_at(j->model, n);
    const int64_t length = ticks_in(d, slot.meter->beats, slot.meter->unit);
    if (at + length > begin) {
      walk_add(walk, j->model, n, at, length);
    }
    at += length;
  }
}

const Playing *
model_playing_at(const Walk *const walk, const int64_t tick)
{
  int i = walk->count - 1;
  while (i > 0 && walk->bar[i].start > tick) {
    --i;
  }
  return &walk->bar[i];
}

double
model_beat_at(const Playing *const p, const int64_t tick)
{
  return (double)(tick - p->start) * p->slot.meter->beats / (double)p->length;
}
