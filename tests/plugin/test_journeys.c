/* SPDX-License-Identifier: ISC */
/* The main job: a host's transport in, the place in the form out, at every block's end on the ports
   and at the exact frame of every beat on `notify`. Judged by song_model.h. Sources:
   plugin/PORTS.md; the LV2 time vocabulary (lv2plug.in/ns/ext/time: bars from 0, beats of beatUnit,
   beatsPerMinute in those beats); runs of real hosts on Debian 12 (core/clock/CLOCK.md) for their
   manners. */
#include "song_model.h"

#include <math.h>
#include <stdio.h>

typedef struct {
  uint32_t block; /* 0: by chance, up to 3000 */
  bool     every; /* a report in every block, not only where something changes */
} Manner;

static Walk walk;

static void
outputs_agree(const Scene *const s, const int64_t tick)
{
  const Playing *const p = model_playing_at(&walk, tick);
  if (p->slot.part == RL_PART_OVER) { /* reference: 0 when the song is over */
    SAME(s->bar, 0);
    SAME(s->beat, 0);
  } else {
    const double beat = s->beat;
    SHOWS(s, p->slot.chorus, p->slot.bar, 1 + model_beat_at(p, tick));
    assert_true(beat >= 1 && beat < p->slot.meter->beats + 1);
  }
}

/* Reference: 1 told by the host; count_by 1 without time:beat is sure from the start bar on. */
static void
sure_agrees(const Journey *const j, const double sure, const int64_t tick)
{
  const int64_t start   = model_bar_line(&j->daw, j->start_bar - 1);
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
  const int64_t        tick = begin + told->frame * j->daw.ticks;
  const Playing *const p =
    model_playing_at(&walk, tick + j->daw.ticks / 32); /* a hair early is on time */
  const double            beat  = fmax(0, model_beat_at(p, tick));
  const double            whole = floor(beat + 1e-6);
  const ModelChord *const now   = model_chord_on(&p->slot, whole);
  double                  to_next;
  const ModelChord *const next = model_chord_after(j->model, p->n, whole, &to_next);
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
    const Report report = model_report_at(&j->daw, frame);
    scene_report(s, 0, &report);
  }
  for (int i = 1; i < j->daw.meters; ++i) { /* where the meter changes */
    const int64_t line   = model_bar_line(&j->daw, j->daw.meter[i].bar);
    const int64_t offset = (line + j->daw.ticks - 1) / j->daw.ticks - frame;
    if (offset >= 0 && offset < (int64_t)frames && (offset > 0 || !(every || s->now == 0))) {
      const Report report = model_report_at(&j->daw, frame + offset);
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
  const int64_t tick =
    model_bar_line(&j->daw, j->from) +
    llround(j->beat * (double)j->daw.quarter * 4 / model_meter_of(&j->daw, j->from)->unit);
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
  model_walk(&walk, j, begin, end);
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
    {"from the top", &model_twelve, AT_120(in_four), 1, 0, 0, 0, 3 * CHORUS_120 + 50000},
    {"beats between frames", &model_twelve, AT_110(in_four), 1, 0, 0, 0, 900000},
    {"beats between frames again", &model_twelve, AT_118(in_four), 1, 0, 0, 0, 900000},
    {"in the middle of a beat", &model_twelve, AT_90(in_four), 1, 0, 30, 2.625, 600000},
    {"fast", &model_twelve, AT_480(in_four), 1, 0, 0, 0, 12 * 4 * 6000 * 3 + 1},
    {"no chord for a while", &model_stop_time, AT_480(in_four), 1, 0, 0, 0, 200000},
    {"nothing but one chord", &model_one_chord, AT_480(in_three), 1, 0, 0, 0, 200000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

static void
the_start_bar_is_where_the_form_falls(void **state)
{
  static const Journey journeys[] = {
    {"before the start", &model_twelve, AT_480(in_four), 5, 0, 0, 0, 500000},
    {"far before it", &model_twelve, AT_480(in_four), 40, 0, 31, 1, 500000},
    {"behind it", &model_twelve, AT_480(in_four), 3, 0, 100, 0, 300000},
    {"a start bar before the DAW's first", &model_twelve, AT_480(in_four), -6, 0, 0, 0, 300000},
    {"bar 0 is the one before bar 1", &model_twelve, AT_480(in_four), 0, 0, 0, 0, 100000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: start_bar is the DAW bar where the lead-in falls. */
static void
a_lead_in_leads_in_with_its_chords_or_without(void **state)
{
  static const Journey journeys[] = {
    {"without chords", &model_silent_lead_in, AT_480(in_four), 1, 0, 0, 0, 500000},
    {"without chords, from before", &model_silent_lead_in, AT_480(in_four), 4, 0, 1, 0, 400000},
    {"with chords", &model_played_lead_in, AT_480(in_four), 1, 0, 0, 0, 500000},
    {"with chords, from before", &model_played_lead_in, AT_480(in_four), 5, 0, 2, 3.5, 500000},
    {"by beats", &model_played_lead_in, AT_480(in_four), 5, 1, 2, 0, 500000},
    {"by beats without chords", &model_silent_lead_in, AT_480(in_four), 5, 1, 2, 0, 500000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: count_by 0, the DAW bar's fraction times the form bar's own beats. */
static void
a_chart_in_another_meter_fits_the_bars_of_the_daw(void **state)
{
  static const Journey journeys[] = {
    {"12/8 under a DAW in 4/4", &model_twelve_eight, AT_120(in_four), 1, 0, 0, 0, 1000000},
    {"12/8 under a DAW in 12/8", &model_twelve_eight, AT_120(in_twelve_eight), 1, 0, 0, 0, 1000000},
    {"12/8 under a DAW in 3/4", &model_twelve_eight, AT_90(in_three), 2, 0, 0, 0, 500000},
    {"4/4 under a DAW in 6/8", &model_twelve, AT_120(in_six_eight), 1, 0, 0, 0, 500000},
    {"4/4 under a DAW in 2/2", &model_twelve, AT_120(in_two_two), 1, 0, 0, 0, 500000},
    {"a 2/4 bar has the DAW's whole bar", &model_crooked, AT_120(in_four), 1, 0, 0, 0, 700000},
    {"a DAW that changes its meter", &model_twelve, AT_120(seven_for_a_bar), 1, 0, 0, 0, 800000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Reference: count_by 1, DAW beats as quarter notes laid along the form's own bars. */
static void
counted_by_beats_the_form_keeps_its_own_bars(void **state)
{
  static const Journey journeys[] = {
    {"a 2/4 bar is two beats", &model_crooked, AT_120(in_four), 1, 1, 0, 0, 1400000},
    {"from before the start", &model_crooked, AT_120(in_four), 3, 1, 1, 2, 1000000},
    {"12/8 under a DAW in 4/4", &model_twelve_eight, AT_120(in_four), 1, 1, 0, 0, 1000000},
    {"every bar in another meter", &model_motley, AT_120(in_four), 1, 1, 0, 0, 1000000},
    {"a DAW in 6/8", &model_motley, AT_120(in_six_eight), 2, 1, 0, 0, 1000000},
    {"a DAW that changes its meter", &model_twelve, AT_120(seven_for_a_bar), 1, 1, 0, 0, 800000},
    {"and its unit", &model_crooked, AT_120(four_to_six), 2, 1, 1, 0, 800000},
    {"beats between frames", &model_motley, AT_110(in_four), 1, 1, 0, 0, 700000},
    {"after a locate, in a DAW that keeps its meter", &model_crooked, AT_120(in_four), 2, 1, 9, 1.5,
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
    {"bar by bar", &model_ended, AT_120(in_four), 1, 0, 0, 0, 1000000},
    {"by beats", &model_ended, AT_120(in_four), 1, 1, 0, 0, 1000000},
    {"from the middle of the ending", &model_ended, AT_120(in_four), 1, 0, 6, 3, 300000},
    {"long after", &model_ended, AT_120(in_four), 1, 0, 60, 3, 300000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

/* Export in Ardour begins with a negative frame; other hosts count bars below 0 in a pre-roll. */
static void
a_pre_roll_counts_bars_and_frames_below_nothing(void **state)
{
  static const Journey journeys[] = {
    {"two bars", &model_twelve, AT_120(in_four), 1, 0, -2, 0, 500000},
    {"768 frames", &model_twelve, AT_120(in_four), 1, 0, -1, 4 - 768.0 / 24000, 100000},
    {"into a lead-in", &model_played_lead_in, AT_120(in_four), 1, 0, -3, 1, 900000},
    {"by beats", &model_crooked, AT_120(in_four), 1, 1, -2, 2.5, 500000},
    {"a start bar below nothing", &model_twelve, AT_120(in_four), -3, 0, -9, 0, 900000},
  };
  (void)state;
  journeys_make(journeys, COUNT(journeys));
}

static void
faster_than_real_time_the_place_is_the_same(void **state)
{
  static const Journey journey = {"export", &model_played_lead_in, AT_118(in_four), 3, 0, 0, 0,
                                  900000};
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
  static const Journey journey = {"mono", &model_crooked, AT_110(in_four), 2, 1, 0, 0, 500000};
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
    cmocka_unit_test(faster_than_real_time_the_place_is_the_same),
    cmocka_unit_test(the_mono_plugin_follows_too),
  };
  return cmocka_run_group_tests_name("plugin/journeys", tests, NULL, NULL);
}
