/* SPDX-License-Identifier: ISC */
/* The clock under single reports, counted by hand. Sources: the LV2 time vocabulary
   (lv2plug.in/ns/ext/time), Standard MIDI Files 1.0, core/clock/CLOCK.md for the count of quarters.
 */
#include "core/clock/clock.h"
#include "timeline.h"

#include <float.h>
#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <math.h>

/* ---- single reports ---- */

enum {
  PLACE = RL_SAID_BAR | RL_SAID_BAR_BEAT,
  METER = RL_SAID_BEAT_UNIT | RL_SAID_BEATS_PER_BAR,
  ALL   = RL_SAID_FRAME | RL_SAID_SPEED | PLACE | METER | RL_SAID_TEMPO,
  RATE  = 48000
};

/* 120 quarters a minute in 4/4: 24000 frames a beat. */
static RlReport
full(const int64_t frame, const double speed, const int64_t bar, const double bar_beat)
{
  return (RlReport){.said          = ALL,
                    .frame         = frame,
                    .speed         = speed,
                    .bar           = bar,
                    .bar_beat      = bar_beat,
                    .beat_unit     = 4,
                    .beats_per_bar = 4,
                    .tempo         = 120};
}

static RlReport
in_meter(RlReport r, const double beats, const double unit)
{
  r.beats_per_bar = beats;
  r.beat_unit     = unit;
  r.tempo         = 120 * unit / 4;
  return r;
}

static void
say_after(RlClock *const clock, const int64_t frames, const RlReport report)
{
  rl_clock_advance(clock, frames);
  rl_clock_report(clock, &report);
}

static void
assert_place(const RlClock *const clock, const int64_t ahead, const int64_t bar, const double beat)
{
  const RlMoment m = rl_clock_moment(clock, ahead);
  if (!m.known || m.bar != bar || fabs(m.beat - beat) > 1e-6) {
    fail_msg("bar %lld beat %f, not bar %lld beat %f", (long long)m.bar, m.beat, (long long)bar,
             beat);
  }
}

static void
assert_count(const RlClock *const clock, const int64_t ahead, const double quarters,
             const bool is_sure)
{
  const RlMoment m = rl_clock_moment(clock, ahead);
  if (fabs(m.quarters - quarters) > 1e-6 || (m.quarters_sure > 0.9F) != is_sure) {
    fail_msg("%f quarters (%g), not %f (%s)", m.quarters, (double)m.quarters_sure, quarters,
             is_sure ? "sure" : "unsure");
  }
}

static RlClock
clock_at(const RlReport first)
{
  RlClock clock;
  rl_clock_init(&clock, RATE);
  rl_clock_report(&clock, &first);
  return clock;
}

static void
a_day_from_one_report_ends_on_the_frame(void **state)
{
  const float   tempo  = 123.4F;
  const int64_t scaled = (int64_t)((double)tempo * (1 << 17)); /* exact: tempo < 128 has 17 bits */
  const int64_t minute =
    (int64_t)60 * RATE * (1 << 17); /* so that beats = frames * scaled / minute */
  const int64_t day   = (int64_t)24 * 3600 * RATE;
  RlReport      first = full(0, 1, 0, 0);
  double        worst = 0;
  TlDice        dice  = {24};
  (void)state;
  first.tempo   = (double)tempo;
  RlClock clock = clock_at(first);
  assert_true((double)scaled == (double)tempo * (1 << 17));
  for (int64_t now = 0; now <= day; now += 100003) {
    const int64_t  ahead = tl_throw(&dice, 100003);
    const RlMoment m     = rl_clock_moment(&clock, ahead);
    const TlGrains beats = (TlGrains)(now + ahead) * scaled; /* over `minute` */
    const TlGrains bar   = beats / minute / 4;
    const double   truly = (double)(beats - bar * 4 * minute) / (double)minute;
    const double   off   = (double)(m.bar - (int64_t)bar) * 4 + m.beat - truly;
    worst                = fmax(worst, fabs(off) * (double)minute / (double)scaled);
    rl_clock_advance(&clock, 100003);
  }
  print_message("24 hours from one report: %.2g frames off at worst\n", worst);
  assert_true(worst < 1);
}

static void
without_a_bar_nothing_is_known(void **state)
{
  RlReport r = {.said = RL_SAID_FRAME | RL_SAID_SPEED, .speed = 1};
  RlClock  clock;
  (void)state;
  rl_clock_init(&clock, RATE);
  assert_false(rl_clock_moment(&clock, 0).known);
  for (int i = 0; i < 100; ++i) {
    say_after(&clock, 256, r);
    r.frame += 256;
    assert_false(rl_clock_moment(&clock, 100).known);
    assert_true(rl_clock_moment(&clock, 100).rolling);
  }
}

/* JACK's timebase master leaves: {frame, speed} alone, the frame 512 back, one block of speed 0. */
static void
when_the_master_leaves_the_clock_goes_on_less_sure(void **state)
{
  RlReport r     = full(43000, 1, 0, 43000 / 24000.0);
  RlClock  clock = clock_at(r);
  (void)state;
  assert_true(rl_clock_moment(&clock, 0).sure > 0.9F);
  r.said  = RL_SAID_FRAME | RL_SAID_SPEED;
  r.frame = 43000 + 256 - 512;
  r.speed = 0;
  say_after(&clock, 256, r);
  assert_place(&clock, 0, 0, (43000 + 256 - 512) / 24000.0);
  r.speed = 1;
  say_after(&clock, 256, r);
  assert_place(&clock, 24000, 0, (43000 + 256 - 512 + 24000) / 24000.0);
  assert_true(rl_clock_moment(&clock, 0).sure < 0.9F);
  say_after(&clock, 24000, full(43000 + 256 - 512 + 24000, 1, 0, 66744 / 24000.0));
  assert_true(rl_clock_moment(&clock, 0).sure > 0.9F); /* and it comes back */
}

/* Ardour, measured: speed 0 at the old frame, ten silent blocks, the new frame at speed 1. */
static void
a_locate_while_rolling_stands_still_then_jumps(void **state)
{
  RlClock clock = clock_at(full(0, 1, 0, 0));
  (void)state;
  say_after(&clock, 40448, full(40448, 0, 0, 40448 / 24000.0));
  assert_place(&clock, 2815, 0, 40448 / 24000.0);
  assert_false(rl_clock_moment(&clock, 0).rolling);
  say_after(&clock, 2816, full(96100, 1, 1, 100 / 24000.0));
  assert_place(&clock, 0, 1, 100 / 24000.0);
  assert_place(&clock, 256, 1, 356 / 24000.0);
}

/* Ardour, measured: at negative frames speed 0, bar 0, bar_beat 0 while the frame moves. */
static void
a_pre_roll_is_parked_at_the_beginning(void **state)
{
  RlClock clock = clock_at(full(256, 0, 0, 256 / 24000.0));
  (void)state;
  for (int64_t frame = -1024; frame < 0; frame += 256) {
    say_after(&clock, 1024, full(frame, 0, 0, 0));
    assert_place(&clock, 100, 0, 0);
  }
  say_after(&clock, 256, full(0, 1, 0, 0));
  assert_place(&clock, 0, 0, 0);
  assert_place(&clock, 95999, 0, 95999 / 24000.0);
  assert_place(&clock, 96000, 1, 0);
}

static void
bars_before_the_first_count_down_to_it(void **state)
{
  const RlClock clock = clock_at(full(-120000, 1, -2, 3));
  (void)state;
  assert_place(&clock, 0, -2, 3);
  assert_place(&clock, 24000, -1, 0);
  assert_place(&clock, 120000, 0, 0);
  assert_count(&clock, 119999, -1 / 24000.0, false);
  assert_count(&clock, 120000, 0, true);
}

static RlReport
only(RlReport r, const unsigned said)
{
  r.said = said;
  return r;
}

/* The clock may be a little behind its host, and the host a little early. */
static void
a_new_meter_begins_at_the_bar_line_that_is_all_but_there(void **state)
{
  RlClock clock = clock_at(full(0, 1, 0, 0));
  (void)state;
  say_after(&clock, 95900, only(in_meter(full(0, 1, 0, 0), 3, 4), METER));
  assert_place(&clock, 0, 1, 0);
  assert_place(&clock, 72000, 2, 0);
  assert_count(&clock, 72000, 7, true);
  clock = clock_at(full(0, 1, 0, 0));
  say_after(&clock, 95000, in_meter(full(95000, 1, 1, 0), 3, 4));
  assert_place(&clock, 0, 1, 0);
  assert_count(&clock, 0, 4, true);
}

static void
a_new_meter_told_late_began_at_the_bar_line_passed(void **state)
{
  const RlReport r     = in_meter(full(0, 1, 0, 0), 6, 8);
  RlClock        clock = clock_at(full(0, 1, 0, 0));
  (void)state;
  say_after(&clock, 108000, only(r, METER | RL_SAID_TEMPO));
  assert_place(&clock, 0, 1, 1);
  assert_place(&clock, 60000, 2, 0);
  assert_count(&clock, 60000, 7, true);
}

/* Backwards it is the bar line that the music came from: 3/4 lies before bar 4 of 4/4. */
static void
backwards_a_new_meter_ends_at_the_bar_line_passed(void **state)
{
  RlClock clock = clock_at(full(384000 + 12000, -1, 4, 0.5));
  (void)state;
  say_after(&clock, 24000, in_meter(full(384000 - 12000, -1, 3, 2.5), 3, 4));
  assert_place(&clock, 0, 3, 2.5);
  assert_place(&clock, 60000, 3, 0);
  clock = clock_at(full(384000 + 12000, -1, 4, 0.5));
  say_after(&clock, 24000, only(in_meter(full(0, -1, 0, 0), 3, 4), METER));
  assert_place(&clock, 0, 3, 2.5);
  assert_place(&clock, 60000, 3, 0);
}

static void
a_place_just_below_a_bar_line_is_on_it(void **state)
{
  const RlClock clock = clock_at(full(0, 0, 5, -1e-18));
  (void)state;
  assert_place(&clock, 0, 5, 0);
}

/* ---- the count of quarters ---- */

/* By hand: bars 2 and 3 in 4/4, 4 and 5 in 6/8, 6 in 3/2: 8 + 6 + 6 quarters. */
static void
quarters_are_counted_across_changes_of_meter(void **state)
{
  RlClock clock;
  (void)state;
  rl_clock_init(&clock, RATE);
  rl_clock_set_start(&clock, 2);
  say_after(&clock, 0, full(0, 1, 0, 0));
  assert_count(&clock, 0, -8, false);
  assert_count(&clock, 192000, 0, true);
  say_after(&clock, 384000, in_meter(full(384000, 1, 4, 0), 6, 8));
  assert_count(&clock, 0, 8, true);
  say_after(&clock, 144000, in_meter(full(528000, 1, 6, 0), 3, 2));
  assert_count(&clock, 0, 14, true);
  assert_count(&clock, 144000 + 12000, 20.5, true);
}

static void
before_the_start_the_bars_left_count_in_the_present_meter(void **state)
{
  RlClock clock;
  (void)state;
  rl_clock_init(&clock, RATE);
  rl_clock_set_start(&clock, 3);
  say_after(&clock, 0, full(0, 1, 0, 0));
  assert_count(&clock, 0, -12, false);
  say_after(&clock, 96000, in_meter(full(96000, 1, 1, 0), 7, 8));
  assert_count(&clock, 0, -7, false); /* two bars of 7/8 */
  assert_count(&clock, 84000, -3.5, false);
  assert_count(&clock, 168000, 0, true);
}

static void
after_a_locate_the_count_is_as_if_the_meter_had_always_held_and_unsure(void **state)
{
  RlClock clock = clock_at(full(0, 1, 0, 0));
  (void)state;
  assert_count(&clock, 24000, 1, true);
  say_after(&clock, 24000, in_meter(full(900000, 1, 10, 1), 6, 8));
  assert_count(&clock, 0, 30.5, false);
  assert_count(&clock, 12000, 31, false);
  say_after(&clock, 48000, full(12000, 1, 0, 0.5)); /* back in the start bar */
  assert_count(&clock, 0, 0.5, true);
}

static void
the_count_goes_on_where_the_music_stopped(void **state)
{
  RlClock clock = clock_at(in_meter(full(0, 1, 0, 0), 6, 8));
  (void)state;
  say_after(&clock, 72000, full(72000, 1, 1, 0)); /* 3 quarters on, now in 4/4 */
  say_after(&clock, 96000, full(168000, 0, 2, 0));
  assert_count(&clock, 999999, 7, true);
  say_after(&clock, 480000, full(168000, 1, 2, 0));
  assert_count(&clock, 0, 7, true);
  assert_count(&clock, 24000, 8, true);
}

static void
the_start_may_be_moved_while_it_rolls(void **state)
{
  RlClock clock = clock_at(full(0, 1, 0, 0));
  (void)state;
  rl_clock_advance(&clock, 300000); /* bar 3, half a beat in */
  assert_count(&clock, 0, 12.5, true);
  rl_clock_set_start(&clock, 3);
  assert_count(&clock, 0, 0.5, true);
  rl_clock_set_start(&clock, 5);
  assert_count(&clock, 0, -7.5, false);
  assert_count(&clock, 180000, 0, true);
  rl_clock_set_start(&clock, 1);
  assert_count(&clock, 0, 8.5, false);
}

static RlReport
with_beat(RlReport r, const double beat)
{
  r.said |= RL_SAID_BEAT;
  r.beat = beat;
  return r;
}

/* 4/4 for two bars, then 3/4, as time:beat counts them through. */
static void
time_beat_makes_the_count_sure_after_a_locate(void **state)
{
  RlClock clock = clock_at(with_beat(full(0, 1, 0, 0), 0));
  (void)state;
  say_after(&clock, 1000, with_beat(in_meter(full(480000, 1, 6, 0), 3, 4), 20));
  assert_count(&clock, 0, 20, true);
  rl_clock_set_start(&clock, 1);
  assert_count(&clock, 0, 15, false); /* where bar 1 began was never told */
  say_after(&clock, 24000, with_beat(full(144000, 1, 1, 2), 6)); /* now it is: at beat 4 */
  assert_count(&clock, 0, 2, true);
  say_after(&clock, 24000, with_beat(in_meter(full(480000, 1, 6, 0), 3, 4), 20));
  assert_count(&clock, 0, 16, true);
}

static void
beats_of_several_units_make_no_count_sure(void **state)
{
  RlClock clock = clock_at(with_beat(full(0, 1, 0, 0), 0));
  (void)state;
  say_after(&clock, 24000, with_beat(in_meter(full(900000, 1, 9, 0), 6, 8), 40));
  assert_count(&clock, 0, 27, false);
}

static void
time_beat_alone_is_a_place_but_an_unsure_one(void **state)
{
  RlReport r = with_beat(full(0, 1, 0, 0), 9.5);
  RlClock  clock;
  (void)state;
  r.said &= ~(unsigned)PLACE;
  clock = clock_at(r);
  assert_place(&clock, 0, 2, 1.5);
  assert_place(&clock, 24000, 2, 2.5);
  assert_count(&clock, 24000, 10.5, true);
  assert_true(rl_clock_moment(&clock, 0).sure < 0.9F);
  r.frame += 36000;
  r.beat = 11;
  say_after(&clock, 36000, r);
  r.frame += 24000;
  r.beat = 12;
  say_after(&clock, 24000, in_meter(r, 3, 4)); /* a bar line where the meter changes */
  assert_place(&clock, 0, 3, 0);
  assert_place(&clock, 72000, 4, 0);
  assert_count(&clock, 72000, 15, true);
  r.frame = 0;
  r.beat  = -1; /* before the first bar */
  say_after(&clock, 0, r);
  assert_count(&clock, 0, -1, true);
}

/* ---- what cannot be ---- */

/* j2 and j3 of the traces, and the brief they were made by: a timebase master gone mad, passed on
 * by jalv. */
static const RlReport mad[] = {
  {.said = ALL, .speed = 1, .bar = -1, .bar_beat = NAN},
  {.said          = ALL,
   .speed         = 1,
   .bar_beat      = 1.79,
   .beat_unit     = -2147483648.0,
   .beats_per_bar = NAN,
   .tempo         = NAN},
  {.said          = ALL,
   .speed         = 1,
   .bar           = 2147483646,
   .bar_beat      = 2.14748365e9,
   .beat_unit     = 4,
   .beats_per_bar = 1e30,
   .tempo         = -5},
  {.said          = ALL,
   .speed         = 1,
   .bar           = -2147483648LL,
   .bar_beat      = -2.1e9,
   .beat_unit     = 1e9,
   .beats_per_bar = 1e9,
   .tempo         = 1e30},
  {.said          = ALL,
   .speed         = 1,
   .bar           = INT64_MIN,
   .bar_beat      = INFINITY,
   .beat_unit     = 3,
   .beats_per_bar = -4,
   .tempo         = INFINITY},
  {.said          = ALL,
   .speed         = 1,
   .bar           = INT64_MAX,
   .bar_beat      = -INFINITY,
   .beat_unit     = 4.5,
   .beats_per_bar = INFINITY,
   .tempo         = 0},
};

static void
values_out_of_range_count_as_left_out(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(mad) / sizeof(mad[0]); ++i) {
    RlClock  clock = clock_at(full(0, 1, 0, 0));
    RlReport r     = mad[i];
    r.frame        = 50000;
    if (i == 1) { /* its place is believable; for the rest's sake take it away */
      r.said &= ~(unsigned)PLACE;
    }
    say_after(&clock, 50000, r);
    assert_place(&clock, 0, 0, 50000 / 24000.0);
    assert_place(&clock, 46000, 1, 0);
    assert_true(rl_clock_moment(&clock, 0).tempo == 120);
    assert_true(rl_clock_moment(&clock, 0).sure < 0.9F); /* nobody tells us where we are any more */
    say_after(&clock, 46000, full(96000, 1, 1, 0));
    assert_true(rl_clock_moment(&clock, 0).sure > 0.9F);
  }
}

static void
a_frame_out_of_range_counts_as_left_out(void **state)
{
  static const int64_t frames[] = {INT64_MIN, INT64_MAX, -((int64_t)1 << 62)};
  (void)state;
  for (size_t i = 0; i < sizeof(frames) / sizeof(frames[0]); ++i) {
    RlClock clock = clock_at(full(0, 1, 0, 0));
    say_after(&clock, 24000, full(frames[i], 1, 0, 1));
    assert_place(&clock, 24000, 0, 2);
    assert_count(&clock, 24000, 2, true);
    say_after(&clock, 24000, full(48000, 1, 0, 2));
    assert_count(&clock, 24000, 3, true);
  }
}

/* Every order of seven fields, each in a report of its own at one frame. */
static void
fields_reported_one_by_one_add_up_in_every_order(void **state)
{
  static const unsigned fields[] = {RL_SAID_FRAME,    RL_SAID_SPEED,     RL_SAID_BAR,
                                    RL_SAID_BAR_BEAT, RL_SAID_BEAT_UNIT, RL_SAID_BEATS_PER_BAR,
                                    RL_SAID_TEMPO};
  enum { COUNT = sizeof(fields) / sizeof(fields[0]), ORDERS = 5040 };
  (void)state;
  for (int rolls = 0; rolls < 2; ++rolls) {
    for (int order = 0; order < ORDERS; ++order) {
      bool     used[COUNT] = {false};
      int      code        = order;
      RlReport r           = in_meter(full(1000, rolls, 5, 7.5), 12, 8);
      RlClock  clock;
      rl_clock_init(&clock, RATE);
      for (int i = 0; i < COUNT; ++i) {
        int skip = code % (COUNT - i);
        int k    = 0;
        code /= COUNT - i;
        while (used[k] || skip-- > 0) {
          ++k;
        }
        used[k] = true;
        r.said  = fields[k];
        rl_clock_report(&clock, &r);
      }
      const RlMoment m = rl_clock_moment(&clock, 0);
      assert_place(&clock, 0, 5, 7.5);
      assert_place(&clock, 24000, 5, rolls ? 9.5 : 7.5);
      assert_true(m.rolling == (rolls != 0) && m.unit == 8 && m.beats_per_bar == 12);
      assert_true(fabs(m.tempo - 240) < 1e-9 && m.sure > 0.9F);
    }
  }
}

static double
some_number(TlDice *const dice)
{
  static const double numbers[] = {
    0,    1,     -1,    4,        3,         8,         0.5,   1e-300,        1e9,
    -1e9, 1e300, -7.25, NAN,      INFINITY,  -INFINITY, 16,    2147483648.0,  120,
    64,   1024,  0.125, 99999.99, -99999.99, 1e6,       10000, -2147483648.0, 2};
  const int64_t i = tl_throw(dice, 40);
  return i < (int64_t)(sizeof(numbers) / sizeof(numbers[0]))
           ? numbers[i]
           : (double)tl_throw(dice, 1 << 20) / (double)(1 + tl_throw(dice, 1 << 16));
}

static int64_t
some_whole_number(TlDice *const dice)
{
  static const int64_t numbers[] = {
    0,         1,       -1,       INT64_MIN,        INT64_MAX,           INT32_MIN,
    INT32_MAX, 1000000, -1000000, (int64_t)1 << 40, -((int64_t)1 << 40), 256,
    999999,    -1024};
  const int64_t i = tl_throw(dice, 20);
  return i < (int64_t)(sizeof(numbers) / sizeof(numbers[0])) ? numbers[i]
                                                             : tl_throw(dice, 1000000) - 1000;
}

static void
assert_moment_in_range(const RlMoment *const m)
{
  const bool sane = m->beat >= 0 && m->beat < m->beats_per_bar && m->beats_per_bar >= 0.125 &&
                    m->unit >= 1 && m->unit <= 128 && m->bar > INT64_MIN / 2 &&
                    m->bar < INT64_MAX / 2 && isfinite(m->per_frame) && m->tempo >= 0 &&
                    isfinite(m->tempo) && isfinite(m->quarters) && m->sure >= 0 && m->sure <= 1 &&
                    m->quarters_sure >= 0 && m->quarters_sure <= 1;
  if (!sane) {
    fail_msg("bar %lld beat %g of %g/%d, %g a frame, tempo %g, %g quarters, sure %g %g",
             (long long)m->bar, m->beat, m->beats_per_bar, m->unit, m->per_frame, m->tempo,
             m->quarters, (double)m->sure, (double)m->quarters_sure);
  }
}

static void
after_a_million_random_reports_every_field_is_in_its_range(void **state)
{
  TlDice  dice = {99};
  RlClock clock;
  (void)state;
  rl_clock_init(&clock, RATE);
  for (int i = 0; i < 1000000; ++i) {
    const RlReport r = {.said          = (unsigned)tl_throw(&dice, 512),
                        .frame         = some_whole_number(&dice),
                        .bar           = some_whole_number(&dice),
                        .speed         = some_number(&dice),
                        .bar_beat      = some_number(&dice),
                        .beat          = some_number(&dice),
                        .beat_unit     = some_number(&dice),
                        .beats_per_bar = some_number(&dice),
                        .tempo         = some_number(&dice)};
    rl_clock_advance(&clock, tl_throw(&dice, 5) ? tl_throw(&dice, 4096) : tl_throw(&dice, 1 << 28));
    rl_clock_report(&clock, &r);
    if (i % 1000 == 0) {
      rl_clock_set_start(&clock, some_whole_number(&dice));
    }
    const RlMoment now = rl_clock_moment(&clock, 0);
    const RlMoment far = rl_clock_moment(&clock, tl_throw(&dice, 1 << 30));
    assert_moment_in_range(&now);
    assert_moment_in_range(&far);
  }
}

/* What the plugin may rely on to leave a quiet block alone. */
static void
a_report_that_changes_nothing_says_so(void **state)
{
  RlReport r     = full(0, 1, 0, 0);
  RlClock  clock = clock_at(r);
  (void)state;
  rl_clock_advance(&clock, 24000);
  r = full(24000, 1, 0, 1);
  assert_false(rl_clock_report(&clock, &r));
  r.said = RL_SAID_TEMPO;
  assert_false(rl_clock_report(&clock, &r));
  r.tempo = 121;
  assert_true(rl_clock_report(&clock, &r));
  r = full(24000, 0, 0, 1);
  assert_true(rl_clock_report(&clock, &r));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_day_from_one_report_ends_on_the_frame),
    cmocka_unit_test(without_a_bar_nothing_is_known),
    cmocka_unit_test(when_the_master_leaves_the_clock_goes_on_less_sure),
    cmocka_unit_test(a_locate_while_rolling_stands_still_then_jumps),
    cmocka_unit_test(a_pre_roll_is_parked_at_the_beginning),
    cmocka_unit_test(bars_before_the_first_count_down_to_it),
    cmocka_unit_test(a_new_meter_begins_at_the_bar_line_that_is_all_but_there),
    cmocka_unit_test(a_new_meter_told_late_began_at_the_bar_line_passed),
    cmocka_unit_test(backwards_a_new_meter_ends_at_the_bar_line_passed),
    cmocka_unit_test(a_place_just_below_a_bar_line_is_on_it),
    cmocka_unit_test(quarters_are_counted_across_changes_of_meter),
    cmocka_unit_test(before_the_start_the_bars_left_count_in_the_present_meter),
    cmocka_unit_test(after_a_locate_the_count_is_as_if_the_meter_had_always_held_and_unsure),
    cmocka_unit_test(the_count_goes_on_where_the_music_stopped),
    cmocka_unit_test(the_start_may_be_moved_while_it_rolls),
    cmocka_unit_test(time_beat_makes_the_count_sure_after_a_locate),
    cmocka_unit_test(beats_of_several_units_make_no_count_sure),
    cmocka_unit_test(time_beat_alone_is_a_place_but_an_unsure_one),
    cmocka_unit_test(values_out_of_range_count_as_left_out),
    cmocka_unit_test(a_frame_out_of_range_counts_as_left_out),
    cmocka_unit_test(fields_reported_one_by_one_add_up_in_every_order),
    cmocka_unit_test(after_a_million_random_reports_every_field_is_in_its_range),
    cmocka_unit_test(a_report_that_changes_nothing_says_so),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
