/* SPDX-License-Identifier: ISC */
/* The main job: a host's transport in, the place in the form out, at every block's end on the ports
   and at the exact frame of every beat on `notify`. Judged by a naive walk, bar by bar in whole
   ticks, from bar tables typed here beside their charts. Sources: plugin/PORTS.md,
   core/clock/CLOCK.md, core/chart/CHART.md
   ("reference"); the LV2 time vocabulary (lv2plug.in/ns/ext/time: bars from 0, beats of beatUnit,
   beatsPerMinute in those beats); runs of real hosts on Debian 12 (core/clock/CLOCK.md) for their
   manners. */
#include "scene.h"

#include "core/chart/form.h"

#include <lv2/time/time.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* ---- charts, and what they say ---- */

typedef struct {
  int         beat; /* from 0 */
  const char *degree, *name;
} ModelChord;

typedef struct {
  int        beats, unit;
  ModelChord chord[4]; /* up to the first without a name */
} ModelBar;

typedef struct {
  const char *text;
  int         key; /* 0..11 */
  int         bars, ending, lead_in, from, choruses;
  ModelBar    bar[14];
} Model;

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

#define TWELVE_TEXT                                                                                \
  "[A]\n| I7 | IV7 | I7 | % |\n| IV7 | % | I7 | VI7 |\n| ii7 | V7 | I7 IV7 | I7 V7 |\n"
#define TWELVE_BARS                                                                                \
  {                                                                                                \
    ONE(4, 4, "I7", "G7"), ONE(4, 4, "IV7", "C7"), ONE(4, 4, "I7", "G7"), ONE(4, 4, "I7", "G7"),   \
      ONE(4, 4, "IV7", "C7"), ONE(4, 4, "IV7", "C7"), ONE(4, 4, "I7", "G7"),                       \
      ONE(4, 4, "VI7", "E7"), ONE(4, 4, "ii7", "Am7"), ONE(4, 4, "V7", "D7"),                      \
      TWO(4, 4, "I7", "G7", 2, "IV7", "C7"), TWO(4, 4, "I7", "G7", 2, "V7", "D7")                  \
  }

static const Model twelve         = {"key: G\n" TWELVE_TEXT, 7, 12, 0, 0, 0, 0, TWELVE_BARS};
static const Model silent_lead_in = {
  "key: G\nlead-in: 2\n" TWELVE_TEXT, 7, 12, 0, 2, 0, 0, TWELVE_BARS};
static const Model played_lead_in = {
  "key: G\nlead-in: 4 from 9\n" TWELVE_TEXT, 7, 12, 0, 4, 9, 0, TWELVE_BARS};

static const Model twelve_eight = {"key: C\nmeter: 12/8\n| I7 | IV9 I7 | I7 / / V7#5 | V7 |\n",
                                   0,
                                   4,
                                   0,
                                   0,
                                   0,
                                   0,
                                   {ONE(12, 8, "I7", "C7"), TWO(12, 8, "IV9", "F9", 6, "I7", "C7"),
                                    TWO(12, 8, "I7", "C7", 9, "V7#5", "G7#5"),
                                    ONE(12, 8, "V7", "G7")}};

static const Model crooked = {"key: A\nlead-in: 1\n| I7 | IV7 | 2/4 IV7 | 4/4 I7 V7 |\n",
                              9,
                              4,
                              0,
                              1,
                              0,
                              0,
                              {ONE(4, 4, "I7", "A7"), ONE(4, 4, "IV7", "D7"),
                               ONE(2, 4, "IV7", "D7"), TWO(4, 4, "I7", "A7", 2, "V7", "E7")}};

static const Model motley = {
  "key: F\nmeter: 6/8\nlead-in: 3 from 2\n| I | 9/8 IV | 3/4 V | 7/8 I7 |\n",
  5,
  4,
  0,
  3,
  2,
  0,
  {ONE(6, 8, "I", "F"), ONE(9, 8, "IV", "Bb"), ONE(3, 4, "V", "C"), ONE(7, 8, "I7", "F7")}};

static const Model ended = {
  "key: C\nlead-in: 1 from 2\nchoruses: 2\n| I7 | V7 |\n[ending]\n| IV7 | IV7 I7 |\n",
  0,
  2,
  2,
  1,
  2,
  2,
  {ONE(4, 4, "I7", "C7"), ONE(4, 4, "V7", "G7"), ONE(4, 4, "IV7", "F7"),
   TWO(4, 4, "IV7", "F7", 2, "I7", "C7")}};

static const Model stop_time = {
  "key: G\n| I7 N.C. | N.C. / / IV7 |\n",
  7,
  2,
  0,
  0,
  0,
  0,
  {TWO(4, 4, "I7", "G7", 2, "N.C.", "N.C."), TWO(4, 4, "N.C.", "N.C.", 3, "IV7", "C7")}};

static const Model one_chord = {"key: E\nmeter: 3/4\n| I7 | % |\n",
                                4,
                                2,
                                0,
                                0,
                                0,
                                0,
                                {ONE(3, 4, "I7", "E7"), ONE(3, 4, "I7", "E7")}};

/* ---- the walk along the form ---- */

/* Bar `n` of the song, counted from the first of the lead-in. */
typedef struct {
  RlPart          part;
  int             chorus, bar;
  const ModelBar *meter, *plays; /* plays: NULL where no chord sounds */
} Slot;

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

/* The chord that sounds on a beat; NULL for none. */
static const ModelChord *
chord_on(const Slot *const slot, const double beat)
{
  const ModelChord *now = NULL;
  for (int i = 0; slot->plays && i < 4 && slot->plays->chord[i].name; ++i) {
    now = slot->plays->chord[i].beat <= beat ? &slot->plays->chord[i] : now;
  }
  return now;
}

/* Reference: the next chord is the first to come whose name differs, across the end of the form
 * too.
 */
static const ModelChord *
chord_after(const Model *const m, const int n, const double beat, double *const beats)
{
  const Slot              here = slot_at(m, n);
  const ModelChord *const now  = chord_on(&here, beat);
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

typedef struct {
  int64_t bar; /* from 0; from there on */
  int     beats, unit;
} DawMeter;

/* Its frame 0 is the downbeat of bar 0. A tick is a part of a frame; every length is whole in
 * ticks. */
typedef struct {
  int64_t         ticks;   /* in a frame */
  int64_t         quarter; /* ticks */
  const DawMeter *meter;   /* the first holds before it too */
  int             meters;
} Daw;

static int64_t
ticks_in(const Daw *const d, const int beats, const int unit)
{
  assert_int_equal(d->quarter * 4 * beats % unit, 0);
  return d->quarter * 4 * beats / unit;
}

static const DawMeter *
meter_of(const Daw *const d, const int64_t bar)
{
  const DawMeter *meter = d->meter;
  for (int i = 1; i < d->meters; ++i) {
    meter = d->meter[i].bar <= bar ? &d->meter[i] : meter;
  }
  return meter;
}

/* The tick of a bar line. */
static int64_t
bar_line(const Daw *const d, const int64_t bar)
{
  int64_t at = 0;
  if (d->meters == 1) {
    return bar * ticks_in(d, d->meter->beats, d->meter->unit);
  }
  for (int64_t i = 0; i < bar; ++i) {
    at += ticks_in(d, meter_of(d, i)->beats, meter_of(d, i)->unit);
  }
  for (int64_t i = bar; i < 0; ++i) {
    at -= ticks_in(d, meter_of(d, i)->beats, meter_of(d, i)->unit);
  }
  return at;
}

/* What the host says at a frame of the transport. */
static Report
report_at(const Daw *const d, const int64_t frame)
{
  const int64_t at  = frame * d->ticks;
  int64_t       bar = 0;
  while (bar_line(d, bar + 1) <= at) {
    ++bar;
  }
  while (bar_line(d, bar) > at) {
    --bar;
  }
  const DawMeter *const meter = meter_of(d, bar);
  const double          beat  = (double)ticks_in(d, 1, meter->unit);
  return (Report){.said     = SAY_PLAIN,
                  .frame    = frame,
                  .bar      = bar,
                  .speed    = 1,
                  .bar_beat = (double)(at - bar_line(d, bar)) / beat,
                  .tempo    = 60.0 * RATE * (double)d->ticks / beat,
                  .beats    = meter->beats,
                  .unit     = meter->unit};
}

/* ---- a journey ---- */

typedef struct {
  const char  *what;
  const Model *model;
  Daw          daw;
  int          start_bar, count_by;
  int64_t      from; /* the DAW's bar (from 0) at which it begins to roll */
  double       beat; /* and the beat of it */
  int64_t      frames;
} Journey;

/* How blocks and reports come. */
typedef struct {
  uint32_t block; /* 0: by chance, up to 3000 */
  bool     every; /* a report in every block, not only where something changes */
} Manner;

/* A bar of the song and when it plays, in ticks of the DAW. */
typedef struct {
  int     n;
  Slot    slot;
  int64_t start, length;
} Playing;

enum { PLAYING_MAX = 4096 };

typedef struct {
  int     count;
  Playing bar[PLAYING_MAX];
} Walk;

static Walk walk;

static void
walk_add(const Model *const m, const int n, const int64_t start, const int64_t length)
{
  assert_true(walk.count < PLAYING_MAX);
  walk.bar[walk.count++] = (Playing){n, slot_at(m, n), start, length};
}

/* Reference: count_by 0, one DAW bar is one bar of the form; 1, DAW beats as quarters from the
   downbeat of start_bar, laid along the form's own bars. Before the lead-in: bars like bar 1. */
static void
walk_make(const Journey *const j, const int64_t begin, const int64_t end)
{
  const Daw *const d     = &j->daw;
  const int64_t    first = j->start_bar - 1; /* from 0 */
  int64_t          at    = bar_line(d, first);
  int              n     = 0;
  walk.count             = 0;
  if (!j->count_by) {
    for (int64_t bar = j->from; bar_line(d, bar) < end; ++bar) {
      walk_add(j->model, (int)(bar - first), bar_line(d, bar),
               bar_line(d, bar + 1) - bar_line(d, bar));
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
      walk_add(j->model, n, at, length);
    }
    at += length;
  }
}

static const Playing *
playing_at(const int64_t tick)
{
  int i = walk.count - 1;
  while (i > 0 && walk.bar[i].start > tick) {
    --i;
  }
  return &walk.bar[i];
}

static double
beat_at(const Playing *const p, const int64_t tick)
{
  return (double)(tick - p->start) * p->slot.meter->beats / (double)p->length;
}

static void
outputs_agree(const Scene *const s, const int64_t tick)
{
  const Playing *const p = playing_at(tick);
  if (p->slot.part == RL_PART_OVER) { /* reference: 0 when the song is over */
    SAME(s->bar, 0);
    SAME(s->beat, 0);
  } else {
    const double beat = s->beat;
    SHOWS(s, p->slot.chorus, p->slot.bar, 1 + beat_at(p, tick));
    assert_true(beat >= 1 && beat < p->slot.meter->beats + 1);
  }
}

/* Reference: 1 told by the host; count_by 1 without time:beat is sure from the start bar on. */
static void
sure_agrees(const Journey *const j, const double sure, const int64_t tick)
{
  const int64_t start   = bar_line(&j->daw, j->start_bar - 1);
  const bool    located = j->from >= j->start_bar && j->count_by;
  if (!j->count_by || (!located && tick >= start)) {
    SAME(sure, 1);
  } else {
    assert_true(sure > 0 && sure < 1);
  }
}

static void
place_agrees(const Journey *const j, const Place *const told, const int64_t begin)
{
  const int64_t           tick = begin + told->frame * j->daw.ticks;
  const Playing *const    p    = playing_at(tick + j->daw.ticks / 32); /* a hair early is on time */
  const double            beat = fmax(0, beat_at(p, tick));
  const double            whole = floor(beat + 1e-6);
  const ModelChord *const now   = chord_on(&p->slot, whole);
  double                  to_next;
  const ModelChord *const next = chord_after(j->model, p->n, whole, &to_next);
  SAME(told->part, p->slot.part);
  SAME(told->chorus, p->slot.chorus);
  SAME(told->bar, p->slot.bar);
  SAME(told->bars, j->model->bars);
  SAME(told->beats, p->slot.meter->beats);
  SAME(told->unit, p->slot.meter->unit);
  SAME(told->song_key, j->model->key);
  assert_true(told->lit);
  assert_true(told->rolling);
  NEAR(told->beat, 1 + beat, 1e-5);
  const double frames = (double)p->length / (double)j->daw.ticks / p->slot.meter->beats;
  NEAR(told->tempo, 60.0 * RATE / frames, 1e-6 * told->tempo);
  TEXT(told->now, now ? now->name : "");
  TEXT(told->now_degree, now ? now->degree : "");
  TEXT(told->next, next ? next->name : "");
  TEXT(told->next_degree, next ? next->degree : "");
  NEAR(told->to_next, next ? to_next - (beat - whole) : 0, 3e-5);
  sure_agrees(j, told->sure, tick);
}

/* The frame at which beat `k` of a bar comes: the first at or after it. One that comes less than a
   32nd of a frame after a frame may count as on it. */
static bool
frame_is_of_beat(const Journey *const j, const Playing *const p, const int k, const int64_t begin,
                 const int64_t frame)
{
  const int64_t beats = p->slot.meter->beats;
  const int64_t onset = (p->start - begin) * beats + k * p->length; /* in parts of a frame: */
  const int64_t parts = beats * j->daw.ticks;
  const int64_t late  = frame * parts - onset;
  return late >= 0 ? late < parts : -late * 32 < parts;
}

/* Every Place in turn: at the start, then at every beat, and nothing else. */
static void
places_agree(const Scene *const s, const Journey *const j, const int64_t begin, const int64_t end)
{
  size_t at = 0;
  for (int i = 0; i < walk.count; ++i) {
    const Playing *const p = &walk.bar[i];
    if (p->slot.part == RL_PART_OVER) {
      break;
    }
    for (int k = 0; k < p->slot.meter->beats; ++k) {
      const int64_t onset = p->start * p->slot.meter->beats + k * p->length;
      const int64_t next  = onset + p->length;
      if (next <= begin * p->slot.meter->beats ||
          onset > (end - j->daw.ticks) * p->slot.meter->beats) {
        continue;
      }
      if (at == s->places) {
        fail_msg("beat %d of bar %d was not told", k + 1, p->slot.bar);
      }
      const Place *const told  = &s->place[at++];
      const bool         first = onset <= begin * p->slot.meter->beats;
      if (first ? told->frame != 0 : !frame_is_of_beat(j, p, k, begin, told->frame)) {
        fail_msg("beat %d of bar %d is told at frame %lld, not %.3f", k + 1, p->slot.bar,
                 (long long)told->frame,
                 (double)(onset - begin * p->slot.meter->beats) / p->slot.meter->beats /
                   (double)j->daw.ticks);
      }
      place_agrees(j, told, begin);
    }
  }
  for (; at < s->places; ++at) { /* over */
    SAME(s->place[at].part, RL_PART_OVER);
    SAME(s->place[at].bar, 0);
    SAME(s->place[at].beat, 0);
    TEXT(s->place[at].now, "");
    TEXT(s->place[at].next, "");
    SAME(s->place[at].to_next, 0);
    SAME(s->place[at].hole, 0);
  }
}

static void
block_reports(Scene *const s, const Journey *const j, const bool every, const int64_t frame,
              const uint32_t frames)
{
  if (every || s->now == 0) {
    const Report report = report_at(&j->daw, frame);
    scene_report(s, 0, &report);
  }
  for (int i = 1; i < j->daw.meters; ++i) { /* where the meter changes */
    const int64_t line   = bar_line(&j->daw, j->daw.meter[i].bar);
    const int64_t offset = (line + j->daw.ticks - 1) / j->daw.ticks - frame;
    if (offset >= 0 && offset < (int64_t)frames && (offset > 0 || !(every || s->now == 0))) {
      const Report report = report_at(&j->daw, frame + offset);
      scene_report(s, offset, &report);
    }
  }
}

static uint32_t dice;

static uint32_t
chance(const uint32_t below)
{
  dice = dice * 1664525U + 1013904223U; /* Numerical Recipes' quick generator */
  return (uint32_t)(((uint64_t)dice * below) >> 32U);
}

static void
journey_make(Scene *const s, const Journey *const j, const Manner *const manner)
{
  const int64_t tick = bar_line(&j->daw, j->from) + llround(j->beat * (double)j->daw.quarter * 4 /
                                                            meter_of(&j->daw, j->from)->unit);
  const int64_t from = (int64_t)floor((double)tick / (double)j->daw.ticks);
  const int64_t most =
    manner->block && manner->block < 64 ? 60000 : j->frames; /* short blocks take long */
  const int64_t frames = j->frames < most ? j->frames : most;
  const int64_t begin  = from * j->daw.ticks;
  const int64_t end    = (from + frames) * j->daw.ticks;
  rl_host_set(s->host, "start_bar", (float)j->start_bar);
  rl_host_set(s->host, "count_by", (float)j->count_by);
  rl_host_deactivate(s->host); /* forgets the transport of the journey before */
  rl_host_activate(s->host);
  scene_settle(s);
  walk_make(j, begin, end);
  static char about[200];
  snprintf(about, sizeof(about), "%s, blocks of %u, %s", j->what, manner->block,
           manner->every ? "a report in each" : "reports of changes");
  check_about = about;
  dice        = (uint32_t)frames;
  while (s->now < frames) {
    const uint32_t wish  = manner->block ? manner->block : 1 + chance(3000);
    const int64_t  left  = frames - s->now;
    const uint32_t block = left < (int64_t)wish ? (uint32_t)left : wish;
    block_reports(s, j, manner->every, from + s->now, block);
    scene_run(s, block);
    outputs_agree(s, begin + (s->now - 1) * j->daw.ticks);
    sure_agrees(j, s->sure, begin + (s->now - 1) * j->daw.ticks);
  }
  places_agree(s, j, begin, end);
  check_about = NULL;
}

static const Manner manners[] = {{1, false},  {7, true},     {64, false},   {100, true},
                                 {256, true}, {1024, false}, {8192, false}, {8192, true},
                                 {0, false},  {0, true}};

static void
journeys_make(const Journey *const journeys, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    Scene scene;
    scene_begin(&scene);
    scene_chart(&scene, journeys[i].model->text);
    for (size_t k = 0; k < COUNT(manners); ++k) {
      journey_make(&scene, &journeys[i], &manners[k]);
    }
    scene_end(&scene);
  }
}

static const DawMeter in_four[]         = {{0, 4, 4}};
static const DawMeter in_three[]        = {{0, 3, 4}};
static const DawMeter in_six_eight[]    = {{0, 6, 8}};
static const DawMeter in_twelve_eight[] = {{0, 12, 8}};
static const DawMeter in_two_two[]      = {{0, 2, 2}};
static const DawMeter seven_for_a_bar[] = {{0, 4, 4}, {2, 7, 8}, {3, 4, 4}, {6, 3, 4}};
static const DawMeter four_to_six[]     = {{0, 4, 4}, {3, 6, 8}};

/* Tempi in quarters a minute, as a float can hold them. */
#define AT_120(meters)                                                                             \
  {                                                                                                \
    1, 24000, meters, COUNT(meters)                                                                \
  }
#define AT_90(meters)                                                                              \
  {                                                                                                \
    1, 32000, meters, COUNT(meters)                                                                \
  }
#define AT_110(meters)                                                                             \
  {                                                                                                \
    11 * 8, 288000 * 8, meters, COUNT(meters)                                                      \
  } /* 26181.8 frames a beat */
#define AT_118(meters)                                                                             \
  {                                                                                                \
    59 * 8, 1440000 * 8, meters, COUNT(meters)                                                     \
  } /* 24406.8 */
#define AT_480(meters)                                                                             \
  {                                                                                                \
    1, 6000, meters, COUNT(meters)                                                                 \
  }

enum { CHORUS_120 = 12 * 4 * 24000 };

/* ---- following ---- */

static void
three_choruses_are_followed_to_the_frame(void **state)
{
  static const Journey journeys[] = {
    {"from the top", &twelve, AT_120(in_four), 1, 0, 0, 0, 3 * CHORUS_120 + 50000},
    {"beats between frames", &twelve, AT_110(in_four), 1, 0, 0, 0, 900000},
    {"beats between frames again", &twelve, AT_118(in_four), 1, 0, 0, 0, 900000},
    {"in the middle of a beat", &twelve, AT_90(in_four), 1, 0, 30, 2.625, 600000},
    {"fast", &twelve, AT_480(in_four), 1, 0, 0, 0, 12 * 4 * 6000 * 3 + 1},
    {"no chord for a while", &stop_time, AT_480(in_four), 1, 0, 0, 0, 200000},
    {"nothing but one chord", &one_chord, AT_480(in_three), 1, 0, 0, 0, 200000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

static void
the_start_bar_is_where_the_form_falls(void **state)
{
  static const Journey journeys[] = {
    {"before the start", &twelve, AT_480(in_four), 5, 0, 0, 0, 500000},
    {"far before it", &twelve, AT_480(in_four), 40, 0, 31, 1, 500000},
    {"behind it", &twelve, AT_480(in_four), 3, 0, 100, 0, 300000},
    {"a start bar before the DAW's first", &twelve, AT_480(in_four), -6, 0, 0, 0, 300000},
    {"bar 0 is the one before bar 1", &twelve, AT_480(in_four), 0, 0, 0, 0, 100000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: start_bar is the DAW bar where the lead-in falls. */
static void
a_lead_in_leads_in_with_its_chords_or_without(void **state)
{
  static const Journey journeys[] = {
    {"without chords", &silent_lead_in, AT_480(in_four), 1, 0, 0, 0, 500000},
    {"without chords, from before", &silent_lead_in, AT_480(in_four), 4, 0, 1, 0, 400000},
    {"with chords", &played_lead_in, AT_480(in_four), 1, 0, 0, 0, 500000},
    {"with chords, from before", &played_lead_in, AT_480(in_four), 5, 0, 2, 3.5, 500000},
    {"by beats", &played_lead_in, AT_480(in_four), 5, 1, 2, 0, 500000},
    {"by beats without chords", &silent_lead_in, AT_480(in_four), 5, 1, 2, 0, 500000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: count_by 0, the DAW bar's fraction times the form bar's own beats. */
static void
a_chart_in_another_meter_fits_the_bars_of_the_daw(void **state)
{
  static const Journey journeys[] = {
    {"12/8 under a DAW in 4/4", &twelve_eight, AT_120(in_four), 1, 0, 0, 0, 1000000},
    {"12/8 under a DAW in 12/8", &twelve_eight, AT_120(in_twelve_eight), 1, 0, 0, 0, 1000000},
    {"12/8 under a DAW in 3/4", &twelve_eight, AT_90(in_three), 2, 0, 0, 0, 500000},
    {"4/4 under a DAW in 6/8", &twelve, AT_120(in_six_eight), 1, 0, 0, 0, 500000},
    {"4/4 under a DAW in 2/2", &twelve, AT_120(in_two_two), 1, 0, 0, 0, 500000},
    {"a 2/4 bar has the DAW's whole bar", &crooked, AT_120(in_four), 1, 0, 0, 0, 700000},
    {"a DAW that changes its meter", &twelve, AT_120(seven_for_a_bar), 1, 0, 0, 0, 800000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: count_by 1, DAW beats as quarter notes laid along the form's own bars. */
static void
counted_by_beats_the_form_keeps_its_own_bars(void **state)
{
  static const Journey journeys[] = {
    {"a 2/4 bar is two beats", &crooked, AT_120(in_four), 1, 1, 0, 0, 1400000},
    {"from before the start", &crooked, AT_120(in_four), 3, 1, 1, 2, 1000000},
    {"12/8 under a DAW in 4/4", &twelve_eight, AT_120(in_four), 1, 1, 0, 0, 1000000},
    {"every bar in another meter", &motley, AT_120(in_four), 1, 1, 0, 0, 1000000},
    {"a DAW in 6/8", &motley, AT_120(in_six_eight), 2, 1, 0, 0, 1000000},
    {"a DAW that changes its meter", &twelve, AT_120(seven_for_a_bar), 1, 1, 0, 0, 800000},
    {"and its unit", &crooked, AT_120(four_to_six), 2, 1, 1, 0, 800000},
    {"beats between frames", &motley, AT_110(in_four), 1, 1, 0, 0, 700000},
    {"after a locate, in a DAW that keeps its meter", &crooked, AT_120(in_four), 2, 1, 9, 1.5,
     500000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: after the choruses [ending] plays once and the song is over. */
static void
after_the_choruses_comes_the_ending_and_then_nothing(void **state)
{
  static const Journey journeys[] = {
    {"bar by bar", &ended, AT_120(in_four), 1, 0, 0, 0, 1000000},
    {"by beats", &ended, AT_120(in_four), 1, 1, 0, 0, 1000000},
    {"from the middle of the ending", &ended, AT_120(in_four), 1, 0, 6, 3, 300000},
    {"long after", &ended, AT_120(in_four), 1, 0, 60, 3, 300000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Export in Ardour begins with a negative frame; other hosts count bars below 0 in a pre-roll. */
static void
a_pre_roll_counts_bars_and_frames_below_nothing(void **state)
{
  static const Journey journeys[] = {
    {"two bars", &twelve, AT_120(in_four), 1, 0, -2, 0, 500000},
    {"768 frames", &twelve, AT_120(in_four), 1, 0, -1, 4 - 768.0 / 24000, 100000},
    {"into a lead-in", &played_lead_in, AT_120(in_four), 1, 0, -3, 1, 900000},
    {"by beats", &crooked, AT_120(in_four), 1, 1, -2, 2.5, 500000},
    {"a start bar below nothing", &twelve, AT_120(in_four), -3, 0, -9, 0, 900000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* ---- one thing at a time ---- */

static void
without_a_report_everything_is_nothing_but_the_position(void **state)
{
  Scene s;
  (void)state;
  const RlHostChoice choice = scene_choice(STEREO);
  scene_open(&s, &choice);
  rl_host_activate(s.host);
  for (int i = 0; i < 10; ++i) {
    scene_run(&s, 1000);
    SHOWS(&s, 0, 0, 0);
    SAME(s.sure, 0);
    SAME(s.position, 2); /* a C harp plays G, the key of the chart at hand */
  }
  assert_int_equal(s.places, 1); /* nothing comes up, nothing more is told */
  SAME(s.place[0].part, RL_PART_NOWHERE);
  SAME(s.place[0].bar, 0);
  SAME(s.place[0].beat, 0);
  SAME(s.place[0].sure, 0);
  TEXT(s.place[0].now, "");
  TEXT(s.place[0].next, "");
  scene_end(&s);
}

/* jalv without a timebase master. */
static void
frame_and_speed_without_a_bar_say_nothing_about_the_place(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 20; ++i) {
    const Report report = {.said = SAY_FRAME | SAY_SPEED, .frame = i * 4800, .speed = 1};
    scene_report(&s, 0, &report);
    scene_run(&s, 4800);
    SHOWS(&s, 0, 0, 0);
    SAME(s.sure, 0);
  }
  scene_end(&s);
}

static void
a_run_of_no_frames_takes_in_a_report_and_moves_nothing(void **state)
{
  Scene        s;
  const Report report = rolling_at(5, 1);
  (void)state;
  scene_begin(&s);
  scene_run(&s, 0);
  SHOWS(&s, 0, 0, 0);
  scene_report(&s, 0, &report);
  scene_run(&s, 0);
  SHOWS(&s, 1, 6, 2);
  SAME(scene_last(&s)->bar, 6);
  SAME(scene_last(&s)->frame, 0);
  for (int i = 0; i < 100; ++i) {
    scene_run(&s, 0);
    scene_run(&s, 240);
    SHOWS(&s, 1, 6, 2 + (240.0 * (i + 1) - 1) / 24000);
    scene_run(&s, 0);
  }
  scene_run(&s, 1);
  SHOWS(&s, 1, 6, 3);
  SAME(scene_last(&s)->beat, 3);
  SAME(scene_last(&s)->frame, 24000);
  scene_end(&s);
}

static void
a_block_may_hold_many_reports_and_each_counts_from_its_frame(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 20; ++i) {
    const Report report = rolling_at(i % 12, i % 4);
    scene_report(&s, 100 * i, &report);
  }
  scene_run(&s, 2001);
  assert_int_equal(s.places, 20);
  for (int i = 0; i < 20; ++i) {
    SAME(s.place[i].frame, 100 * i);
    SAME(s.place[i].bar, i % 12 + 1);
    NEAR(s.place[i].beat, i % 4 + 1, 1e-5);
  }
  SHOWS(&s, 1, 8, 4 + 100.0 / 24000);
  scene_end(&s);
}

static void
of_several_reports_at_one_frame_the_last_holds(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 5; ++i) {
    const Report report = rolling_at(i, 0);
    scene_report(&s, 50, &report);
  }
  scene_run(&s, 100);
  SHOWS(&s, 1, 5, 1 + 49.0 / 24000);
  SAME(scene_last(&s)->frame, 50);
  SAME(scene_last(&s)->bar, 5);
  scene_end(&s);
}

/* jalv sends its window's events one past the end of the block. */
static void
a_report_one_past_the_end_of_the_block_is_not_lost(void **state)
{
  Scene        s;
  const Report report = rolling_at(3, 2);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 256, &report);
  scene_run(&s, 256);
  SAME(scene_last(&s)->bar, 4);
  assert_true(scene_last(&s)->frame <= 256);
  scene_run(&s, 24000 / 4);
  NEAR(s.beat, 3.25, 1.5 / 24000); /* which frame of the two it was, who knows */
  SAME(s.bar, 4);
  scene_end(&s);
}

/* An offset that cannot be moves no time along: not ahead, not back. */
static void
an_event_far_outside_the_block_does_not_make_time_run(void **state)
{
  static const int64_t offsets[] = {257, 5000, INT64_C(1) << 40, INT64_MAX, -1, -5000, INT64_MIN};
  Scene                s;
  const Report         start = rolling_at(2, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 256);
  for (size_t i = 0; i < COUNT(offsets); ++i) {
    rl_host_send_get(s.host, offsets[i], "urn:reedlamp:problem");
    scene_run(&s, 256);
    assert_non_null(scene_told(&s, "problem")); /* heard all the same, and told inside the block */
    SHOWS(&s, 1, 3, 1 + (256.0 * ((double)i + 2) - 1) / 24000);
  }
  scene_end(&s);
}

static void
fields_that_are_left_out_keep_what_they_said(void **state)
{
  static const Report stop   = {.said = SAY_SPEED, .speed = 0};
  static const Report go     = {.said = SAY_SPEED, .speed = 1};
  static const Report faster = {.said = SAY_TEMPO, .tempo = 240};
  static const Report locate = {.said = SAY_BAR | SAY_BAR_BEAT, .bar = 8, .bar_beat = 3};
  static const Report slower = {
    .said = SAY_TEMPO | SAY_BAR | SAY_BAR_BEAT, .tempo = 60, .bar = 0, .bar_beat = 0};
  const Report first = rolling_at(1, 0);
  Scene        s;
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &first);
  scene_play(&s, 12001, 1000);
  SHOWS(&s, 1, 2, 1.5);
  scene_report(&s, 0, &stop);
  scene_play(&s, 9000, 1000);
  SHOWS(&s, 1, 2, 1.5 + 1.0 / 24000);
  assert_false(scene_last(&s)->rolling);
  scene_report(&s, 0, &go);
  scene_play(&s, 12000, 1000);
  SHOWS(&s, 1, 2, 2);
  assert_true(scene_last(&s)->rolling);
  scene_report(&s, 0, &faster); /* one frame past the beat; 12000 frames a beat from here */
  scene_play(&s, 12000, 1000);
  SHOWS(&s, 1, 2, 3 + 1.0 / 24000 - 1.0 / 12000);
  scene_report(&s, 0, &locate);
  scene_play(&s, 6001, 1000);
  SHOWS(&s, 1, 9, 4.5);
  scene_report(&s, 0, &slower);
  scene_play(&s, 24001, 1000);
  SHOWS(&s, 1, 1, 1.5);
  NEAR(scene_last(&s)->tempo, 60, 1e-5);
  scene_end(&s);
}

static void
stopped_or_located_the_place_is_where_the_transport_is_parked(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 40; ++i) {
    const double beat   = i % 8 / 2.0;
    const Report report = parked_at(i, beat);
    scene_report(&s, 17, &report);
    scene_run(&s, 64);
    SHOWS(&s, i / 12 + 1, i % 12 + 1, 1 + beat);
    SAME(scene_last(&s)->frame, 64 * 4 * i + 17);
    SAME(scene_last(&s)->bar, i % 12 + 1);
    NEAR(scene_last(&s)->beat, 1 + beat, 1e-6);
    assert_false(scene_last(&s)->rolling);
    SAME(s.sure, 1);
    const size_t places = s.places;
    scene_play(&s, 192, 64);
    SHOWS(&s, i / 12 + 1, i % 12 + 1, 1 + beat);
    assert_int_equal(s.places, places); /* nothing moves, nothing is told */
  }
  scene_end(&s);
}

/* The window moves the beat on by itself between two beats; where the music did something else it
   must hear of it, or it shows a place where nobody is. */
static void
a_move_within_one_beat_is_told_too(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report parked = parked_at(3, 2.125);
  const Report nudged = parked_at(3, 2.875);
  scene_report(&s, 0, &parked);
  scene_run(&s, 64);
  scene_report(&s, 0, &nudged);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 3.875);
  SAME(scene_last(&s)->frame, 64);
  NEAR(scene_last(&s)->beat, 3.875, 1e-6);
  NEAR(scene_last(&s)->to_next, 1.125, 1e-5);
  const Report start = rolling_at(3, 2.125);
  scene_report(&s, 0, &start);
  scene_run(&s, 12000);
  scene_report(&s, 6000, &start); /* a loop of three quarters of a beat */
  scene_run(&s, 12000);
  SAME(scene_last(&s)->frame, 128 + 18000);
  NEAR(scene_last(&s)->beat, 3.125, 1e-6);
  SHOWS(&s, 1, 4, 3.125 + 5999.0 / 24000);
  scene_end(&s);
}

static void
a_window_that_opens_between_two_beats_hears_where_the_music_is(void **state)
{
  Scene        s;
  const Report start = rolling_at(3, 2); /* two beats before the chord of bar 5 */
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 3000);
  rl_host_send_get(s.host, 3000, NULL);
  scene_run(&s, 4096);
  SAME(scene_last(&s)->frame, 6000);
  NEAR(scene_last(&s)->beat, 3.25, 1e-5);
  NEAR(scene_last(&s)->to_next, 1.75, 1e-5);
  TEXT(scene_last(&s)->next, "C7");
  scene_end(&s);
}

/* A DAW's ruler snaps to what a float can hold; reference: form_beat up to (not incl.) beats + 1.
 */
static void
parked_a_hair_before_the_bar_line_the_beat_is_still_in_the_bar(void **state)
{
  static const struct {
    const Model *model;
    double       beats;
  } cases[] = {{&twelve, 4}, {&twelve_eight, 12}, {&one_chord, 3}};
  Scene s;
  (void)state;
  scene_begin(&s);
  for (size_t i = 0; i < COUNT(cases); ++i) {
    scene_chart(&s, cases[i].model->text);
    for (int k = 1; k <= 64; ++k) {
      float hair = 4;
      for (int n = 0; n < k; ++n) {
        hair = nextafterf(hair, 0);
      }
      const Report report = parked_at(1, (double)hair);
      scene_report(&s, 0, &report);
      rl_host_send_get(s.host, 0, NULL); /* a window that opens now */
      scene_run(&s, 64);
      SAME(s.bar, 2);
      NEAR(s.beat, cases[i].beats + 1, 1e-4);
      assert_true(s.beat < cases[i].beats + 1);
      assert_true(scene_last(&s)->beat < cases[i].beats + 1);
    }
  }
  scene_end(&s);
}

static void
a_loop_goes_back_at_the_frame_it_is_told(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(4, 0);
  scene_report(&s, 0, &start);
  /* bars 5 and 6 of the DAW, 192000 frames, over and over, in blocks that do not fit */
  for (int pass = 0; pass < 5; ++pass) {
    const int64_t end = (int64_t)(pass + 1) * 192000;
    while (s.now + 1009 <= end) {
      scene_run(&s, 1009);
    }
    scene_report(&s, end - s.now, &start);
    scene_run(&s, 1009);
    SHOWS(&s, 1, 5, 1 + (double)(s.now - 1 - end) / 24000);
  }
  for (size_t i = 0; i < s.places; ++i) {
    SAME(s.place[i].frame, (int64_t)i * 24000);
    SAME(s.place[i].bar, 5 + (int)(i / 4 % 2));
    SAME(s.place[i].beat, 1 + (int)(i % 4));
  }
  assert_int_equal(s.places, 5 * 8 + 1);
  scene_end(&s);
}

/* Ardour splits the block where a loop ends: 105 + 151 frames, the second part at the loop's start;
   the call after a split may bring no report. */
static void
a_loop_that_splits_the_block_is_followed(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(0, 0);
  const Report last  = rolling_at(0, 4 - 105.0 / 24000);
  scene_report(&s, 0, &start);
  scene_play(&s, 96000 - 105, 256);
  for (int pass = 0; pass < 4; ++pass) {
    scene_report(&s, 0, &last);
    scene_run(&s, 105);
    SHOWS(&s, 1, 1, 5 - 1.0 / 24000);
    scene_report(&s, 0, &start);
    scene_run(&s, 151);
    SHOWS(&s, 1, 1, 1 + 150.0 / 24000);
    scene_play(&s, 96000 - 105 - 151, 256);
    SHOWS(&s, 1, 1, 5 - 106.0 / 24000);
  }
  scene_end(&s);
}

/* Ardour locates while rolling with about 11 blocks of speed 0 at the old frame. */
static void
a_locate_while_rolling_parks_first_and_then_goes_on_elsewhere(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(2, 0);
  const Report old   = parked_at(2, 1.5);
  const Report new   = rolling_at(17, 2);
  scene_report(&s, 0, &start);
  scene_play(&s, 36000, 256);
  for (int i = 0; i < 11; ++i) {
    scene_report(&s, 0, &old);
    scene_run(&s, 256);
    SHOWS(&s, 1, 3, 2.5);
  }
  scene_report(&s, 0, &new);
  scene_run(&s, 256);
  SHOWS(&s, 2, 6, 3 + 255.0 / 24000);
  SAME(scene_last(&s)->frame, 36000 + 11 * 256);
  SAME(scene_last(&s)->bar, 6);
  scene_end(&s);
}

/* Export: the same instance is deactivated and activated, blocks of 1024, 768, then 256. */
static void
deactivated_and_activated_again_it_waits_for_a_report(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(2, 0);
  scene_report(&s, 0, &start);
  scene_play(&s, 5000, 1024);
  rl_host_deactivate(s.host);
  rl_host_activate(s.host);
  scene_run(&s, 1024);
  SHOWS(&s, 0, 0, 0);
  SAME(s.sure, 0);
  const Report export = {.said     = SAY_PLAIN,
                         .frame    = -768,
                         .bar      = -1,
                         .speed    = 1,
                         .bar_beat = 4 - 768.0 / 24000,
                         .tempo    = 120,
                         .beats    = 4,
                         .unit     = 4};
  scene_forget(&s);
  scene_report(&s, 0, &export);
  scene_run(&s, 768);
  SHOWS(&s, 0, -1, 5 - 1.0 / 24000);
  scene_run(&s, 256);
  SHOWS(&s, 1, 1, 1 + 255.0 / 24000);
  SAME(scene_last(&s)->frame, 768);
  SAME(scene_last(&s)->bar, 1);
  scene_end(&s);
}

static void
half_speed_takes_twice_the_frames(void **state)
{
  Scene  s;
  Report slow = rolling_at(0, 0);
  (void)state;
  scene_begin(&s);
  slow.speed = 0.5;
  scene_report(&s, 0, &slow);
  scene_play(&s, 48000 * 5 + 1, 512);
  assert_int_equal(s.places, 6);
  for (size_t i = 0; i < s.places; ++i) {
    SAME(s.place[i].frame, (int64_t)i * 48000);
  }
  SHOWS(&s, 1, 2, 2);
  scene_end(&s);
}

static void
a_tempo_that_changes_inside_a_block_changes_there(void **state)
{
  Scene  s;
  Report first  = rolling_at(0, 0);
  Report second = rolling_at(0, 1.25);
  (void)state;
  scene_begin(&s);
  second.tempo = 60; /* from frame 30000 on 48000 frames a beat: beat 3 comes 36000 later */
  scene_report(&s, 0, &first);
  scene_play(&s, 8192 * 3, 8192);
  scene_report(&s, 30000 - 8192 * 3, &second);
  scene_play(&s, 8192 * 9, 8192);
  assert_int_equal(s.places, 4);
  SAME(s.place[1].frame, 24000);
  SAME(s.place[2].frame, 30000); /* another tempo is told */
  SAME(s.place[2].tempo, 60);
  SAME(s.place[3].frame, 66000);
  SAME(s.place[3].beat, 3);
  scene_end(&s);
}

/* jalv reports in every block at tempi that a float does not hold, 123.4 say. */
static void
a_tempo_that_no_float_holds_is_followed_to_the_frame_next_to_it(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const double beat = 60.0 * RATE / 123.4;
  while (s.now < 3000000) {
    const double at     = (double)s.now / beat;
    const double bar    = floor(at / 4);
    Report       report = rolling_at((int64_t)bar, at - 4 * bar);
    report.tempo        = 123.4;
    report.frame        = s.now;
    scene_report(&s, 0, &report);
    scene_run(&s, 256);
  }
  assert_int_equal(s.places, (int)((double)(s.now - 1) / beat) + 1);
  for (size_t i = 0; i < s.places; ++i) {
    NEAR(s.place[i].frame, ceil((double)i * beat), 1);
    SAME(s.place[i].bar, 1 + (int)(i / 4 % 12));
    SAME(floor(s.place[i].beat), 1 + (int)(i % 4));
  }
  scene_end(&s);
}

/* Types: other hosts send time:beat as Long, bar as Int or Float. Any number will do. */
static void
numbers_of_any_type_are_understood(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  for (int round = 0; round < 4; ++round) {
    letter_begin(&letter, &s, LV2_TIME__Position);
    const char *const keys[] = {LV2_TIME__bar,         LV2_TIME__barBeat,        LV2_TIME__beatUnit,
                                LV2_TIME__beatsPerBar, LV2_TIME__beatsPerMinute, LV2_TIME__speed};
    const int         values[] = {6 + round, 2, 4, 4, 120, 0};
    for (int i = 0; i < 6; ++i) {
      letter_key(&letter, keys[i]);
      switch (round) {
      case 0:
        lv2_atom_forge_int(&letter.forge, values[i]);
        break;
      case 1:
        lv2_atom_forge_long(&letter.forge, values[i]);
        break;
      case 2:
        lv2_atom_forge_float(&letter.forge, (float)values[i]);
        break;
      default:
        lv2_atom_forge_double(&letter.forge, values[i]);
        break;
      }
    }
    letter_send(&letter, 0);
    scene_run(&s, 64);
    SHOWS(&s, 1, 7 + round, 3);
    SAME(s.sure, 1);
  }
  scene_end(&s);
}

/* jalv passes a broken master's bar = -2147483648 straight through. */
static void
garbage_in_a_report_is_not_shown(void **state)
{
  Scene  s;
  Report good = rolling_at(3, 1);
  (void)state;
  scene_begin(&s);
  const Report bad[] = {
    {.said     = SAY_PLAIN,
     .frame    = 1,
     .bar      = INT32_MIN,
     .speed    = 1,
     .bar_beat = 0,
     .tempo    = 120,
     .beats    = 4,
     .unit     = 4},
    {.said     = SAY_PLAIN,
     .frame    = 1,
     .bar      = 3,
     .speed    = 1,
     .bar_beat = (double)NAN,
     .tempo    = 120,
     .beats    = 4,
     .unit     = 4},
    {.said = SAY_METER, .beats = 0, .unit = 0},
    {.said = SAY_METER, .beats = -4, .unit = -4},
    {.said = SAY_TEMPO, .tempo = 0},
    {.said = SAY_TEMPO, .tempo = (double)INFINITY},
    {.said = SAY_SPEED, .speed = (double)NAN},
    {.said = SAY_BAR | SAY_BAR_BEAT, .bar = INT64_MAX, .bar_beat = -1e30},
  };
  scene_report(&s, 0, &bad[0]);
  scene_run(&s, 64);
  SHOWS(&s, 0, 0, 0);
  for (size_t i = 0; i < COUNT(bad); ++i) {
    scene_report(&s, 0, &good);
    scene_run(&s, 64);
    Report tail = bad[i];
    tail.frame  = good.frame + 64;
    scene_report(&s, 0, &tail);
    scene_play(&s, 640, 64);
    SHOWS(&s, 1, 4, 2 + 703.0 / 24000);
  }
  scene_end(&s);
}

/* Reference: chorus up to 9999, form_bar down to -9999 (scene_run() holds every output to its
 * range). */
static void
very_far_away_the_outputs_stay_in_their_ranges(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, one_chord.text);
  const Report far = parked_at(100000, 0);
  scene_report(&s, 0, &far);
  scene_run(&s, 64);
  SHOWS(&s, 9999, 1, 1);
  rl_host_set(s.host, "start_bar", 9999);
  const Report early = parked_at(-20000, 0);
  scene_report(&s, 0, &early);
  scene_run(&s, 64);
  SHOWS(&s, 0, -9999, 1);
  scene_end(&s);
}

/* ---- how sure ---- */

static void
a_place_told_by_the_host_is_sure_and_one_without_a_meter_is_less(void **state)
{
  Scene  s;
  Report bare = parked_at(2, 1);
  (void)state;
  scene_begin(&s);
  bare.said = SAY_PLACE | SAY_SPEED | SAY_TEMPO; /* nobody said how long a bar is */
  scene_report(&s, 0, &bare);
  scene_run(&s, 64);
  assert_true(s.sure < 1);
  const Report full = parked_at(2, 1);
  scene_report(&s, 0, &full);
  scene_run(&s, 64);
  SAME(s.sure, 1);
  SAME(scene_last(&s)->sure, 1);
  scene_end(&s);
}

/* Reference: from time:beat if sent; after a locate as if the present meter had held since
   start_bar, and then sure says so. The DAW: bars 1 and 2 in 4/4, 3/4 from bar 3 on; DAW bar 5
   begins on beat
   14. Without time:beat it looks like beat 12. */
static void
counted_by_beats_a_locate_is_sure_only_with_time_beat(void **state)
{
  Scene  s;
  Report located = {.said  = SAY_PLAIN,
                    .frame = 14 * 24000,
                    .bar   = 4,
                    .speed = 0,
                    .tempo = 120,
                    .beats = 3,
                    .unit  = 4};
  (void)state;
  scene_begin(&s);
  scene_chart(&s, twelve.text);
  rl_host_set(s.host, "count_by", 1);
  scene_report(&s, 0, &located);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 1);
  assert_true(s.sure > 0 && s.sure < 1);
  located.said |= SAY_BEAT;
  located.beat = 14;
  scene_report(&s, 0, &located);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 3);
  SAME(s.sure, 1);
  scene_end(&s);
}

/* A host that tells time:beat in every report, bar after bar, from the start bar on; then a locate.
 */
static void
time_beat_in_every_report_leads_to_the_bar_located(void **state)
{
  enum { BLOCK = 256, QUARTER = 12000 }; /* 240 quarters a minute */
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, twelve.text);
  rl_host_set(s.host, "count_by", 1);
  for (int64_t frame = 0; frame < (int64_t)12 * QUARTER; frame += BLOCK) {
    const double quarters = (double)frame / QUARTER;
    Report       report   = rolling_at((int64_t)(quarters / 4), fmod(quarters, 4));
    report.tempo          = 240;
    report.frame          = frame;
    report.said |= SAY_BEAT;
    report.beat = quarters;
    scene_report(&s, 0, &report);
    scene_run(&s, BLOCK);
    NEAR(s.bar, floor(((double)frame + BLOCK - 1) / QUARTER / 4) + 1, 0);
  }
  Report located = rolling_at(8, 0);
  located.tempo  = 240;
  located.frame  = (int64_t)32 * QUARTER;
  located.said |= SAY_BEAT;
  located.beat = 32;
  scene_report(&s, 0, &located);
  scene_run(&s, BLOCK);
  SAME(s.bar, 9);
  SAME(s.sure, 1);
  scene_end(&s);
}

static void
counted_while_rolling_the_beats_are_sure_across_a_change_of_meter(void **state)
{
  Scene  s;
  Report start = rolling_at(0, 0);
  Report three = rolling_at(2, 0);
  (void)state;
  scene_begin(&s);
  scene_chart(&s, twelve.text);
  rl_host_set(s.host, "count_by", 1);
  scene_report(&s, 0, &start);
  scene_play(&s, 8 * 24000, 1000);
  three.beats = 3;
  scene_report(&s, 0, &three);
  scene_play(&s, 6 * 24000 + 1, 1000);
  SHOWS(&s, 1, 4, 3);
  SAME(s.sure, 1);
  scene_end(&s);
}

/* ---- keys, chords, targets ---- */

/* Reference: the position is ((song key - harp key) * 7 mod 12) + 1: how many fifths up from the
   harp's key the song's lies, counted here. */
static void
the_position_is_how_many_fifths_the_song_lies_above_the_harp(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: Bb\n| I7 |\n");
  for (int song = 0; song <= 12; ++song) {
    for (int harp = 0; harp < 12; ++harp) {
      int fifths = 0;
      while ((harp + 7 * fifths) % 12 != (song < 12 ? song : 10)) {
        ++fifths;
      }
      rl_host_set(s.host, "song_key", (float)song);
      rl_host_set(s.host, "harp_key", (float)harp);
      scene_run(&s, 16);
      SAME(s.position, fifths + 1);
    }
  }
  scene_end(&s);
}

/* Reference, spelling: the key by name, a chord from its degree; a chart without a key counts as G,
   but then letters stand as typed. */
static void
chords_are_named_in_the_key_the_song_sounds_in(void **state)
{
  static const char *const names[12][3] = {
    {"C7", "F7", "Bb7"},   {"Db7", "Gb7", "Cb7"}, {"D7", "G7", "C7"},    {"Eb7", "Ab7", "Db7"},
    {"E7", "A7", "D7"},    {"F7", "Bb7", "Eb7"},  {"F#7", "B7", "E7"},   {"G7", "C7", "F7"},
    {"Ab7", "Db7", "Gb7"}, {"A7", "D7", "G7"},    {"Bb7", "Eb7", "Ab7"}, {"B7", "E7", "A7"}};
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: D\n| D7 | G7 | C7 |\n"); /* letters under a key: I7 IV7 bVII7 */
  for (int key = 0; key <= 12; ++key) {
    const int sounds = key < 12 ? key : 2;
    rl_host_set(s.host, "song_key", (float)key);
    for (int bar = 0; bar < 3; ++bar) {
      const Report report = parked_at(bar, 0);
      scene_report(&s, 0, &report);
      scene_run(&s, 16);
      TEXT(scene_last(&s)->now, names[sounds][bar]);
      TEXT(scene_last(&s)->next, names[sounds][(bar + 1) % 3]);
      TEXT(scene_last(&s)->now_degree, bar == 0 ? "I7" : bar == 1 ? "IV7" : "bVII7");
      SAME(scene_last(&s)->song_key, sounds);
    }
  }
  scene_chart(&s, "| D7 | G7 | C7 |\n");
  for (int key = 0; key <= 12; ++key) {
    rl_host_set(s.host, "song_key", (float)key);
    const Report report = parked_at(0, 0);
    scene_report(&s, 0, &report);
    scene_run(&s, 16);
    TEXT(scene_last(&s)->now, "D7");
    SAME(scene_last(&s)->song_key, key < 12 ? key : 7);
  }
  scene_end(&s);
}

static void
target_is(const Scene *const s, const int hole, const char *const technique,
          const char *const degree, const int note)
{
  SAME(scene_last(s)->hole, hole);
  TEXT(scene_last(s)->technique, technique);
  TEXT(scene_last(s)->degree, degree);
  SAME(scene_last(s)->note, note);
}

static void
park(Scene *const s, const int64_t bar)
{
  const Report report = parked_at(bar, 0);
  scene_report(s, 0, &report);
  scene_run(s, 16);
}

/* The cheapest line over G7 C7 by hand, with the weights of core/arrange/COSTS.md and the harps of
   core/harmony/HARPS.md.
   C harp: F5 (draw 5) to E5 (blow 5), 1 + 1 = 2; next best F4 (draw 2 bent by 2), E4 (blow 2): 4.
   G harp: F4 (draw 3 bent by 1) to E4 (draw 3 bent by 2), 1 + 2 + 1 + 1 = 5; next best B4 (blow 5),
   C5 (draw 5, the root): 6 + 1 + 1 = 8, which is what is left to a player who doesn't bend. */
static void
the_target_is_the_note_to_land_on_at_the_next_chord(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: C\n| V7 | I7 |\n");
  park(&s, 0);
  target_is(&s, 5, "blow", "3", 76);
  park(&s, 1);
  target_is(&s, 5, "draw", "b7", 77);
  rl_host_set(s.host, "harp_key", 7);
  scene_settle(&s);
  park(&s, 0);
  target_is(&s, 3, "draw2", "3", 64);
  park(&s, 1);
  target_is(&s, 3, "draw1", "b7", 65);
  rl_host_set(s.host, "bend_depth", 0);
  rl_host_set(s.host, "blow_bend_depth", 0);
  scene_settle(&s);
  park(&s, 0);
  target_is(&s, 5, "draw", "R", 72);
  scene_end(&s);
}

static void
a_new_harp_is_told_with_its_target_without_waiting_for_a_beat(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: C\n| V7 | I7 |\n");
  park(&s, 0);
  rl_host_set(s.host, "harp_key", 7);
  scene_play(&s, 64, 16);
  target_is(&s, 3, "draw2", "3", 64);
  for (size_t i = 0; i < s.places;
       ++i) { /* meanwhile none, but never the old harp's on the new one */
    const int hole = s.place[i].hole;
    assert_true(hole == 0 || hole == 5 || hole == 3);
    assert_true(hole != 5 || s.place[i].frame < 16);
  }
  scene_end(&s);
}

/* ---- switches and settings ---- */

/* Reference: off, the lamps are out; the clock and the outputs keep running. */
static void
switched_off_the_lamps_are_out_and_the_clock_goes_on(void **state)
{
  Scene        s;
  const Report start = rolling_at(0, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 6000);
  assert_true(scene_last(&s)->lit);
  rl_host_set(s.host, "enabled", 0);
  scene_run(&s, 6000);
  assert_false(scene_last(&s)->lit);
  SAME(scene_last(&s)->frame, 6000); /* at once, not at the next beat */
  scene_play(&s, 12 * 4 * 24000 - 12000 + 1, 4800);
  SHOWS(&s, 2, 1, 1);
  SAME(s.sure, 1);
  SAME(s.position, 2);
  assert_int_equal(s.places, 12 * 4 + 2);
  for (size_t i = 1; i < s.places; ++i) {
    assert_false(s.place[i].lit);
    SAME(s.place[i].frame, i == 1 ? 6000 : ((int64_t)i - 1) * 24000);
  }
  rl_host_set(s.host, "enabled", 1);
  scene_run(&s, 100);
  assert_true(scene_last(&s)->lit);
  scene_end(&s);
}

static void
loaded_switched_off_it_follows_all_the_same(void **state)
{
  Scene              s;
  const RlHostChoice choice = scene_choice(STEREO);
  const Report       start  = rolling_at(7, 0);
  (void)state;
  scene_open(&s, &choice);
  rl_host_set(s.host, "enabled", 0);
  rl_host_activate(s.host);
  scene_report(&s, 0, &start);
  scene_run(&s, 12001);
  SHOWS(&s, 1, 8, 1.5);
  assert_false(scene_last(&s)->lit);
  scene_end(&s);
}

static void
faster_than_real_time_the_place_is_the_same(void **state)
{
  static const Journey journey = {"export", &played_lead_in, AT_118(in_four), 3, 0, 0, 0, 900000};
  Scene                s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, journey.model->text);
  rl_host_set(s.host, "freewheel", 1);
  for (size_t i = 0; i < COUNT(manners); ++i) {
    journey_make(&s, &journey, &manners[i]);
  }
  scene_end(&s);
}

static void
the_mono_plugin_follows_too(void **state)
{
  static const Journey journey = {"mono", &crooked, AT_110(in_four), 2, 1, 0, 0, 500000};
  Scene                s;
  (void)state;
  const RlHostChoice choice = scene_choice(MONO);
  scene_open(&s, &choice);
  rl_host_activate(s.host);
  scene_settle(&s);
  scene_chart(&s, journey.model->text);
  for (size_t i = 0; i < COUNT(manners); ++i) {
    journey_make(&s, &journey, &manners[i]);
  }
  scene_end(&s);
}

static void
a_setting_that_changes_while_rolling_holds_at_once(void **state)
{
  Scene        s;
  const Report start = rolling_at(8, 0);
  (void)state;
  scene_begin(&s);
  scene_chart(&s, crooked.text); /* 14 beats a chorus, 4 of lead-in */
  scene_report(&s, 0, &start);
  scene_run(&s, 1);
  SHOWS(&s, 2, 4, 1); /* bar by bar: bar 9 of the DAW, one of lead-in, the eighth bar of the form */
  rl_host_set(s.host, "start_bar", 5);
  scene_run(&s, 24000);
  SHOWS(&s, 1, 4, 2);
  SAME(s.place[1].frame, 1);
  SAME(s.place[1].bar, 4);
  rl_host_set(s.host, "count_by", 1);
  scene_run(&s, 1);
  SHOWS(&s, 1, 4, 4 + 1.0 / 24000); /* 16 + 1 beats after the start, 13 after bar 1 */
  rl_host_set(s.host, "start_bar", 9);
  scene_run(&s, 1);
  SHOWS(&s, 0, -1, 2 + 2.0 / 24000);
  scene_end(&s);
}

/* A chart set while the music runs: it takes over where the music is, with no stop in between. */
static void
a_chart_that_comes_while_rolling_takes_over_where_the_music_is(void **state)
{
  Scene        s;
  const Report start = rolling_at(5, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 12000);
  SHOWS(&s, 1, 6, 1.5 - 1.0 / 24000);
  scene_send(&s, 0, "chart", "key: C\n| I7 | IV7 | V7 | N.C. |\n");
  scene_play(&s, 12001, 100);
  SHOWS(&s, 2, 2, 2);
  TEXT(scene_last(&s)->now, "F7");
  TEXT(scene_last(&s)->next, "G7");
  SAME(scene_last(&s)->frame, 24000);
  for (size_t i = 0; i < s.places; ++i) {
    assert_true(s.place[i].rolling);
    assert_true(s.place[i].bar == 6 || s.place[i].bar == 2);
  }
  scene_end(&s);
}

/* Hosts pass what automation says. scene_run() holds every output to its range. */
static void
wild_values_in_the_control_ports_do_no_harm(void **state)
{
  static const char *const ports[] = {
    "enabled",    "freewheel",       "song_key",  "harp_key", "harp_register", "tuning",
    "start_bar",  "count_by",        "clock",     "tap",      "bar_one",       "stop",
    "bend_depth", "blow_bend_depth", "overblows", "send_osc", "capture"};
  static const float wild[] = {NAN,  INFINITY, -INFINITY, 1e30F, -1e30F,
                               0.5F, -0.0F,    1e-40F,    12.5F, 11.49F};
  Scene              s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(0, 0);
  scene_report(&s, 0, &start);
  for (int i = 0; i < 2000; ++i) {
    rl_host_set(s.host, ports[(size_t)i % COUNT(ports)], wild[(size_t)(i * 7) % COUNT(wild)]);
    scene_run(&s, 1 + (uint32_t)i % 500);
  }
  for (size_t i = 0; i < COUNT(ports); ++i) {
    rl_host_set(s.host, ports[i],
                !strcmp(ports[i], "enabled") || !strcmp(ports[i], "start_bar") ? 1 : 0);
  }
  rl_host_set(s.host, "song_key", 12);
  rl_host_deactivate(s.host);
  rl_host_activate(s.host);
  scene_settle(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 24001);
  SHOWS(&s, 1, 1, 2);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(three_choruses_are_followed_to_the_frame),
    cmocka_unit_test(the_start_bar_is_where_the_form_falls),
    cmocka_unit_test(a_lead_in_leads_in_with_its_chords_or_without),
    cmocka_unit_test(a_chart_in_another_meter_fits_the_bars_of_the_daw),
    cmocka_unit_test(counted_by_beats_the_form_keeps_its_own_bars),
    cmocka_unit_test(after_the_choruses_comes_the_ending_and_then_nothing),
    cmocka_unit_test(a_pre_roll_counts_bars_and_frames_below_nothing),
    cmocka_unit_test(without_a_report_everything_is_nothing_but_the_position),
    cmocka_unit_test(frame_and_speed_without_a_bar_say_nothing_about_the_place),
    cmocka_unit_test(a_run_of_no_frames_takes_in_a_report_and_moves_nothing),
    cmocka_unit_test(a_block_may_hold_many_reports_and_each_counts_from_its_frame),
    cmocka_unit_test(of_several_reports_at_one_frame_the_last_holds),
    cmocka_unit_test(a_report_one_past_the_end_of_the_block_is_not_lost),
    cmocka_unit_test(an_event_far_outside_the_block_does_not_make_time_run),
    cmocka_unit_test(fields_that_are_left_out_keep_what_they_said),
    cmocka_unit_test(stopped_or_located_the_place_is_where_the_transport_is_parked),
    cmocka_unit_test(a_move_within_one_beat_is_told_too),
    cmocka_unit_test(a_window_that_opens_between_two_beats_hears_where_the_music_is),
    cmocka_unit_test(parked_a_hair_before_the_bar_line_the_beat_is_still_in_the_bar),
    cmocka_unit_test(a_loop_goes_back_at_the_frame_it_is_told),
    cmocka_unit_test(a_loop_that_splits_the_block_is_followed),
    cmocka_unit_test(a_locate_while_rolling_parks_first_and_then_goes_on_elsewhere),
    cmocka_unit_test(deactivated_and_activated_again_it_waits_for_a_report),
    cmocka_unit_test(half_speed_takes_twice_the_frames),
    cmocka_unit_test(a_tempo_that_changes_inside_a_block_changes_there),
    cmocka_unit_test(a_tempo_that_no_float_holds_is_followed_to_the_frame_next_to_it),
    cmocka_unit_test(numbers_of_any_type_are_understood),
    cmocka_unit_test(garbage_in_a_report_is_not_shown),
    cmocka_unit_test(very_far_away_the_outputs_stay_in_their_ranges),
    cmocka_unit_test(a_place_told_by_the_host_is_sure_and_one_without_a_meter_is_less),
    cmocka_unit_test(counted_by_beats_a_locate_is_sure_only_with_time_beat),
    cmocka_unit_test(time_beat_in_every_report_leads_to_the_bar_located),
    cmocka_unit_test(counted_while_rolling_the_beats_are_sure_across_a_change_of_meter),
    cmocka_unit_test(the_position_is_how_many_fifths_the_song_lies_above_the_harp),
    cmocka_unit_test(chords_are_named_in_the_key_the_song_sounds_in),
    cmocka_unit_test(the_target_is_the_note_to_land_on_at_the_next_chord),
    cmocka_unit_test(a_new_harp_is_told_with_its_target_without_waiting_for_a_beat),
    cmocka_unit_test(switched_off_the_lamps_are_out_and_the_clock_goes_on),
    cmocka_unit_test(loaded_switched_off_it_follows_all_the_same),
    cmocka_unit_test(faster_than_real_time_the_place_is_the_same),
    cmocka_unit_test(the_mono_plugin_follows_too),
    cmocka_unit_test(a_setting_that_changes_while_rolling_holds_at_once),
    cmocka_unit_test(a_chart_that_comes_while_rolling_takes_over_where_the_music_is),
    cmocka_unit_test(wild_values_in_the_control_ports_do_no_harm),
  };
  return cmocka_run_group_tests_name("plugin/follow", tests, NULL, NULL);
}
