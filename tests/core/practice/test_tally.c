/* SPDX-License-Identifier: ISC */
/* The tally held against lessons whose hits and misses are known from how they were made, and
   against what must hold of any notes. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "lesson.h"

#include "core/chart/chart.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static Lesson lesson;

static RlTally
counted(const Lesson *const l, const double from, const double to)
{
  const RlTallySong song = {&l->form, l->key, &l->line, &l->lane};
  return rl_tally_of(&song, from, to, l->note, l->notes);
}

static void
same(const RlTally *const got, const RlTally *const want)
{
  assert_int_equal(got->bars, want->bars);
  assert_int_equal(got->notes, want->notes);
  assert_int_equal(got->targets, want->targets);
  assert_int_equal(got->targets_hit, want->targets_hit);
  assert_int_equal(got->strong, want->strong);
  assert_int_equal(got->strong_chord, want->strong_chord);
  assert_int_equal(got->planned, want->planned);
  assert_int_equal(got->planned_hit, want->planned_hit);
  assert_int_equal(got->bends, want->bends);
  assert_int_equal(got->timed, want->timed);
  assert_memory_equal(got->role, want->role, sizeof(want->role));
  assert_true(fabs(got->bend_cents - want->bend_cents) < 1e-6);
  assert_true(fabs(got->behind_beats - want->behind_beats) < 1e-9);
  assert_true(fabs(got->behind_ms - want->behind_ms) < 1e-4);
}

static void
a_lesson_comes_out_as_it_was_made(void **state)
{
  (void)state;
  for (unsigned seed = 1; seed <= 200; ++seed) {
    lesson_make(&lesson, seed, 60 + seed);
    assert_int_equal(lesson.form.changes, 67);
    for (int chorus = 0; chorus < LESSON_CHORUSES; ++chorus) {
      const double  length = lesson_chorus(&lesson);
      const RlTally got    = counted(&lesson, chorus * length, (chorus + 1) * length);
      same(&got, &lesson.truth[chorus]);
    }
  }
}

/* Two halves of a chorus, parted where nothing sounds, come to the whole. */
static void
halves_add_up_to_the_whole(void **state)
{
  (void)state;
  lesson_make(&lesson, 7, 90);
  const double length = lesson_chorus(&lesson);
  for (int bar = 1; bar < lesson.form.bars; ++bar) {
    const RlTally a = counted(&lesson, 0, 4.0 * bar), b = counted(&lesson, 4.0 * bar, length);
    const RlTally all = counted(&lesson, 0, length);
    assert_int_equal(a.bars + b.bars, all.bars);
    assert_int_equal(a.notes + b.notes, all.notes);
    assert_int_equal(a.targets + b.targets, all.targets);
    assert_int_equal(a.targets_hit + b.targets_hit, all.targets_hit);
    assert_int_equal(a.planned_hit + b.planned_hit, all.planned_hit);
    assert_int_equal(a.strong_chord + b.strong_chord, all.strong_chord);
    assert_int_equal(a.bends + b.bends, all.bends);
  }
}

/* Whatever is heard, no more is hit than there is, and silence hits nothing. */
static void
nothing_is_hit_that_was_not_there(void **state)
{
  (void)state;
  lesson_make(&lesson, 9, 120);
  for (int round = 0; round < 300; ++round) {
    lesson.notes = round;
    for (int i = 0; i < round; ++i) {
      const double at = lesson_chorus(&lesson) * i / round;
      lesson.note[i]  = (RlHeardNote){at,
                                      at + (rand() % 40) * 0.1,
                                      120,
                                      (float)(rand() % 90),
                                      1,
                                      1,
                                      (uint8_t)(rand() % RL_TECHNIQUES),
                                      (uint8_t)(60 + rand() % 36)};
    }
    const RlTally t     = counted(&lesson, 0, lesson_chorus(&lesson));
    int           roles = 0;
    for (int role = 0; role < RL_ROLES; ++role) {
      roles += t.role[role];
    }
    assert_int_equal(roles, t.notes);
    assert_in_range(t.targets_hit, 0, t.targets);
    assert_in_range(t.planned_hit, 0, t.planned);
    assert_true(t.strong <= t.notes && t.strong_chord <= t.strong && t.timed <= t.notes);
    assert_true(t.notes <= round && t.notes >= round - 1); /* one may be of the next chorus */
    assert_true(t.notes || (!t.targets_hit && !t.planned_hit));
    assert_true(fabs(t.behind_beats) <= 0.25 + 1e-9);
  }
}

/* A chord that goes on from the chorus before does not come again. */
static void
a_chord_comes_where_it_changes(void **state)
{
  (void)state;
  static RlTargetLineWorkspace scratch;
  RlChartError                 error;
  lesson_make(&lesson, 1, 100);
  assert_true(
    rl_chart_read(rl_slice("key: G\nmeter: 3/4\n| I7 | IV7 | I7 |\n"), &lesson.form, &error));
  rl_target_line_find(&lesson.form, lesson.key, &lesson.harp, lesson.player, &scratch,
                      &lesson.line);
  lesson.notes      = 0;
  lesson.lane.notes = 0;
  assert_int_equal(counted(&lesson, 0, 9).targets, 3);
  assert_int_equal(counted(&lesson, 9, 18).targets, 2);
  assert_int_equal(counted(&lesson, 12, 18).targets, 2);
  assert_int_equal(counted(&lesson, 15, 18).targets, 1);
}

/* In 12/8 beats 1 and 3 of the four felt ones are strong, in 3/4 the first. */
static void
strong_beats_are_those_of_the_meter(void **state)
{
  (void)state;
  static const struct {
    const char *chart;
    double      step; /* quarters between felt beats */
    int         beats, strong;
  } meters[] = {{"key: G\nmeter: 12/8\n| I7 |\n", 1.5, 4, 2},
                {"key: G\nmeter: 3/4\n| I7 |\n", 1, 3, 1},
                {"key: G\nmeter: 4/4\n| I7 |\n", 1, 4, 2},
                {"key: G\nmeter: 6/8\n| I7 |\n", 1.5, 2, 1},
                {"key: G\nmeter: 5/4\n| I7 |\n", 1, 5, 1}};
  RlChartError error;
  for (size_t m = 0; m < sizeof(meters) / sizeof(meters[0]); ++m) {
    lesson_make(&lesson, 1, 100);
    assert_true(rl_chart_read(rl_slice(meters[m].chart), &lesson.form, &error));
    lesson.lane.notes = 0;
    lesson.notes      = meters[m].beats;
    for (int i = 0; i < lesson.notes; ++i) {
      lesson.note[i] = (RlHeardNote){
        i * meters[m].step + 0.02, i * meters[m].step + 0.5, 100, 0, 1, 3, RL_DRAW, 71};
    }
    const RlTally t = counted(&lesson, 0, meters[m].beats * meters[m].step);
    assert_int_equal(t.strong, meters[m].strong);
    assert_int_equal(t.strong_chord, meters[m].strong);
    assert_int_equal(t.timed, meters[m].beats);
    assert_int_equal(t.role[RL_ROLE_THIRD], meters[m].beats);
    assert_true(fabs(t.behind_ms - 0.02 * 600) < 1e-6);
    assert_true(fabs(t.behind_beats - 0.02 / meters[m].step) < 1e-9);
  }
}

/* The standard deviation of -10, 0, 10 is the root of 200 / 3. */
static void
bends_have_a_mean_and_a_spread(void **state)
{
  (void)state;
  lesson_make(&lesson, 1, 100);
  lesson.notes = 3;
  for (int i = 0; i < 3; ++i) {
    lesson.note[i] = (RlHeardNote){1.4 + i, 1.6 + i, 100, (float)(10 * i - 4), 1, 3, RL_DRAW_1, 70};
  }
  const RlTally t = counted(&lesson, 0, 8);
  assert_int_equal(t.bends, 3);
  assert_true(fabs(t.bend_cents - 6) < 1e-6);
  assert_true(fabs(t.bend_spread - sqrt(200.0 / 3)) < 1e-6);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_lesson_comes_out_as_it_was_made),
    cmocka_unit_test(halves_add_up_to_the_whole),
    cmocka_unit_test(nothing_is_hit_that_was_not_there),
    cmocka_unit_test(a_chord_comes_where_it_changes),
    cmocka_unit_test(strong_beats_are_those_of_the_meter),
    cmocka_unit_test(bends_have_a_mean_and_a_spread),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
