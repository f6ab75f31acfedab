/* SPDX-License-Identifier: ISC */
/* Where a moment falls, against a second way of finding it: a naive walk, bar by bar from bar 1,
   along whole numbers of 64ths. Every meter of core/chart/CHART.md lasts a whole number of
   64ths along every axis, so the walk is exact, and so must core/chart/form be. PORTS.md is
   plugin/PORTS.md, form.h the comments of core/chart/form.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/chart/form.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- chance, the same in every run ---- */

static uint64_t chance_state;

/* 0 up to `below` - 1; the generator is Knuth's MMIX congruence, its upper bits. */
static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  // NOLINTNEXTLINE(clang-analyzer-core.DivideZero): `below` is never 0
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

/* ---- a song as the walk knows it ---- */

enum { SONG_BARS = 40, NAMES = 7, NO_NAME = -1, SIXTY_FOURTHS = 64 };

static const char *const names[NAMES] = {"C7", "F7", "G7", "N.C.", "ii7", "C7/E", "Cm7"};

typedef struct {
  int beats, unit, chords;
  int name[8], beat[8];
} Bar;

/* The bars of the chorus, then those of the ending. */
typedef struct {
  int bars, ending, lead_in, from, choruses;
  Bar bar[SONG_BARS];
} Song;

static RlForm form;

static RlChord
chord_named(const int name)
{
  RlChord chord;
  assert_int_equal(rl_chord_read(rl_slice(names[name]), &chord), RL_CHORD_OK);
  return chord;
}

/* The form of a song, as core/chart/chart would hand it to rl_form_finish(). */
static void
form_fill(const Song *const song)
{
  memset(&form, 0, sizeof(form));
  form.bars         = (uint16_t)song->bars;
  form.ending_bars  = (uint16_t)song->ending;
  form.lead_in      = (uint16_t)song->lead_in;
  form.lead_in_from = (uint16_t)song->from;
  form.choruses     = (uint16_t)song->choruses;
  for (int i = 0; i < song->bars + song->ending; ++i) {
    const Bar *const bar    = &song->bar[i];
    form.bar[i].beats       = (uint8_t)bar->beats;
    form.bar[i].unit        = (uint8_t)bar->unit;
    form.bar[i].first_chord = form.chords;
    form.bar[i].chords      = (uint8_t)bar->chords;
    for (int k = 0; k < bar->chords; ++k) {
      form.chord[form.chords++] = (RlFormChord){chord_named(bar->name[k]), (uint8_t)bar->beat[k]};
    }
  }
  memset(form.starts, 0xA5, sizeof(form.starts)); /* all of it is rl_form_finish()'s to fill in */
  rl_form_finish(&form);
}

static const int meters[][2] = {{2, 4}, {3, 4}, {4, 4},  {5, 4}, {6, 8},
                                {7, 8}, {9, 8}, {12, 8}, {3, 2}, {3, 8}};

/* A bar in some meter whose chords come from the first `kinds` names. */
static Bar
bar_by_chance(const int kinds)
{
  const int *const meter = meters[chance((int)(sizeof(meters) / sizeof(meters[0])))];
  Bar              bar   = {.beats = meter[0], .unit = meter[1]};
  for (int beat = 0; beat < bar.beats && bar.chords < 8; ++beat) {
    if (beat == 0 || chance(4) == 0) {
      bar.name[bar.chords]   = chance(kinds);
      bar.beat[bar.chords++] = beat;
    }
  }
  return bar;
}

static Song
song_by_chance(void)
{
  const int kinds = chance(6) == 0 ? 1 : 1 + chance(NAMES);
  Song      song  = {.bars = 1 + chance(14)};
  song.choruses   = chance(2) ? 1 + chance(4) : 0;
  song.ending     = chance(2) ? chance(6) : 0;
  song.lead_in    = chance(3) ? chance(6) : 0;
  song.lead_in    = song.lead_in < song.bars ? song.lead_in : song.bars;
  song.from       = chance(2) ? 1 + chance(song.bars - song.lead_in + 1) : 0;
  song.from       = song.from + song.lead_in - 1 <= song.bars ? song.from : 0;
  for (int i = 0; i < song.bars + song.ending; ++i) {
    song.bar[i] = bar_by_chance(i < song.bars ? kinds : NAMES);
  }
  return song;
}

/* ---- the walk ---- */

/* A bar of the song in time: number 0 is bar 1 of chorus 1, -1 the bar before it. */
typedef struct {
  const Bar *bar; /* its meter, and its chords if `index` is not -1 */
  RlPart     part;
  int        chorus, shown, index;
} Playing;

/* PORTS.md (form_bar, chorus), CHART.md (lead-in, choruses, ending); outside of them form.h: bars
   like bar 1. */
static Playing
playing(const Song *const song, const int number)
{
  const int begun = number + song->lead_in;
  if (number < 0 && begun < 0) {
    return (Playing){&song->bar[0], RL_PART_BEFORE, 0, number, -1};
  }
  if (number < 0) {
    const int index = song->from ? song->from - 1 + begun : -1;
    return (Playing){&song->bar[index < 0 ? 0 : index], RL_PART_LEAD_IN, 0, number, index};
  }
  const int chorus = number / song->bars + 1;
  const int index  = number % song->bars;
  if (!song->choruses || chorus <= song->choruses) {
    return (Playing){&song->bar[index], RL_PART_CHORUS, chorus, index + 1, index};
  }
  const int ending = song->bars + number - song->choruses * song->bars;
  if (ending < song->bars + song->ending) {
    return (Playing){&song->bar[ending], RL_PART_ENDING, song->choruses, ending + 1, ending};
  }
  return (Playing){&song->bar[0], RL_PART_OVER, song->choruses, 0, -1};
}

/* PORTS.md: the felt beat (a dotted quarter in 6/8, 9/8, 12/8). */
static int
felt_beats(const Bar *const bar)
{
  const bool dotted = bar->unit == 8 && (bar->beats == 6 || bar->beats == 9 || bar->beats == 12);
  return dotted ? bar->beats / 3 : bar->beats;
}

/* How long a bar is along an axis, in 64ths (form.h, RlAxis). */
static int64_t
length_of(const Bar *const bar, const RlAxis axis)
{
  switch (axis) {
  case RL_AXIS_BARS:
    return SIXTY_FOURTHS;
  case RL_AXIS_QUARTERS:
    return (int64_t)bar->beats * 4 * SIXTY_FOURTHS / bar->unit;
  case RL_AXIS_FELT:
  default:
    return (int64_t)felt_beats(bar) * SIXTY_FOURTHS;
  }
}

/* A moment: in which bar, and how many 64ths behind its line. */
typedef struct {
  int     number;
  int64_t start, behind, length;
} Moment;

static Moment
walk_to(const Song *const song, const RlAxis axis, const int64_t at)
{
  int     number = 0;
  int64_t start  = 0;
  while (at < start) {
    start -= length_of(playing(song, --number).bar, axis);
  }
  while (at >= start + length_of(playing(song, number).bar, axis)) {
    start += length_of(playing(song, number++).bar, axis);
  }
  return (Moment){number, start, at - start, length_of(playing(song, number).bar, axis)};
}

/* ---- locate ---- */

static const char *const axis_names[RL_AXES] = {"bars", "quarters", "felt beats"};

static void
song_show(const Song *const song)
{
  print_error("%d bars, %d in the ending, lead-in %d from %d, %d choruses:", song->bars,
              song->ending, song->lead_in, song->from, song->choruses);
  for (int i = 0; i < song->bars + song->ending; ++i) {
    print_error(" | %d/%d", song->bar[i].beats, song->bar[i].unit);
    for (int k = 0; k < song->bar[i].chords; ++k) {
      // NOLINTNEXTLINE(clang-analyzer-core.CallAndMessage): every chord of a bar has its beat
      print_error(" %s@%d", names[song->bar[i].name[k]], song->bar[i].beat[k]);
    }
  }
  print_error("\n");
}

static void
place_check(const Song *const song, const RlAxis axis, const int64_t at)
{
  const Moment  m      = walk_to(song, axis, at);
  const Playing p      = playing(song, m.number);
  const RlPlace place  = rl_form_locate(&form, axis, (double)at / SIXTY_FOURTHS, 0);
  const double  beat   = (double)(m.behind * p.bar->beats) / (double)m.length;
  const double  step   = (double)(p.bar->beats * SIXTY_FOURTHS) / (double)m.length;
  const int     shown  = p.shown < -9999 ? -9999 : p.shown; /* PORTS.md, form_bar's range */
  const int     chorus = p.chorus > 9999 ? 9999 : p.chorus; /* and chorus's */
  if (place.part != p.part || place.chorus != chorus || place.bar != shown ||
      place.index != p.index || place.beat != beat || place.beats != p.bar->beats ||
      place.unit != p.bar->unit || place.beats_per_step != step) {
    song_show(song);
    fail_msg("%d/64 along %s: part %d chorus %d bar %d index %d beat %.17g of %d/%d, %.17g a step; "
             "the walk finds part %d chorus %d bar %d index %d beat %.17g of %d/%d, %.17g a step",
             (int)at, axis_names[axis], (int)place.part, place.chorus, place.bar, place.index,
             place.beat, place.beats, place.unit, place.beats_per_step, (int)p.part, chorus, shown,
             p.index, beat, p.bar->beats, p.bar->unit, step);
  }
}

/* Runs `check` on and beside every bar line near the song and on moments by chance. Returns how
   many moments that were. */
static int
moments_check(const Song *const song, const RlAxis axis,
              void (*const check)(const Song *, RlAxis, int64_t))
{
  const int last  = song->bars * (song->choruses ? song->choruses : 3) + song->ending + 3;
  int64_t   start = 0;
  int64_t   first = 0;
  int       count = 0;
  for (int number = -1; number >= -song->lead_in - 4; --number) {
    first -= length_of(playing(song, number).bar, axis);
  }
  start = first;
  for (int number = -song->lead_in - 4; number < last; ++number) {
    for (int beside = -1; beside <= 1; ++beside) {
      check(song, axis, start + beside);
      ++count;
    }
    start += length_of(playing(song, number).bar, axis);
  }
  for (int i = 0; i < 60; ++i) {
    check(song, axis, first + chance((int)(start - first)));
    ++count;
  }
  return count;
}

enum { SONGS = 300 };

static void
every_song_check(void (*const check)(const Song *, RlAxis, int64_t))
{
  int moments  = 0;
  chance_state = 1;
  for (int i = 0; i < SONGS; ++i) {
    const Song song = song_by_chance();
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      moments += moments_check(&song, (RlAxis)axis, check);
    }
  }
  assert_true(moments > 100000); /* or the loops above are broken */
}

static void
a_place_is_where_a_naive_walk_finds_it(void **state)
{
  (void)state;
  every_song_check(place_check);
}

static void
far_before_and_after_a_place_is_where_a_naive_walk_finds_it(void **state)
{
  (void)state;
  chance_state = 2;
  for (int i = 0; i < 8; ++i) {
    const Song song = song_by_chance();
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      place_check(&song, (RlAxis)axis, (int64_t)-SIXTY_FOURTHS * (100000 + chance(100000)));
      place_check(&song, (RlAxis)axis, (int64_t)SIXTY_FOURTHS * (100000 + chance(100000)) + 1);
      place_check(&song, (RlAxis)axis, -chance(1000000));
      place_check(&song, (RlAxis)axis, chance(1000000));
    }
  }
}

/* PORTS.md: form_bar is never below -9999, chorus never above 9999. */
static void
bar_and_chorus_stop_at_the_ends_of_their_ports(void **state)
{
  (void)state;
  const Song song = {.bars = 1, .bar = {{4, 4, 1, {0}, {0}}}};
  form_fill(&song);
  assert_int_equal(rl_form_locate(&form, RL_AXIS_BARS, -9999, 0).bar, -9999);
  assert_int_equal(rl_form_locate(&form, RL_AXIS_BARS, -10000, 0).bar, -9999);
  assert_int_equal(rl_form_locate(&form, RL_AXIS_BARS, -1e12, 0).bar, -9999);
  assert_int_equal(rl_form_locate(&form, RL_AXIS_BARS, 9998, 0).chorus, 9999);
  assert_int_equal(rl_form_locate(&form, RL_AXIS_BARS, 9999, 0).chorus, 9999);
  assert_int_equal(rl_form_locate(&form, RL_AXIS_BARS, 1e12, 0).chorus, 9999);
}

/* form.h: 0 up to (not incl.) beats; PORTS.md, form_beat: up to (not incl.) beats + 1. Hosts
   compute positions by subtraction, so moments a hair before a line are ordinary. */
static void
a_hair_before_a_bar_line_the_beat_is_below_the_bars_end(void **state)
{
  (void)state;
  static const double hairs[] = {5e-324, 1e-300, 1e-30, 1e-17, 1e-16, 1e-15, 1e-12};
  chance_state                = 3;
  for (int i = 0; i < 100; ++i) {
    const Song song = song_by_chance();
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      for (int number = -song.lead_in - 2; number < 3 * song.bars; ++number) {
        double line = 0;
        for (int k = number; k < 0; ++k) {
          line -= (double)length_of(playing(&song, k).bar, (RlAxis)axis) / SIXTY_FOURTHS;
        }
        for (int k = 0; k < number; ++k) {
          line += (double)length_of(playing(&song, k).bar, (RlAxis)axis) / SIXTY_FOURTHS;
        }
        for (size_t h = 0; h < sizeof(hairs) / sizeof(hairs[0]); ++h) {
          const RlPlace place = rl_form_locate(&form, (RlAxis)axis, line - hairs[h], 0);
          if (!(place.beat >= 0 && place.beat < place.beats)) {
            song_show(&song);
            fail_msg("%g before %g along %s: beat %.17g of %d in bar %d", hairs[h], line,
                     axis_names[axis], place.beat, place.beats, place.bar);
          }
        }
      }
    }
  }
}

/* PORTS.md: before the start -k … -1. The smallest number there is, divided by a bar's length,
   is none any more. */
static void
a_hair_before_the_song_the_bar_is_the_one_before_its_first(void **state)
{
  (void)state;
  chance_state = 3;
  for (int i = 0; i < 100; ++i) {
    Song song    = song_by_chance();
    song.lead_in = song.from = 0;
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      const RlPlace place = rl_form_locate(&form, (RlAxis)axis, -5e-324, 0);
      assert_int_equal(place.part, RL_PART_BEFORE);
      assert_int_equal(place.bar, -1);
      assert_true(place.beat >= 0 && place.beat < place.beats);
    }
  }
}

/* form.h, rl_form_locate(): a whole beat that lies nearer ahead than `slack` counts as reached. The
   slack is a distance along the axis, as plugin/rt/follower.c passes it (a part of a frame). */
static void
a_whole_beat_nearer_than_the_slack_counts_as_reached(void **state)
{
  (void)state;
  const double slack = 16.0 / 1024;
  const double less  = 15.0 / 1024;
  const double more  = 17.0 / 1024;
  chance_state       = 4;
  for (int i = 0; i < 100; ++i) {
    Song song    = song_by_chance();
    song.lead_in = song.from = song.choruses = 0;
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      double start = 0;
      for (int number = 0; number < 2 * song.bars; ++number) {
        const Bar *const bar  = playing(&song, number).bar;
        const Bar *const next = playing(&song, number + 1).bar;
        const double     size = (double)length_of(bar, (RlAxis)axis) / SIXTY_FOURTHS;
        const double     pace = bar->beats / size;
        for (int beat = 1; beat <= bar->beats; ++beat) {
          const bool    over  = beat == bar->beats;
          const double  whole = start + beat / pace;
          const RlPlace near  = rl_form_locate(&form, (RlAxis)axis, whole - less, slack);
          const RlPlace far   = rl_form_locate(&form, (RlAxis)axis, whole - more, slack);
          if (near.index != (number + over) % song.bars || near.beat != (over ? 0 : beat) ||
              near.beats != (over ? next : bar)->beats) {
            fail_msg("15/1024 before beat %d of bar %d (%d/%d), slack 16/1024, along %s: index %d "
                     "beat %.9g",
                     beat, number, bar->beats, bar->unit, axis_names[axis], near.index, near.beat);
          }
          if (far.index != number % song.bars || fabs(far.beat - (beat - more * pace)) > 1e-9) {
            fail_msg("17/1024 before beat %d of bar %d (%d/%d), slack 16/1024, along %s: index %d "
                     "beat %.9g",
                     beat, number, bar->beats, bar->unit, axis_names[axis], far.index, far.beat);
          }
        }
        start += size;
      }
    }
  }
}

/* ---- bar lines, lengths, felt beats ---- */

/* form.h and PORTS.md (bar_one): the nearest bar line (a tie goes to the bar just begun). */
static void
nearest_check(const Song *const song, const RlAxis axis, const int64_t at)
{
  const Moment  m    = walk_to(song, axis, at);
  const int64_t line = 2 * m.behind > m.length ? m.start + m.length : m.start;
  const double  seen = rl_form_nearest_bar(&form, axis, (double)at / SIXTY_FOURTHS);
  if (seen != (double)line / SIXTY_FOURTHS) {
    song_show(song);
    fail_msg("%d/64 along %s: the nearest bar line is at %d/64, not %.17g", (int)at,
             axis_names[axis], (int)line, seen);
  }
}

static void
the_nearest_bar_line_is_the_one_a_naive_walk_finds(void **state)
{
  (void)state;
  every_song_check(nearest_check);
}

static void
between_two_bar_lines_the_one_of_the_bar_just_begun_is_nearest(void **state)
{
  (void)state;
  chance_state = 5;
  for (int i = 0; i < 100; ++i) {
    const Song song = song_by_chance();
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      int64_t start = 0;
      for (int number = 0; number < 2 * song.bars + song.ending; ++number) {
        const int64_t length = length_of(playing(&song, number).bar, (RlAxis)axis);
        const double  middle = (double)(2 * start + length) / (2 * SIXTY_FOURTHS);
        assert_true(rl_form_nearest_bar(&form, (RlAxis)axis, middle) ==
                    (double)start / SIXTY_FOURTHS);
        assert_true(rl_form_nearest_bar(&form, (RlAxis)axis, middle + 1.0 / 4096) ==
                    (double)(start + length) / SIXTY_FOURTHS);
        start += length;
      }
    }
  }
}

/* PORTS.md: felt beats. The meters without a felt beat of their own count all their beats. */
static void
six_nine_and_twelve_eight_are_felt_in_dotted_quarters(void **state)
{
  (void)state;
  static const struct {
    int beats, unit;
    int felt;
  } expected[] = {{6, 8, 2}, {9, 8, 3}, {12, 8, 4}, {2, 4, 2}, {3, 4, 3}, {4, 4, 4},
                  {5, 4, 5}, {6, 4, 6}, {3, 2, 3},  {2, 2, 2}, {7, 8, 7}, {5, 8, 5},
                  {3, 8, 3}, {4, 8, 4}, {1, 1, 1},  {6, 16, 2} /* form.h: "and 6/16 …" */};
  for (size_t i = 0; i < sizeof(expected) / sizeof(expected[0]); ++i) {
    if (rl_meter_felt(expected[i].beats, expected[i].unit) != expected[i].felt) {
      fail_msg("%d/%d is felt in %d", expected[i].beats, expected[i].unit, expected[i].felt);
    }
  }
}

static void
every_bar_starts_where_the_one_before_ends(void **state)
{
  (void)state;
  chance_state = 6;
  for (int i = 0; i < SONGS; ++i) {
    const Song song = song_by_chance();
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      int64_t start = 0;
      for (int k = 0; k <= song.bars + song.ending; ++k) {
        assert_true(form.starts[axis][k] == (double)start / SIXTY_FOURTHS);
        start += k < song.bars + song.ending ? length_of(&song.bar[k], (RlAxis)axis) : 0;
      }
    }
  }
}

/* CHART.md: N bars; those of the form, or (form.h) bars in bar 1's meter. */
static void
a_lead_in_is_as_long_as_its_bars(void **state)
{
  (void)state;
  int with     = 0;
  chance_state = 7;
  for (int i = 0; i < SONGS; ++i) {
    const Song song = song_by_chance();
    form_fill(&song);
    for (int axis = 0; axis < RL_AXES; ++axis) {
      int64_t length = 0;
      for (int number = -song.lead_in; number < 0; ++number) {
        length += length_of(playing(&song, number).bar, (RlAxis)axis);
      }
      assert_true(rl_form_lead_in(&form, (RlAxis)axis) == (double)length / SIXTY_FOURTHS);
    }
    with += song.lead_in > 0;
  }
  assert_true(with > SONGS / 4);
}

/* ---- chords around a place ---- */

/* The change in force on a beat of a bar: the last listed at or before it in its strain. */
static int
change_in_force(const Song *const song, const int index, const int beat)
{
  const int first = index < song->bars ? 0 : form.changes;
  const int end   = index < song->bars ? form.changes : form.changes + form.ending_changes;
  int       now   = first;
  for (int i = first; i < end; ++i) {
    const bool later =
      form.change[i].bar > index || (form.change[i].bar == index && form.change[i].beat > beat);
    now = later ? now : i;
  }
  return now;
}

/* What a listener walking on from a place hears. */
typedef struct {
  int     now, next;              /* names, NO_NAME where there is none */
  int     index, beat;            /* where the next one comes */
  int     now_beat;               /* of the chord now, in its bar; -1 in a bar before */
  int64_t numerator, denominator; /* beats to the next */
} Heard;

/* Looks for the first chord whose name differs (CHART.md: the first to come whose name differs,
   across the end of the form too). A song without end repeats itself, so after the chorus that
   follows there is nothing new. */
static Heard
listen(const Song *const song, const Moment m)
{
  Playing   p     = playing(song, m.number);
  const int end   = song->choruses ? song->choruses * song->bars + song->ending
                                   : (m.number > 0 ? m.number : 0) + 2 * song->bars + 1;
  Heard     heard = {NO_NAME, NO_NAME, -1, -1, -1, 0, m.length};
  int       beats = 0;
  for (int k = 0; p.index >= 0 && k < p.bar->chords; ++k) {
    if ((int64_t)p.bar->beat[k] * m.length <= m.behind * p.bar->beats) {
      heard.now      = p.bar->name[k];
      heard.now_beat = p.bar->beat[k];
    }
  }
  for (int number = m.number; number < end; ++number) {
    const Playing q = playing(song, number);
    for (int k = 0; q.index >= 0 && k < q.bar->chords; ++k) {
      const bool ahead =
        number > m.number || (int64_t)q.bar->beat[k] * m.length > m.behind * q.bar->beats;
      if (ahead && q.bar->name[k] != heard.now) {
        heard.next      = q.bar->name[k];
        heard.index     = q.index;
        heard.beat      = q.bar->beat[k];
        heard.numerator = (int64_t)(beats + q.bar->beat[k]) * m.length - m.behind * p.bar->beats;
        return heard;
      }
    }
    beats += q.bar->beats;
  }
  return heard;
}

static const char *
name_shown(const int name)
{
  return name == NO_NAME ? "nothing" : names[name];
}

static int
name_of_change(const int change)
{
  for (int name = 0; change >= 0 && name < NAMES; ++name) {
    if (rl_chord_same(rl_form_chord(&form, change), chord_named(name))) {
      return name;
    }
  }
  return NO_NAME;
}

static int turns_seen, turns_none, turns_into_the_ending, turns_from_silence, turns_across;

static void
turn_check(const Song *const song, const RlAxis axis, const int64_t at)
{
  const Moment     m     = walk_to(song, axis, at);
  const Playing    p     = playing(song, m.number);
  const Heard      heard = listen(song, m);
  const RlPlace    place = rl_form_locate(&form, axis, (double)at / SIXTY_FOURTHS, 0);
  const RlChordsAt turn  = rl_form_chords_at(&form, &place);
  const double     beats = (double)heard.numerator / (double)heard.denominator;
  const int        now   = p.index < 0 ? -1 : change_in_force(song, p.index, heard.now_beat);
  const int        next  = heard.next < 0 ? -1 : change_in_force(song, heard.index, heard.beat);
  if (turn.now != now || turn.next != next || name_of_change(turn.now) != heard.now ||
      name_of_change(turn.next) != heard.next || turn.beats_to_next != beats) {
    song_show(song);
    fail_msg("%d/64 along %s (chorus %d, bar %d, beat %g): change %d (%s), next %d (%s) in %.17g "
             "beats; the walk hears change %d (%s), next %d (%s) in %.17g beats",
             (int)at, axis_names[axis], place.chorus, place.bar, place.beat, turn.now,
             name_shown(name_of_change(turn.now)), turn.next, name_shown(name_of_change(turn.next)),
             turn.beats_to_next, now, name_shown(heard.now), next, name_shown(heard.next), beats);
  }
  ++turns_seen;
  turns_none += heard.next == NO_NAME;
  turns_into_the_ending += p.part == RL_PART_CHORUS && heard.index >= song->bars;
  turns_from_silence += p.index < 0 && heard.next != NO_NAME;
  turns_across += p.part == RL_PART_CHORUS && heard.index >= 0 && heard.index < p.index;
}

static void
the_next_chord_is_the_one_a_naive_walk_hears(void **state)
{
  (void)state;
  turns_seen = turns_none = turns_into_the_ending = turns_from_silence = turns_across = 0;
  every_song_check(turn_check);
  /* each kind of turn came up often, or this showed less than it says */
  assert_true(turns_none > 1000);
  assert_true(turns_into_the_ending > 1000);
  assert_true(turns_from_silence > 1000);
  assert_true(turns_across > 1000);
}

static int began_in_another_chorus, began_in_the_lead_in, began_in_another_bar;

/* How long the chord has sounded: walks back chord by chord, in felt beats of each bar. */
static void
age_check(const Song *const song, const RlAxis axis, const int64_t at)
{
  const Moment  m     = walk_to(song, axis, at);
  const Playing here  = playing(song, m.number);
  const RlPlace place = rl_form_locate(&form, axis, (double)at / SIXTY_FOURTHS, 0);
  const int     now   = listen(song, m).now;
  double        age   = 0;
  double        end   = (double)(m.behind * here.bar->beats) / (double)m.length;
  bool          same  = here.index >= 0;
  int           began = m.number;
  for (int number = m.number; same && number > m.number - 2 * song->bars - 9; --number) {
    const Playing p = playing(song, number);
    for (int k = p.index < 0 ? -1 : p.bar->chords - 1; same && k >= 0; --k) {
      same = p.bar->beat[k] > end || p.bar->name[k] == now;
      if (same && p.bar->beat[k] <= end) {
        age += (end - p.bar->beat[k]) * felt_beats(p.bar) / p.bar->beats;
        end   = p.bar->beat[k];
        began = number;
      }
    }
    same = same && p.index >= 0;
    end  = playing(song, number - 1).bar->beats;
  }
  const double said  = rl_form_felt_since_chord(&form, &place);
  const bool   fixed = m.number - began < 2 * song->bars - 9; /* else it has sounded for ever */
  if (fixed && fabs(said - age) > 1e-9 * (1 + age)) {
    song_show(song);
    fail_msg("%d/64 along %s (chorus %d, bar %d, beat %g): sounds since %.17g, the walk says %.17g",
             (int)at, axis_names[axis], place.chorus, place.bar, place.beat, said, age);
  }
  const Playing first = playing(song, began);
  began_in_another_bar += fixed && began < m.number;
  began_in_another_chorus += fixed && first.part == RL_PART_CHORUS && first.chorus < here.chorus;
  began_in_the_lead_in += fixed && first.part == RL_PART_LEAD_IN && here.part == RL_PART_CHORUS;
}

static void
a_chord_has_sounded_as_long_as_a_naive_walk_back_hears(void **state)
{
  (void)state;
  began_in_another_bar = began_in_another_chorus = began_in_the_lead_in = 0;
  every_song_check(age_check);
  assert_true(began_in_another_bar > 1000);
  assert_true(began_in_another_chorus > 1000);
  assert_true(began_in_the_lead_in > 100);
}

static RlChordsAt
turn_at(const double bars)
{
  const RlPlace place = rl_form_locate(&form, RL_AXIS_BARS, bars, 0);
  return rl_form_chords_at(&form, &place);
}

/* The same by hand, so that no walk has to be trusted: | C7 | F7 C7@3 (5/4) | 6/8 C7 |. */
static void
beats_to_the_next_chord_are_the_meters_own(void **state)
{
  (void)state;
  const Song song = {.bars = 3,
                     .bar  = {{4, 4, 1, {0}, {0}}, {5, 4, 2, {1, 0}, {0, 3}}, {6, 8, 1, {0}, {0}}}};
  form_fill(&song);
  assert_int_equal(form.changes, 3);
  assert_true(turn_at(0).beats_to_next == 4);
  assert_true(turn_at(0.75).beats_to_next == 1);
  assert_int_equal(turn_at(0).next, 1);
  assert_int_equal(turn_at(1).now, 1);
  assert_int_equal(turn_at(1).next, 2);
  assert_true(turn_at(1).beats_to_next == 3);
  /* from C7 in bar 2 over bar 3 and the end of the form to F7 in bar 2 of the next chorus; bar 1
     begins change 0 anew, but its name is no other */
  assert_int_equal(turn_at(1.8).next, 1);
  assert_true(fabs(turn_at(1.8).beats_to_next - (1 + 6 + 4)) < 1e-9);
  assert_int_equal(turn_at(2.5).now, 2);
  assert_int_equal(turn_at(2.5).next, 1);
  assert_true(turn_at(2.5).beats_to_next == 3 + 4);
}

/* PORTS.md: no next chord is empty, and 0 beats away. */
static void
a_song_of_one_chord_has_no_next_one(void **state)
{
  (void)state;
  Song song = {.bars = 2, .bar = {{4, 4, 1, {0}, {0}}, {4, 4, 2, {0, 0}, {0, 2}}}};
  for (int choruses = 0; choruses <= 2; ++choruses) {
    song.choruses = choruses;
    form_fill(&song);
    assert_int_equal(form.changes, 1);
    for (int quarter = 0; quarter < 8; ++quarter) {
      const RlChordsAt turn = turn_at(0.25 * quarter);
      assert_int_equal(turn.now, 0);
      assert_int_equal(turn.next, -1);
      assert_true(turn.beats_to_next == 0);
    }
  }
}

/* CHART.md: the ending plays after the last chorus only. */
static void
the_last_chorus_turns_into_the_ending_and_no_other_does(void **state)
{
  (void)state;
  const Song song = {.bars     = 2,
                     .ending   = 1,
                     .choruses = 2,
                     .bar      = {{4, 4, 1, {0}, {0}}, {4, 4, 1, {1}, {0}}, {4, 4, 1, {2}, {0}}}};
  form_fill(&song);
  assert_int_equal(turn_at(1).next, 0);
  assert_int_equal(turn_at(3).next, 2);
  assert_true(turn_at(3).beats_to_next == 4);
  assert_int_equal(turn_at(4).now, 2);
  assert_int_equal(turn_at(4).next, -1); /* after the ending nothing comes */
  assert_int_equal(turn_at(5).now, -1);
  assert_int_equal(turn_at(5).next, -1);
}

/* CHART.md: the first to come whose name differs, however far: a chorus of one chord, three
   times, then an ending on another. */
static void
the_next_chord_may_be_choruses_away(void **state)
{
  (void)state;
  const Song song = {.bars     = 2,
                     .ending   = 1,
                     .choruses = 9999,
                     .lead_in  = 1,
                     .from     = 2,
                     .bar      = {{4, 4, 1, {0}, {0}}, {3, 4, 1, {0}, {0}}, {4, 4, 1, {1}, {0}}}};
  form_fill(&song);
  assert_int_equal(turn_at(-1).next, 1);
  assert_true(turn_at(-1).beats_to_next == 3 + 9999 * 7);
  assert_int_equal(turn_at(0).next, 1);
  assert_true(turn_at(0).beats_to_next == 9999 * 7);
  assert_int_equal(turn_at(3).next, 1);
  assert_true(turn_at(3).beats_to_next == 9998 * 7 - 4);
}

/* A silent lead-in (CHART.md: without chords) has no chord now; bar 1's comes next. */
static void
a_silent_lead_in_counts_down_to_bar_one(void **state)
{
  (void)state;
  const Song song = {.bars = 1, .lead_in = 2, .bar = {{3, 4, 1, {0}, {0}}}};
  form_fill(&song);
  assert_int_equal(turn_at(-2).now, -1);
  assert_int_equal(turn_at(-2).next, 0);
  assert_true(turn_at(-2).beats_to_next == 6);
  assert_true(turn_at(-4).beats_to_next == 12);
  assert_true(fabs(turn_at(-1.0 / 3).beats_to_next - 1) < 1e-9);
}

static void
nowhere_has_no_chord_now_and_none_next(void **state)
{
  (void)state;
  const Song song = {.bars = 1, .bar = {{3, 4, 1, {0}, {0}}}};
  form_fill(&song);
  const RlPlace    place = {.part = RL_PART_NOWHERE, .index = -1};
  const RlChordsAt turn  = rl_form_chords_at(&form, &place);
  assert_int_equal(turn.now, -1);
  assert_int_equal(turn.next, -1);
  assert_true(turn.beats_to_next == 0);
}

/* form.h, RlChange: "A point where the chord's name changes. The first change stands on the first
   beat of bar 1", that of the ending on the ending's. */
static void
changes_are_listed_where_the_name_changes(void **state)
{
  (void)state;
  chance_state = 8;
  for (int i = 0; i < SONGS; ++i) {
    const Song song  = song_by_chance();
    int        count = 0;
    int        last  = NO_NAME;
    form_fill(&song);
    for (int k = 0; k < song.bars + song.ending; ++k) {
      last = k == song.bars ? NO_NAME : last;
      for (int c = 0; c < song.bar[k].chords; ++c) {
        if (song.bar[k].name[c] != last) {
          last = song.bar[k].name[c];
          assert_int_equal(form.change[count].bar, k);
          assert_int_equal(form.change[count].beat, song.bar[k].beat[c]);
          assert_int_equal(form.change[count].chord, form.bar[k].first_chord + c);
          assert_int_equal(name_of_change(count), last);
          ++count;
        }
        if (c == 0) {
          assert_int_equal(form.bar[k].first_change, count - 1);
        }
      }
      if (k == song.bars - 1) {
        assert_int_equal(form.changes, count);
      }
    }
    assert_int_equal(form.changes + form.ending_changes, count);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_place_is_where_a_naive_walk_finds_it),
    cmocka_unit_test(far_before_and_after_a_place_is_where_a_naive_walk_finds_it),
    cmocka_unit_test(bar_and_chorus_stop_at_the_ends_of_their_ports),
    cmocka_unit_test(a_hair_before_a_bar_line_the_beat_is_below_the_bars_end),
    cmocka_unit_test(a_hair_before_the_song_the_bar_is_the_one_before_its_first),
    cmocka_unit_test(a_whole_beat_nearer_than_the_slack_counts_as_reached),
    cmocka_unit_test(the_nearest_bar_line_is_the_one_a_naive_walk_finds),
    cmocka_unit_test(between_two_bar_lines_the_one_of_the_bar_just_begun_is_nearest),
    cmocka_unit_test(six_nine_and_twelve_eight_are_felt_in_dotted_quarters),
    cmocka_unit_test(every_bar_starts_where_the_one_before_ends),
    cmocka_unit_test(a_lead_in_is_as_long_as_its_bars),
    cmocka_unit_test(the_next_chord_is_the_one_a_naive_walk_hears),
    cmocka_unit_test(a_chord_has_sounded_as_long_as_a_naive_walk_back_hears),
    cmocka_unit_test(beats_to_the_next_chord_are_the_meters_own),
    cmocka_unit_test(a_song_of_one_chord_has_no_next_one),
    cmocka_unit_test(the_last_chorus_turns_into_the_ending_and_no_other_does),
    cmocka_unit_test(the_next_chord_may_be_choruses_away),
    cmocka_unit_test(a_silent_lead_in_counts_down_to_bar_one),
    cmocka_unit_test(nowhere_has_no_chord_now_and_none_next),
    cmocka_unit_test(changes_are_listed_where_the_name_changes),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
