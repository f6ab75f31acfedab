/* SPDX-License-Identifier: ISC */
/* The lane along a form: its bars, and its notes in the song as it is played, one phrase at a time,
   held against a search through all of them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/core/arrange/overlaps.h"

#include <stdlib.h>
#include <string.h>

#define DOWN "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n"
#define BELL "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n"

static RlPlan          plan;
static RlPhrase        phrase;
static RlForm          form;
static RlLane          lane;
static RlLaneWorkspace room;
static Song            song;

static void
form_read(const char *const chart)
{
  RlChartError error;
  if (!rl_chart_read(rl_slice(chart), &form, &error)) {
    fail_msg("%s\n%s", error.reason, chart);
  }
}

static void
plan_read(const char *const text)
{
  RlPlanError error;
  if (!rl_plan_read(rl_slice(text), &phrase, &plan, &error)) {
    fail_msg("line %d: %s\n%s", error.line, error.reason, text);
  }
  rl_lane_make(&plan, &form, form.key, (RlHarpChoice){10, 0, RL_RICHTER}, (RlPlayer){3, 3, true},
               &room, &lane);
}

/* ---- one phrase at a time ---- */

/* How many notes of a phrase that begins in that chorus are heard? */
static int
heard(const int planned, const int chorus)
{
  int n = 0;
  for (RlLaneOnset o = rl_lane_first(&lane, &form, -1e9); o.index >= 0 && o.chorus < chorus + 8;
       o             = rl_lane_next(&lane, &form, o)) {
    n += lane.note[o.index].planned == planned && o.chorus == chorus;
  }
  return n;
}

static void
a_phrase_that_begins_takes_the_place_of_another(void **state)
{
  (void)state;
  form_read("key: G\n| I7 | IV7 | V7 | I7 |\n");
  plan_read("bar 2: Down the Steps\nbar 2 beat 3.5: Tide Bell, chorus 2\n\n" DOWN "\n" BELL);
  assert_int_equal(heard(0, 1), 6);
  assert_int_equal(heard(0, 2), 3); /* Tide Bell's pickup begins on beat 2.5 */
  assert_int_equal(heard(1, 1), 0);
  assert_int_equal(heard(1, 2), 4);
  const RlLaneFate cut = rl_lane_fate(&lane, &form, 0, 2);
  assert_int_equal(cut.by, 1);
  assert_int_equal(cut.lost, 3);
  assert_true(cut.shortened); /* the second of the triplet */
  assert_int_equal(rl_lane_fate(&lane, &form, 0, 1).by, RL_LANE_BY_NONE);
}

static void
the_pickup_of_bar_1_cuts_what_plays_in_the_last_bar(void **state)
{
  (void)state;
  form_read("key: G\nchoruses: 2\n| I7 | IV7 | V7 | I7 |\n");
  plan_read("bar 1: Tide Bell\nbar 4: Down the Steps\n\n" DOWN "\n" BELL);
  assert_int_equal(heard(1, 1), 5); /* the sixth would begin with the pickup */
  assert_int_equal(heard(1, 2), 6); /* the last chorus leads into no other */
  assert_int_equal(rl_lane_fate(&lane, &form, 1, 1).by, 0);
  assert_int_equal(rl_lane_fate(&lane, &form, 1, 2).by, RL_LANE_BY_NONE);
}

static void
a_variant_takes_the_place_of_what_is_for_all_choruses(void **state)
{
  (void)state;
  form_read("key: G\n| I7 | IV7 | V7 | I7 |\n");
  plan_read("bar 2: Tide Bell, chorus 2\nbar 2: Down the Steps\n\n" DOWN "\n" BELL);
  assert_int_equal(heard(0, 2), 4); /* with its pickup */
  assert_int_equal(heard(1, 2), 0);
  assert_int_equal(heard(1, 3), 6);
  assert_int_equal(rl_lane_fate(&lane, &form, 1, 2).by, 0);
  plan_read("bar 2: Tide Bell\nbar 2: Down the Steps\n\n" DOWN "\n" BELL);
  assert_int_equal(heard(0, 2), 0); /* else the later line */
  assert_int_equal(heard(1, 2), 6);
}

static void
the_end_of_the_song_ends_a_phrase(void **state)
{
  (void)state;
  form_read("key: G\nchoruses: 2\n| I7 | IV7 |\n");
  plan_read("bar 2 beat 4: Down the Steps, chorus 2\n\n" DOWN);
  assert_int_equal(heard(0, 2), 1);
  assert_int_equal(rl_lane_fate(&lane, &form, 0, 2).by, RL_LANE_BY_END);
  assert_int_equal(rl_lane_fate(&lane, &form, 0, 2).lost, 5);
  form_read("key: G\nchoruses: 2\n| I7 | IV7 |\n[ending]\n| I7 | I7 |\n");
  plan_read("bar 2 beat 4: Down the Steps, chorus 2\nbar 3: Tide Bell\n\n" DOWN "\n" BELL);
  assert_int_equal(heard(0, 2), 0); /* the pickup begins at once with it, in the ending */
  assert_int_equal(heard(1, 2), 4);
}

/* ---- ten thousand songs ---- */

static int
plans_in_all(void)
{
  return getenv("REEDLAMP_FEW") ? 1000 : 10000;
}

static void
song_of(const int seed, const int choruses)
{
  static char chart[1024], text[4096];
  RlText      head  = rl_text_in(chart, sizeof(chart));
  RlText      lines = rl_text_in(text, sizeof(text));
  overlaps_write((uint32_t)seed, &head, &lines);
  form_read(chart);
  plan_read(text);
  song_play(&plan, &form, &lane, form.choruses ? form.choruses : choruses, &song);
}

/* Note by note as in the slow search; none of a phrase while another sounds. */
static void
every_note_is_heard_alone_and_none_is_lost(void **state)
{
  long notes = 0, lost = 0;
  (void)state;
  for (int seed = 0; seed < plans_in_all(); ++seed) {
    song_of(seed, seed % 20 ? 5 : 36);
    RlLaneOnset n    = rl_lane_first(&lane, &form, -1e9);
    double      over = -1e9;
    for (int i = 0; i < song.count; ++i) {
      const SongNote *const wanted = &song.note[i];
      if (n.index != wanted->index || n.chorus != wanted->chorus || n.at != wanted->at ||
          n.lasts != wanted->lasts) {
        fail_msg("plan %d, note %d: %d in chorus %d at %g for %g, not %d in %d at %g for %g\n%s",
                 seed, i, n.index, n.chorus, n.at, n.lasts, wanted->index, wanted->chorus,
                 wanted->at, wanted->lasts, plan.text);
      }
      const bool same = i && lane.note[n.index].planned == lane.note[wanted[-1].index].planned &&
                        n.chorus == wanted[-1].chorus;
      assert_true(same || n.at >= over);
      over = n.at + n.lasts > over ? n.at + n.lasts : over;
      n    = rl_lane_next(&lane, &form, n);
    }
    assert_true(n.index < 0 || !form.choruses);
    notes += song.count;
    lost += song.lost;
  }
  print_message("%d plans, %ld notes heard, %ld cut\n", plans_in_all(), notes, lost);
}

/* From any place on, what comes next and what sounds there. */
static void
a_note_is_found_from_anywhere(void **state)
{
  (void)state;
  srand(5);
  for (int seed = 0; seed < plans_in_all(); ++seed) {
    song_of(seed, 5);
    for (int i = 0; i < 8 && song.count; ++i) {
      const SongNote *const some = &song.note[rand() % song.count];
      const double          from = some->at + (rand() % 3 - 1) * (double)(rand() % RL_TICKS);
      int                   k = 0, s = 0;
      while (k < song.count && song.note[k].at < from) {
        ++k;
      }
      while (s < song.count && song.note[s].at + song.note[s].lasts <= from) {
        ++s;
      }
      const RlLaneOnset n = rl_lane_first(&lane, &form, from);
      const RlLaneOnset o = rl_lane_sounding(&lane, &form, from);
      if (k < song.count || form.choruses) {
        assert_int_equal(n.index, k < song.count ? song.note[k].index : -1);
      }
      if (s < song.count || form.choruses) {
        assert_int_equal(o.index, s < song.count ? song.note[s].index : -1);
      }
    }
  }
}

/* What the lane says is lost is what is not heard. */
static void
what_is_cut_is_known(void **state)
{
  (void)state;
  for (int seed = 0; seed < plans_in_all(); ++seed) {
    song_of(seed, 5);
    const int choruses = form.choruses ? form.choruses : 5;
    int       lost     = 0;
    for (int p = 0; p < plan.planned_count; ++p) {
      for (int c = 1; c <= choruses; ++c) {
        const RlLanePhrase *const own   = &lane.phrase[p];
        const uint32_t            named = plan.planned[p].choruses;
        const bool begins = own->ending ? c == form.choruses : !named || (named >> (c - 1) & 1U);
        if (own->notes && begins) {
          const RlLaneFate fate = rl_lane_fate(&lane, &form, p, c);
          assert_int_equal(fate.by == RL_LANE_BY_NONE, !fate.lost && !fate.shortened);
          lost += fate.lost;
        }
      }
    }
    assert_int_equal(lost, song.lost);
  }
}

/* ---- bars ---- */

/* Bars in a row: their places and lengths, from the lead-in to the end. */
static void
bars_follow_each_other(void **state)
{
  RlLaneBar bars[12];
  (void)state;
  form_read("key: G\nlead-in: 1\nchoruses: 2\n| I7 | 3/4 IV7 |\n[ending]\n| 6/8 V7 |\n");
  const RlPlace lead = rl_form_locate(&form, RL_AXIS_QUARTERS, -4, 0);
  assert_int_equal(rl_lane_bars(&form, &lead, 12, bars), 6);
  static const int numbers[] = {-1, 1, 2, 1, 2, 3};
  for (int i = 0; i < 6; ++i) {
    assert_int_equal(bars[i].place.bar, numbers[i]);
    assert_true(!i || bars[i].from == bars[i - 1].to);
  }
  const RlPlace nowhere = {.part = RL_PART_NOWHERE, .index = -1};
  assert_int_equal(rl_lane_bars(&form, &nowhere, 3, bars), 3);
  assert_int_equal(bars[0].place.bar, 1);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_phrase_that_begins_takes_the_place_of_another),
    cmocka_unit_test(the_pickup_of_bar_1_cuts_what_plays_in_the_last_bar),
    cmocka_unit_test(a_variant_takes_the_place_of_what_is_for_all_choruses),
    cmocka_unit_test(the_end_of_the_song_ends_a_phrase),
    cmocka_unit_test(every_note_is_heard_alone_and_none_is_lost),
    cmocka_unit_test(a_note_is_found_from_anywhere),
    cmocka_unit_test(what_is_cut_is_known),
    cmocka_unit_test(bars_follow_each_other),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
