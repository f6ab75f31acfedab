/* SPDX-License-Identifier: ISC */
/* Hits while the music plays, held against lessons whose truth is drawn first: every planned note
   and every chord's target is played on time, too early, too late, wrongly or not at all. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/practice/hits.h"
#include "tests/dice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WALK                                                                                       \
  "bar 1: Gangway\nbar 5: Gangway\nbar 9: Gangway\n\nX:1\nT:Gangway\nM:4/4\nL:1/4\nK:D\n"          \
  "\"D7\"D F A c|d c A F|\n"
#define TWELVE                                                                                     \
  "key: D\nchoruses: 3\n| I7 | IV7 | I7 | V7 |\n| IV7 | I7 | VI7 | ii7 |\n| V7 | IV7 | I7 | V7 "   \
  "|\n"
#define WALTZ                                                                                      \
  "key: D\nmeter: 6/8\nchoruses: 3\n| i7 | iv7 | bVII7 | i7 |\n| v7 | iv7 | VI7 | V7 |\n"

enum { EVENTS = 4096, STEPS = 125 /* reports in a quarter: 4.8 ms at 100 */ };

static const RlHarpChoice g_harp = {7, 0, RL_RICHTER};

static RlPlan                plan;
static RlPhrase              phrase;
static RlForm                form;
static RlLane                lane;
static RlLaneWorkspace       room;
static RlTargetLine          line;
static RlTargetLineWorkspace line_room;
static uint64_t              dice;

static const RlHitSong song = {&form, &line, &lane};

static double
chance(void)
{
  return (double)(dice_next(&dice) >> 11U) / 9007199254740992.0;
}

static void
song_read(const char *const chart, const char *const text)
{
  RlChartError   bad;
  RlPlanError    wrong;
  const RlPlayer player = {3, 3, true};
  const RlHarp   harp   = rl_harp_make(g_harp);
  assert_true(rl_chart_read(rl_slice(chart), &form, &bad));
  assert_true(rl_plan_read(rl_slice(text), &phrase, &plan, &wrong));
  rl_lane_make(&plan, &form, form.key, g_harp, player, &room, &lane);
  rl_target_line_find(&form, form.key, &harp, player, &line_room, &line);
}

/* ---- a performance ---- */

typedef struct {
  double  from, to;
  uint8_t note;
} Played;

static Played played[EVENTS];
static int    plays;

static void
play(const double from, const double to, const int note)
{
  assert_true(plays < EVENTS);
  played[plays++] = (Played){from, to, (uint8_t)note};
}

static RlHit hits[EVENTS];
static int   count;

/* Plays it all, a report every few milliseconds. */
static void
perform(RlHits *const h, const double from, const double to)
{
  for (int64_t i = llround(from * STEPS); i < llround(to * STEPS); ++i) {
    const double at = (double)i / STEPS;
    uint8_t      notes[RL_HITS_PITCHES];
    int          sound = 0;
    for (int n = 0; n < plays; ++n) {
      if (played[n].from <= at && at < played[n].to && sound < RL_HITS_PITCHES) {
        notes[sound++] = played[n].note;
      }
    }
    count += rl_hits_hear(h, &song, at, notes, sound, false, hits + count);
    assert_true(count < EVENTS - RL_HITS_MOST);
  }
}

static void
begin(const char *const chart, const char *const text, RlHits *const h)
{
  song_read(chart, text);
  memset(h, 0, sizeof(*h));
  plays = count = 0;
  dice          = 0x9E3779B97F4A7C15U;
}

static bool
is_hit(const bool target, const double at)
{
  int n = 0;
  for (int i = 0; i < count; ++i) {
    n += hits[i].target == target && fabs(hits[i].at - at) < 1e-6;
  }
  assert_in_range(n, 0, 1); /* told once */
  return n > 0;
}

/* ---- tests ---- */

static const double errors[] = {0, -0.2, 0.2, 0.1, -0.3, 0.3, -0.45, 0.45};

/* Notes a beat apart: what is within a quarter of a beat and of the right pitch is a hit. */
static void
planned_notes_of_a_lesson_are_counted_as_they_were_played(void **state)
{
  static double beats[EVENTS];
  static bool   right[EVENTS];
  int           n = 0, hit = 0;
  RlHits        h;
  (void)state;
  begin(TWELVE, WALK, &h);
  for (RlLaneOnset o = rl_lane_first(&lane, &form, -1); o.index >= 0;
       o             = rl_lane_next(&lane, &form, o)) {
    const int    which = (int)(chance() * 10);
    const double off   = which < 8 ? errors[which] : 0;
    const int    note  = lane.note[o.index].tab.note + (which == 8 ? 6 : 0);
    beats[n]           = o.at / RL_TICKS;
    right[n]           = which < 4;
    hit += which < 4;
    if (which < 9) { /* 9: not at all */
      play(beats[n] + off, beats[n] + off + 0.3, note);
    }
    ++n;
  }
  assert_int_equal(n, 72);
  assert_in_range(hit, 20, 40);
  perform(&h, -2, 150);
  for (int i = 0; i < n; ++i) {
    assert_int_equal(is_hit(false, beats[i]), right[i]);
  }
}

static void
lesson_of_targets(const char *const chart, const double felt)
{
  static double at[EVENTS];
  static bool   right[EVENTS];
  int           n = 0;
  RlHits        h;
  begin(chart, "", &h);
  const double chorus = form.starts[RL_AXIS_QUARTERS][form.bars];
  for (int c = 0; c < 3 * form.changes; ++c) {
    const RlChange change = form.change[c % form.changes];
    const RlTarget target = line.target[c % form.changes];
    const int      nth    = c / form.changes;
    at[n]                 = nth * chorus + form.starts[RL_AXIS_QUARTERS][change.bar];
    const bool goes_on =
      c && c % form.changes == 0 &&
      rl_chord_same(rl_form_chord(&form, 0), rl_form_chord(&form, form.changes - 1));
    if (!target.hole || goes_on) {
      continue;
    }
    const int which = (int)(chance() * 8);
    right[n]        = which < 4;
    /* begun early, on it, late; held over; gone too soon; too late; wrong; nothing */
    static const double from[] = {-0.2, 0, 0.45, -0.6, -0.6, 0.6, 0};
    static const double to[]   = {0.1, 0.3, 0.8, 0.4, 0.15, 0.9, 0.3};
    if (which < 7) {
      play(at[n] + from[which] * felt, at[n] + to[which] * felt,
           target.note + (which == 6 ? 6 : 0));
    }
    ++n;
  }
  assert_true(n > 20);
  perform(&h, -2, 3 * chorus + 2);
  for (int i = 0; i < n; ++i) {
    assert_int_equal(is_hit(true, at[i]), right[i]);
  }
}

static void
targets_of_a_lesson_are_counted_as_they_were_landed_on(void **state)
{
  (void)state;
  lesson_of_targets(TWELVE, 1);
  lesson_of_targets(WALTZ, 1.5);
}

static void
one_note_played_is_one_planned_note(void **state)
{
  RlHits h;
  (void)state;
  begin("key: D\n| I7 |\n", "bar 1: Twice\n\nX:1\nT:Twice\nM:4/4\nL:1/16\nK:D\n\"D7\"A2 A2 z12|\n",
        &h);
  const int note = lane.note[0].tab.note;
  assert_int_equal(lane.notes, 2);
  play(0.24, 0.9, note); /* near both */
  perform(&h, -1, 1);
  assert_true(is_hit(false, 0));
  assert_false(is_hit(false, 0.5));
}

/* It sounds for four reports from there on; how many hits they bring. */
static int
sound(RlHits *const h, const double at, const uint8_t note, const bool anew,
      RlHit hit[RL_HITS_MOST])
{
  int found = 0;
  for (int i = 0; i < 4; ++i) {
    found += rl_hits_hear(h, &song, at + 0.01 * i, &note, 1, anew && !i, hit + found);
  }
  return found;
}

static void
a_note_struck_again_counts_again(void **state)
{
  RlHit  hit[RL_HITS_MOST];
  RlHits h;
  (void)state;
  begin("key: D\n| I7 |\n", "bar 1: Twice\n\nX:1\nT:Twice\nM:4/4\nL:1/8\nK:D\n\"D7\"A A z6|\n", &h);
  const uint8_t note = lane.note[0].tab.note;
  assert_int_equal(sound(&h, 0.02, note, false, hit), 1);
  assert_int_equal(sound(&h, 0.3, note, false, hit), 0);
  assert_int_equal(sound(&h, 0.52, note, false, hit), 0);
  assert_int_equal(sound(&h, 0.54, note, true, hit), 1);
  assert_true(hit[0].at == 0.5);
}

/* The ear is mistaken for a moment: no note is played so, and none ends. */
static void
a_moment_s_error_is_no_note_and_ends_none(void **state)
{
  RlHits h;
  (void)state;
  begin("key: D\n| I7 |\n", "bar 1: Twice\n\nX:1\nT:Twice\nM:4/4\nL:1/16\nK:D\n\"D7\"A2 A2 z12|\n",
        &h);
  const int note = lane.note[0].tab.note;
  play(0, 0.008, note); /* a report or two */
  play(0.008, 0.3, note + 1);
  perform(&h, -1, 0.4);
  assert_false(is_hit(false, 0));
  begin("key: D\n| I7 |\n", "bar 1: Twice\n\nX:1\nT:Twice\nM:4/4\nL:1/16\nK:D\n\"D7\"A2 A2 z12|\n",
        &h);
  play(0, 0.44, note);
  play(0.44, 0.456, note + 1);
  play(0.456, 0.9, note);
  perform(&h, -1, 1);
  assert_true(is_hit(false, 0));
  assert_false(is_hit(false, 0.5));
}

/* A loop of the host: the same bars again are told again. */
static void
after_a_jump_it_begins_afresh(void **state)
{
  RlHits h;
  (void)state;
  begin(TWELVE, WALK, &h);
  play(0, 0.5, lane.note[0].tab.note);
  perform(&h, -1, 4);
  assert_true(is_hit(false, 0));
  const int once = count;
  perform(&h, -1, 4);
  assert_int_equal(count, 2 * once);
}

static void
notes_together_are_hit_each_for_itself(void **state)
{
  RlHits h;
  (void)state;
  begin("key: G\n| I7 |\n", "bar 1: Rope\n\nX:1\nT:Rope\nM:4/4\nL:1/4\nK:G\n\"G7\"[GB] z3|\n", &h);
  assert_int_equal(lane.notes, 2);
  play(0.05, 0.5, lane.note[0].tab.note);
  play(0.1, 0.5, lane.note[1].tab.note);
  perform(&h, -1, 1);
  int planned = 0;
  for (int i = 0; i < count; ++i) {
    planned += !hits[i].target;
  }
  assert_int_equal(planned, 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(planned_notes_of_a_lesson_are_counted_as_they_were_played),
    cmocka_unit_test(targets_of_a_lesson_are_counted_as_they_were_landed_on),
    cmocka_unit_test(one_note_played_is_one_planned_note),
    cmocka_unit_test(a_note_struck_again_counts_again),
    cmocka_unit_test(a_moment_s_error_is_no_note_and_ends_none),
    cmocka_unit_test(after_a_jump_it_begins_afresh),
    cmocka_unit_test(notes_together_are_hit_each_for_itself),
  };
  return cmocka_run_group_tests_name("core/practice/hits", tests, NULL, NULL);
}
