/* SPDX-License-Identifier: ISC */
/* The parts of the clock one by one: arithmetic in bars, the line and its count, which fields of a
   report hold, what happened since the last, and ticks. Sources: the headers of core/clock; what
   Ardour 7.3 sends, measured (core/clock/README.md). */
#include "core/clock/bars.h"
#include "core/clock/line.h"
#include "core/clock/meter.h"
#include "core/clock/report.h"
#include "core/clock/tempo.h"
#include "core/clock/ticks.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

enum { RATE = 48000 };

static RlClock
clock_in(const double beats_per_bar, const int unit)
{
  RlClock c;
  rl_clock_init(&c, RATE);
  c.beats_per_bar = beats_per_bar;
  c.unit          = unit;
  return c;
}

static void
assert_place(const RlBarBeat place, const int64_t bar, const double beat)
{
  assert_int_equal(place.bar, bar);
  assert_true(fabs(place.beat - beat) < 1e-9);
}

/* ---- bars ---- */

static void
beats_of_an_eighth_are_half_a_quarter(void **state)
{
  const RlClock c = clock_in(12, 8);
  (void)state;
  assert_true(rl_clock_quarters(&c, 3) == 1.5);
  assert_true(rl_clock_beats(&c, 1.5) == 3);
}

static void
a_place_is_carried_over_bar_lines_both_ways(void **state)
{
  const RlClock c = clock_in(3, 4);
  (void)state;
  assert_place(rl_clock_carry(&c, (RlBarBeat){2, 7.5}), 4, 1.5);
  assert_place(rl_clock_carry(&c, (RlBarBeat){2, -0.5}), 1, 2.5);
  assert_place(rl_clock_carry(&c, (RlBarBeat){2, 3}), 3, 0);
  assert_place(rl_clock_move(&c, (RlBarBeat){0, 1}, -7), -2, 0);
}

static void
a_beat_stays_below_the_bars_end_by_rounding_too(void **state)
{
  const RlClock c = clock_in(4, 4);
  (void)state;
  const RlBarBeat place = rl_clock_carry(&c, (RlBarBeat){5, -DBL_EPSILON / 8});
  assert_place(place, 5, 0);
}

static void
a_distance_is_in_quarters_and_negative_backwards(void **state)
{
  const RlClock c = clock_in(7, 8);
  (void)state;
  assert_true(rl_clock_distance(&c, (RlBarBeat){1, 6}, (RlBarBeat){3, 2}) == 5);
  assert_true(rl_clock_distance(&c, (RlBarBeat){3, 2}, (RlBarBeat){1, 6}) == -5);
}

/* ---- the line ---- */

static void
a_line_stands_still_for_its_hold_and_then_moves(void **state)
{
  RlClock c = clock_in(4, 4);
  (void)state;
  c.rolling   = true;
  c.per_frame = 1.0 / 24000;
  rl_clock_line_set(&c, (RlBarBeat){1, 2}, 6, 1000);
  assert_place(rl_clock_line_place(&c, 0), 1, 2);
  assert_place(rl_clock_line_place(&c, 1000), 1, 2);
  assert_place(rl_clock_line_place(&c, 25000), 1, 3);
  rl_clock_advance(&c, 25000);
  assert_place(rl_clock_line_place(&c, 24000), 2, 0);
}

static void
the_count_goes_on_along_the_line(void **state)
{
  RlClock c = clock_in(6, 8);
  (void)state;
  rl_clock_line_set(&c, (RlBarBeat){10, 4}, 100, 0);
  assert_true(rl_clock_line_count(&c, (RlBarBeat){10, 4}) == 100);
  assert_true(rl_clock_line_count(&c, (RlBarBeat){11, 0}) == 101);
  assert_true(rl_clock_count_by_bars(&c, (RlBarBeat){11, 0}) == 33);
}

static void
the_count_is_put_right_where_the_line_passes_the_start_bar(void **state)
{
  RlClock c = clock_in(4, 4);
  (void)state;
  c.start_bar = 12;
  c.sure      = rl_clock_told;
  rl_clock_line_set(&c, (RlBarBeat){10, 0}, 0, 0);
  assert_false(rl_clock_line_passes_start(&c, 11));
  assert_true(rl_clock_line_miscount(&c, 11) == 0);
  assert_true(rl_clock_line_passes_start(&c, 12));
  assert_true(rl_clock_line_miscount(&c, 12) == 8);
  rl_clock_line_recount(&c, 12);
  assert_true(rl_clock_line_count(&c, (RlBarBeat){12, 0}) == 0);
  assert_true(c.quarters_sure == rl_clock_told);
}

/* ---- reports ---- */

static void
fields_that_cannot_be_are_dropped_and_others_kept(void **state)
{
  static const struct {
    RlReport report;
    unsigned kept;
  } cases[] = {
    {{.said = RL_SAID_SPEED, .speed = NAN}, 0},
    {{.said = RL_SAID_SPEED, .speed = -1}, RL_SAID_SPEED},
    {{.said = RL_SAID_TEMPO, .tempo = 0}, 0},
    {{.said = RL_SAID_TEMPO, .tempo = INFINITY}, 0},
    {{.said = RL_SAID_BEAT_UNIT, .beat_unit = 3}, 0},
    {{.said = RL_SAID_BEAT_UNIT, .beat_unit = 16}, RL_SAID_BEAT_UNIT},
    {{.said = RL_SAID_BEATS_PER_BAR, .beats_per_bar = 0}, 0},
    {{.said = RL_SAID_FRAME, .frame = -768}, RL_SAID_FRAME},
    {{.said = RL_SAID_FRAME, .frame = INT64_MIN}, 0},
    {{.said = RL_SAID_BEAT, .beat = -INFINITY}, 0},
    /* a broken timebase master's bar: its beat is garbage too */
    {{.said = RL_SAID_BAR | RL_SAID_BAR_BEAT | RL_SAID_SPEED, .bar = INT32_MIN, .bar_beat = 1},
     RL_SAID_SPEED},
    {{.said = RL_SAID_BAR | RL_SAID_BAR_BEAT, .bar = 3, .bar_beat = NAN}, 0},
  };
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    RlReport r      = cases[i].report;
    r.beat_unit     = r.beat_unit ? r.beat_unit : 4;
    r.beats_per_bar = r.said & RL_SAID_BEATS_PER_BAR ? r.beats_per_bar : 4;
    r.tempo         = r.said & RL_SAID_TEMPO ? r.tempo : 120;
    assert_int_equal(rl_report_valid(&r), cases[i].kept);
  }
}

static void
a_step_tells_a_jump_from_the_time_that_passed(void **state)
{
  RlClock  c = clock_in(4, 4);
  RlReport r = {.said = RL_SAID_FRAME | RL_SAID_SPEED, .frame = 1000, .speed = 1};
  (void)state;
  rl_clock_step(&c, &r);
  rl_clock_advance(&c, 256);
  r.frame               = 1256;
  c.said_at             = 0;
  const RlClockStep due = rl_clock_step(&c, &r);
  assert_true(due.frames == 256 && due.song == 256 && due.jump == 0);
  assert_true(due.exact && due.runs && due.steady);
  rl_clock_advance(&c, 256);
  r.frame                = 90000;
  c.said_at              = 256;
  const RlClockStep jump = rl_clock_step(&c, &r);
  assert_true(jump.jump == 90000 - 1512 && !jump.exact && !jump.runs);
}

static void
half_speed_that_nobody_tells_is_no_jump(void **state)
{
  RlClock  c = clock_in(4, 4);
  RlReport r = {.said = RL_SAID_FRAME | RL_SAID_SPEED, .frame = 0, .speed = 1};
  (void)state;
  rl_clock_step(&c, &r);
  rl_clock_advance(&c, 1024);
  r.frame                = 512;
  const RlClockStep half = rl_clock_step(&c, &r);
  assert_true(half.song == 512 && half.runs && !half.exact);
}

/* ---- meter ---- */

static void
a_new_meter_while_the_music_runs_begins_at_the_bar_line_passed(void **state)
{
  RlClock c = clock_in(4, 4);
  (void)state;
  c.known = c.rolling = true;
  c.per_frame         = 1.0 / 24000;
  rl_clock_line_set(&c, (RlBarBeat){2, 0.5}, 8.5, 0);
  c.said           = (RlBarBeat){1, 3.5};
  const RlReport r = {
    .said = RL_SAID_BEAT_UNIT | RL_SAID_BEATS_PER_BAR, .beat_unit = 8, .beats_per_bar = 6};
  const RlClockStep step = {.frames = 256, .runs = true};
  const RlBarBeat   now  = rl_clock_meter_follow(&c, &r, (RlBarBeat){2, 0.5}, &step);
  assert_place(now, 2, 1);
  assert_int_equal(c.unit, 8);
  assert_true(rl_clock_line_count(&c, now) == 8.5);
}

/* ---- tempo ---- */

static void
the_tempos_note_is_the_meters_unit_until_it_is_measured(void **state)
{
  RlClock c = clock_in(6, 8);
  (void)state;
  assert_true(rl_clock_tempo_note(&c) == 0.5);
  c.note = 1.5;
  assert_true(rl_clock_tempo_note(&c) == 1.5);
  c.tempo = 60; /* dotted quarters */
  assert_true(fabs(rl_clock_tempo_beats(&c, RATE) - 3) < 1e-9);
}

static void
a_host_that_counts_quarter_ticks_is_presumed_to_play_no_slower_notes(void **state)
{
  RlClock c = clock_in(6, 8);
  (void)state;
  c.quarter_ticks = RL_QUARTER_TICKS_SURE;
  assert_true(rl_clock_tempo_note(&c) == 1);
  assert_true(rl_clock_tempo_note_presumed(&c) == 0.5);
  c.note_known = true;
  assert_true(rl_clock_tempo_note_presumed(&c) == 1);
}

/* ---- ticks ---- */

static void
a_fraction_of_quarters_becomes_one_of_beats(void **state)
{
  const RlClock eighths = clock_in(12, 8);
  (void)state;
  assert_place(rl_clock_decode(&eighths, (RlBarBeat){3, 5.25}, (RlBarBeat){3, 5.5}), 3, 5.5);
  assert_place(rl_clock_decode(&eighths, (RlBarBeat){3, 5}, (RlBarBeat){3, 5}), 3, 5);
  const RlClock quarters = clock_in(4, 4);
  assert_place(rl_clock_decode(&quarters, (RlBarBeat){3, 1.75}, (RlBarBeat){9, 0}), 3, 1.75);
}

/* Quarters 2i - 1 and 2i of a bar both read i. */
static void
in_halves_the_quarter_expected_is_taken(void **state)
{
  RlClock halves = clock_in(3, 2);
  (void)state;
  halves.quarter_ticks = RL_QUARTER_TICKS_SURE;
  assert_true(rl_clock_quarter_open(&halves));
  assert_place(rl_clock_decode(&halves, (RlBarBeat){0, 1.5}, (RlBarBeat){0, 0.7}), 0, 0.75);
  assert_place(rl_clock_decode(&halves, (RlBarBeat){0, 1.5}, (RlBarBeat){0, 1.2}), 0, 1.25);
  const RlClock quarters = clock_in(4, 4);
  assert_false(rl_clock_quarter_open(&quarters));
}

static void
eight_whole_ticks_in_a_row_make_a_host_that_counts_them(void **state)
{
  RlClock c = clock_in(4, 4);
  (void)state;
  for (int i = 1; i <= RL_TICKS_SURE; ++i) {
    rl_clock_ticks_learn(&c, i * 7.0 / RL_QUARTER_TICKS);
    assert_int_equal(c.ticks, i);
  }
  rl_clock_ticks_learn(&c, 0.5 / RL_QUARTER_TICKS);
  assert_int_equal(c.ticks, 0);
}

static void
the_reading_that_leaps_at_every_beat_is_unlearnt(void **state)
{
  RlClock           c    = clock_in(12, 8);
  const RlClockStep step = {.frames = 6000, .exact = true, .runs = true, .steady = true};
  (void)state;
  for (int i = 0; i < 200 && c.quarter_ticks <= 0; ++i) {
    const double    eighths = i * 0.25;
    const RlBarBeat even    = {0, eighths};
    const RlBarBeat said    = {0, floor(eighths) + (eighths - floor(eighths)) / 2};
    rl_clock_decode_learn(&c, said, even, &step);
  }
  assert_true(c.quarter_ticks > 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(beats_of_an_eighth_are_half_a_quarter),
    cmocka_unit_test(a_place_is_carried_over_bar_lines_both_ways),
    cmocka_unit_test(a_beat_stays_below_the_bars_end_by_rounding_too),
    cmocka_unit_test(a_distance_is_in_quarters_and_negative_backwards),
    cmocka_unit_test(a_line_stands_still_for_its_hold_and_then_moves),
    cmocka_unit_test(the_count_goes_on_along_the_line),
    cmocka_unit_test(the_count_is_put_right_where_the_line_passes_the_start_bar),
    cmocka_unit_test(fields_that_cannot_be_are_dropped_and_others_kept),
    cmocka_unit_test(a_step_tells_a_jump_from_the_time_that_passed),
    cmocka_unit_test(half_speed_that_nobody_tells_is_no_jump),
    cmocka_unit_test(a_new_meter_while_the_music_runs_begins_at_the_bar_line_passed),
    cmocka_unit_test(the_tempos_note_is_the_meters_unit_until_it_is_measured),
    cmocka_unit_test(a_host_that_counts_quarter_ticks_is_presumed_to_play_no_slower_notes),
    cmocka_unit_test(a_fraction_of_quarters_becomes_one_of_beats),
    cmocka_unit_test(in_halves_the_quarter_expected_is_taken),
    cmocka_unit_test(eight_whole_ticks_in_a_row_make_a_host_that_counts_them),
    cmocka_unit_test(the_reading_that_leaps_at_every_beat_is_unlearnt),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
