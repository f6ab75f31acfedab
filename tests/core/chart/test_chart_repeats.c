/* SPDX-License-Identifier: ISC */
/* What is played more than once, and what stands beside the chorus, against the reference,
   core/chart/CHART.md. */
#include "chart_reading.h"

/* ---- repeats ---- */

/* CHART.md: `|:` … `:|` plays twice (from `|:`, else from the last `:|`, else the start). */
static void
a_repeat_goes_back_to_its_opening(void **state)
{
  (void)state;
  assert_string_equal(played("| I |: IV | V :| ii |"), "I | IV | V | IV | V | ii");
}

static void
a_repeat_without_opening_goes_back_to_the_start(void **state)
{
  (void)state;
  assert_string_equal(played("| I | IV :| V |"), "I | IV | I | IV | V");
}

static void
a_repeat_without_opening_goes_back_to_the_last_one(void **state)
{
  (void)state;
  assert_string_equal(played("| I :| IV | V :| ii :|"), "I | I | IV | V | IV | V | ii | ii");
  assert_string_equal(played("|: I :| IV | V :|"), "I | I | IV | V | IV | V");
}

/* CHART.md: `:|x3` three times in all. */
static void
a_repeat_plays_as_often_as_it_says(void **state)
{
  (void)state;
  assert_string_equal(played("|: I | IV :|x3 V |"), "I | IV | I | IV | I | IV | V");
  assert_string_equal(played("| I :|x2 V :|x4"), "I | I | V | V | V | V");
  assert_int_equal(form_of("| I :|x19")->bars, 19);
  assert_int_equal(form_of("| I :|x512")->bars, 512);
}

/* `:|:` closes one repeat and opens the next (common practice in notation, no source). */
static void
one_sign_closes_a_repeat_and_opens_the_next(void **state)
{
  (void)state;
  assert_string_equal(played("|: I :|: IV :| V"), "I | I | IV | IV | V");
  assert_string_equal(played("|: I :||: IV :| V"), "I | I | IV | IV | V");
  assert_string_equal(error_of("|: I :|: IV |"),
                      "line 1: the repeat that |: opens here never closes; end it with :|");
}

/* A repeat sign needs no space before it (CHART.md asks for none). */
static void
a_repeat_sign_may_stand_close_to_its_chord(void **state)
{
  (void)state;
  assert_string_equal(played("|:I7|IV7:|V7"), "I7 | IV7 | I7 | IV7 | V7");
  assert_string_equal(played("I7:|x3\nV7:|"), "I7 | I7 | I7 | V7 | V7");
  assert_string_equal(played("I |\nV7:|\n"), "I | V7 | I | V7");
}

/* The ending has its own repeats: it is never part of a chorus (CHART.md). */
static void
a_repeat_in_the_ending_stays_in_the_ending(void **state)
{
  (void)state;
  assert_string_equal(played("choruses: 2\n| I | IV |\n[ending]\n| V | ii :| I |"),
                      "I | IV || V | ii | V | ii | I");
  assert_string_equal(played("choruses: 2\n| I |\n[ending]\n| V |: ii |1 IV :|2 V | I"),
                      "I || V | ii | IV | ii | V | I");
}

/* ---- first and second endings ---- */

/* CHART.md: `|1` opens the first ending, `|2` or `:|2` the second. */
static void
a_first_ending_is_left_out_of_the_last_pass(void **state)
{
  (void)state;
  assert_string_equal(played("|: I | IV |1 V | ii :|2 VI | I |"),
                      "I | IV | V | ii | I | IV | VI | I");
  assert_string_equal(played("|: I |1 V :|"), "I | V | I");
  assert_string_equal(played("|: I |1 V :|x3 |2 ii |"), "I | V | I | V | I | ii");
}

static void
a_second_ending_may_be_opened_in_four_ways(void **state)
{
  (void)state;
  const char *const expected = "I | V | I | ii";
  assert_string_equal(played("| I |1 V :|2 ii |"), expected);
  assert_string_equal(played("| I |1 V |2 ii |"), expected);
  assert_string_equal(played("| I |1 V :| |2 ii |"), expected);
  assert_string_equal(played("| I |1 V :|\n     |2 ii |"), expected);
  assert_string_equal(played("| I |1 V :||2 ii |"), expected);
}

/* CHART.md: the second ending runs to the next `||`, `|:`, section or the end. */
static void
a_double_bar_line_ends_a_second_ending(void **state)
{
  (void)state;
  assert_string_equal(played("|: I |1 V :|2 ii || |: IV :|"), "I | V | I | ii | IV | IV");
  assert_string_equal(played("|: I |1 V :|2 ii ||: IV :|"), "I | V | I | ii | IV | IV");
  /* from the last :|, which stands before ii */
  assert_string_equal(played("|: I |1 V :|2 ii || IV :|"), "I | V | I | ii | IV | ii | IV");
}

static void
an_opening_repeat_ends_a_second_ending(void **state)
{
  (void)state;
  assert_string_equal(played("|: I |1 V :|2 ii |: IV :|"), "I | V | I | ii | IV | IV");
}

static void
a_section_ends_a_second_ending(void **state)
{
  (void)state;
  assert_string_equal(played("|: I |1 V :|2 ii |\n[B]\n| IV :|"), "I | V | I | ii | IV | ii | IV");
  assert_string_equal(played("choruses: 1\n|: I |1 V :|2 ii |\n[ending]\n| IV :|"),
                      "I | V | I | ii || IV | IV");
}

/* … and stays ended while the song's ending is written down in between. */
static void
a_second_ending_does_not_outlast_the_songs_ending(void **state)
{
  (void)state;
  assert_string_equal(played("choruses: 1\n| I |1 V :|2 ii |\n[ending] | IV |\n[B] | vi :|"),
                      "I | V | I | ii | vi | ii | vi || IV");
}

static void
the_end_ends_a_second_ending(void **state)
{
  (void)state;
  assert_string_equal(played("|: I |1 V :|2 ii | IV"), "I | V | I | ii | IV");
}

/* Two single bar lines are one and no double bar line (CHART.md), so the ending runs on. */
static void
two_single_bar_lines_do_not_end_a_second_ending(void **state)
{
  (void)state;
  assert_string_equal(error_of("|: I |1 V :|2 ii |\n| IV :|"),
                      "line 2, bar 4: :| inside a second ending; end that with || first");
}

/* A bar's number is the one on paper, however often it sounds (header of core/chart/form.h). */
static void
a_repeated_bar_keeps_its_number_on_paper(void **state)
{
  (void)state;
  static const int written[] = {0, 1, 2, 0, 1, 3};
  const RlForm    *form      = form_of("|: I | IV |1 V :|2 ii |");
  assert_int_equal(form->bars, 6);
  for (int i = 0; i < 6; ++i) {
    assert_int_equal(form->bar[i].written, written[i]);
  }
}

/* ---- sections, choruses, ending, lead-in ---- */

/* CHART.md: `[name]` a section. */
static void
a_section_lasts_until_the_next(void **state)
{
  (void)state;
  const RlForm *form = form_of("| I |\n[verse one] | IV | V |\n| ii [B]| I :|");
  assert_int_equal(form->sections, 2);
  /* I IV V ii I, twice: the repeat goes back to the start */
  static const char *const expected[] = {"", "verse one", "verse one", "verse one", "B",
                                         "", "verse one", "verse one", "verse one", "B"};
  assert_int_equal(form->bars, 10);
  for (int i = 0; i < 10; ++i) {
    slice_is(section_of(form, i), expected[i]);
  }
}

static void
a_sections_name_is_kept_as_typed_without_the_space_around_it(void **state)
{
  (void)state;
  slice_is(
    section_of(form_of("[0123456789012345678901234567890123456789012345678901234567890123] I"), 0),
    "0123456789012345678901234567890123456789012345678901234567890123");
  slice_is(section_of(form_of("[  stop-time \xE2\x99\xAD:| % ]| I |"), 0),
           "stop-time \xE2\x99\xAD:| %");
}

static void
a_section_ends_the_bar_before_it(void **state)
{
  (void)state;
  assert_string_equal(played("| I IV [B] V | ii |"), "I IV@2 | V | ii");
}

/* CHART.md: `choruses: N`, after which a section named `[ending]` (never part of a chorus) plays
   once. */
static void
the_ending_stands_behind_the_chorus_and_is_no_part_of_it(void **state)
{
  (void)state;
  const RlForm *form = form_of("choruses: 3\n| I | IV |\n[ending]\n| V | I |");
  assert_int_equal(form->choruses, 3);
  assert_int_equal(form->bars, 2);
  assert_int_equal(form->ending_bars, 2);
  assert_string_equal(shown_in(form, form->key, rl_harmony_degree), "I | IV || V | I");
}

static void
only_a_section_of_that_name_is_the_ending(void **state)
{
  (void)state;
  assert_int_equal(form_of("| I | [bnding] | V | [endings] | ii |")->bars, 3);
  assert_int_equal(form_of("| I | [Ending] | V |")->ending_bars, 1);
}

/* … wherever it stands on paper; other sections go on with the chorus. */
static void
a_section_behind_the_ending_belongs_to_the_chorus(void **state)
{
  (void)state;
  assert_string_equal(played("choruses: 2\n[ending] | V |\n[A] | I | IV :|\n[ending] | ii |"),
                      "I | IV | I | IV || V | ii");
}

static void
without_choruses_the_song_has_no_end(void **state)
{
  (void)state;
  assert_int_equal(form_of("| I |")->choruses, 0);
  assert_int_equal(form_of("choruses: 1\n| I |")->choruses, 1);
  assert_int_equal(form_of("choruses: 9999\n| I |")->choruses, 9999);
}

/* CHART.md: `lead-in: N` bars before bar 1 without chords. */
static void
a_lead_in_has_no_chords(void **state)
{
  (void)state;
  assert_int_equal(form_of("| I |")->lead_in, 0);
  const RlForm *form = form_of("lead-in: 2\n| I |");
  assert_int_equal(form->lead_in, 2);
  assert_int_equal(form->lead_in_from, 0);
  assert_int_equal(form_of("lead-in: 512\n| I |")->lead_in, 512);
  assert_int_equal(form_of("lead-in: 0\n| I |")->lead_in, 0);
}

/* CHART.md: `lead-in: N from B` which plays form bars B, B+1, … there. */
static void
a_lead_in_from_a_bar_plays_bars_of_the_form(void **state)
{
  (void)state;
  const RlForm *form = form_of("lead-in: 4 from 9\n| I | IV | V :|x4");
  assert_int_equal(form->lead_in, 4);
  assert_int_equal(form->lead_in_from, 9);
  assert_string_equal(error_of("| I | IV | V :|x4\nlead-in: 4 from 10"),
                      "line 2: the lead-in runs past the last bar of the form; begin it earlier or "
                      "make it shorter");
  assert_string_equal(error_of("choruses: 1\n| I |\n[ending] | V |\nlead-in: 1 from 2"),
                      "line 4: the lead-in runs past the last bar of the form; begin it earlier or "
                      "make it shorter");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_repeat_goes_back_to_its_opening),
    cmocka_unit_test(a_repeat_without_opening_goes_back_to_the_start),
    cmocka_unit_test(a_repeat_without_opening_goes_back_to_the_last_one),
    cmocka_unit_test(a_repeat_plays_as_often_as_it_says),
    cmocka_unit_test(one_sign_closes_a_repeat_and_opens_the_next),
    cmocka_unit_test(a_repeat_sign_may_stand_close_to_its_chord),
    cmocka_unit_test(a_repeat_in_the_ending_stays_in_the_ending),
    cmocka_unit_test(a_first_ending_is_left_out_of_the_last_pass),
    cmocka_unit_test(a_second_ending_may_be_opened_in_four_ways),
    cmocka_unit_test(a_double_bar_line_ends_a_second_ending),
    cmocka_unit_test(an_opening_repeat_ends_a_second_ending),
    cmocka_unit_test(a_section_ends_a_second_ending),
    cmocka_unit_test(a_second_ending_does_not_outlast_the_songs_ending),
    cmocka_unit_test(the_end_ends_a_second_ending),
    cmocka_unit_test(two_single_bar_lines_do_not_end_a_second_ending),
    cmocka_unit_test(a_repeated_bar_keeps_its_number_on_paper),
    cmocka_unit_test(a_section_lasts_until_the_next),
    cmocka_unit_test(a_sections_name_is_kept_as_typed_without_the_space_around_it),
    cmocka_unit_test(a_section_ends_the_bar_before_it),
    cmocka_unit_test(the_ending_stands_behind_the_chorus_and_is_no_part_of_it),
    cmocka_unit_test(only_a_section_of_that_name_is_the_ending),
    cmocka_unit_test(a_section_behind_the_ending_belongs_to_the_chorus),
    cmocka_unit_test(without_choruses_the_song_has_no_end),
    cmocka_unit_test(a_lead_in_has_no_chords),
    cmocka_unit_test(a_lead_in_from_a_bar_plays_bars_of_the_form),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
