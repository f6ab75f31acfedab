/* SPDX-License-Identifier: ISC */
/* A phrase written down from the track while the song is followed by ear: the grid is the one that
   was heard, at a tempo the host does not know. The record is a synthetic horn over the band of
   ear_scene.h. Source: core/capture/TAKES.md, "From the track". */
#include "ear_scene.h"

#include "core/abc/abc.h"
#include "core/arrange/plan.h"
#include "tests/core/ear/horn.h"

#include <stdlib.h>
#include <time.h>

enum { HIGHER = 2 /* half steps: the line is over G7, the song begins with A7 */, FIRST = 8 };

static const float loud = 0.2F;

static RlPlan   takes;
static RlPhrase phrase;

/* The line, from that beat of the record on. */
static void
horn_add(Ear *const e, const int beat)
{
  for (int i = 0; i < HORN_NOTES; ++i) {
    const double slower = (double)HORN_TEMPO / TEMPO, begins = beat * 60.0 / TEMPO;
    horn_tone(e->sound, e->rate, begins + horn_on(i) * slower, begins + horn_off(i) * slower,
              horn_line[i][2] + HIGHER, loud, 5);
  }
}

/* The horn in bars 1 and 2 of the second chorus, and in 5 and 6. */
static void
begin(Ear *const e)
{
  ear_begin(e);
  rl_host_set(e->s.host, "capture_from", 2);
  horn_add(e, BEATS);
  horn_add(e, BEATS + 16);
}

static void
play_until(Ear *const e, const double beat)
{
  ear_play(e, beat * 60 / TEMPO - (double)e->at / e->rate);
}

static void
await_takes(Ear *const e, const int count)
{
  const struct timespec pause = {0, 5000000};
  RlPlanError           error;
  takes.phrase_count = 0;
  for (int i = 0; i < 4000 && takes.phrase_count < count; ++i) {
    assert_true(rl_plan_read(rl_slice(scene_ask(&e->s, "take")), &phrase, &takes, &error));
    nanosleep(&pause, NULL);
  }
  assert_int_equal(takes.phrase_count, count);
}

/* The newest take is the line, on that bar, each note on its twelfth; swing that wide is written as
   straight eighths. */
static void
is_the_line(const int bar)
{
  const RlPlanned *const p = &takes.planned[takes.planned_count - 1];
  rl_plan_phrase(&takes, p->phrase, &phrase);
  assert_int_equal(p->bar, bar);
  assert_int_equal(phrase.notes, HORN_NOTES);
  for (int i = 0; i < HORN_NOTES; ++i) {
    const int twelfth = horn_line[i][0];
    assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[i]), horn_line[i][2] + HIGHER);
    assert_int_equal(phrase.note[i].at,
                     (twelfth % 12 == 8 ? twelfth - 2 : twelfth) * (RL_TICKS / 12));
  }
}

static void
lift(Ear *const e, const char *const bars)
{
  scene_send(&e->s, 0, "lift", bars);
  ear_block(e, BLOCK);
}

/* Chosen bars, what was just heard, and armed: all on the bars that were heard. */
static void
on_the_bars_that_were_heard(void **const state)
{
  (void)state;
  Ear e;
  begin(&e);
  ear_find(&e, 20);
  play_until(&e, BEATS + FIRST + 1);
  assert_true(ear_error(&e) < 0.2);
  lift(&e, "bars: 1-2");
  await_takes(&e, 1);
  is_the_line(1);
  rl_host_set(e.s.host, "keep_last_length", 1);
  ear_press(&e, "keep_last");
  await_takes(&e, 2);
  is_the_line(1);
  play_until(&e, BEATS + 15);
  ear_press(&e, "capture");
  play_until(&e, BEATS + 24);
  ear_press(&e, "capture");
  await_takes(&e, 3);
  is_the_line(5);
  ear_end(&e);
}

static void
locate(Ear *const e, const double beat)
{
  e->at = (int64_t)(beat * 60 / TEMPO * e->rate);
}

/* A place that nobody has heard yet is none: nothing was kept, and the problem says what to do. */
static void
nothing_before_the_place_is_known(void **const state)
{
  (void)state;
  Ear e;
  begin(&e);
  ear_play(&e, 0.5);
  assert_false(ear_placed(&e));
  lift(&e, "bars: 1-2");
  HAS(scene_ask(&e.s, "problem"), "lift: bars 1 to 2: ");
  assert_string_equal(scene_ask(&e.s, "take"), "");
  ear_end(&e);
}

/* Armed over a loop whose ends are no bar lines: a take for every pass, on the bars it was heard
   on, the first notes of each too. */
static void
a_loop_gives_a_take_for_every_pass(void **const state)
{
  (void)state;
  Ear e;
  begin(&e);
  ear_find(&e, 20);
  play_until(&e, BEATS - 1.3);
  ear_press(&e, "capture");
  for (int pass = 1; pass <= 3; ++pass) {
    play_until(&e, BEATS + FIRST + 1.4);
    locate(&e, BEATS - 1.3);
  }
  ear_play(&e, 0.2);
  await_takes(&e, 3);
  for (int take = 1; take <= 3; ++take) {
    takes.planned_count = (uint16_t)take;
    is_the_line(1);
  }
  ear_end(&e);
}

/* The host stops and starts in the middle of the line: each half is another run, and what was
   heard in one go counts. */
static void
a_stop_divides(void **const state)
{
  (void)state;
  Ear e;
  begin(&e);
  ear_find(&e, 20);
  play_until(&e, BEATS + 5);
  e.rolls = false;
  ear_play(&e, 1);
  e.rolls = true;
  play_until(&e, BEATS + 15);
  lift(&e, "bars: 1-2");
  HAS(scene_ask(&e.s, "problem"), "lift: bars 1 to 2: ");
  play_until(&e, BEATS + 16 + FIRST + 1);
  lift(&e, "bars: 5-6");
  await_takes(&e, 1);
  is_the_line(5);
  ear_end(&e);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(on_the_bars_that_were_heard),
    cmocka_unit_test(nothing_before_the_place_is_known),
    cmocka_unit_test(a_loop_gives_a_take_for_every_pass),
    cmocka_unit_test(a_stop_divides),
  };
  return cmocka_run_group_tests_name("lifted by ear", tests, NULL, NULL);
}
