/* SPDX-License-Identifier: ISC */
/* Bars, chords and meters of a chart, against the reference, core/chart/CHART.md. Sources stand
   beside the checks. */
#include "chart_reading.h"

#include <string.h>

/* ---- bars and chords ---- */

/* The example at the head of CHART.md, by letter in G (the letters: I7 = G7 … common practice).
 */
static void
the_example_of_the_reference_reads_as_twelve_bars_in_g(void **state)
{
  (void)state;
  const char *const   text = "title: Ferry Street Slow Drag\n"
                             "key: G\n"
                             "meter: 4/4\n"
                             "tempo: 72\n"
                             "feel: swing\n"
                             "[A]\n"
                             "| I7   | IV7 | I7 | I7        |\n"
                             "| IV7  | %   | I7 | VI7       |\n"
                             "| ii7  | V7  | I7 | ii7 V7    |\n";
  const RlForm *const form = form_of(text);
  assert_int_equal(form->bars, 12);
  assert_string_equal(shown_in(form, form->key, rl_harmony_name),
                      "G7 | C7 | G7 | G7 | C7 | C7 | G7 | E7 | Am7 | D7 | G7 | Am7 D7@2");
  slice_is(rl_form_text(form, form->title), "Ferry Street Slow Drag");
  slice_is(rl_form_text(form, form->feel), "swing");
  slice_is(section_of(form, 0), "A");
  slice_is(section_of(form, 11), "A");
  assert_true(form->tempo == 72);
}

/* CHART.md: `|` ends a bar; bar lines with only space or a newline between them are one. */
static void
bar_lines_with_only_space_between_them_are_one(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 | IV7 |\n| V7 |\n|\n|\n\n| I7 |"), "I7 | IV7 | V7 | I7");
  assert_string_equal(played("I7 || IV7 ||| V7"), "I7 | IV7 | V7");
}

/* CHART.md: between plain bar lines in one line stands a bar; other signs may stand side by side.
 */
static void
an_empty_bar_is_an_error_that_offers_percent(void **state)
{
  (void)state;
  static const char *const bad[] = {"| G7 | | | C7 |", "| G7 | C7 | |", "| | G7 |",
                                    "| G7 |\xC2\xA0| C7 |"};
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    assert_non_null(strstr(error_of(bad[i]), "this bar is empty; write %"));
  }
  assert_string_equal(error_of(bad[0]), "line 1, bar 2: this bar is empty; write % to play the bar "
                                        "before once more, N.C. for no chord");
  assert_string_equal(played("| I7 || | IV7 | |: V7 :| | I7 |\n| ii |"),
                      "I7 | IV7 | V7 | V7 | I7 | ii");
  assert_string_equal(played("chart-rules: 1\n| I7 | | | IV7 |"), "I7 | IV7");
}

/* CHART.md, Bars: what else is written between chords. */
static void
marks_of_beats_comments_and_repeats_are_read_as_they_are_written(void **state)
{
  (void)state;
  static const struct {
    const char *chart, *played;
  } cases[] = {
    {"|: I7 | IV7 :| x3 V7", "I7 | IV7 | I7 | IV7 | I7 | IV7 | V7"},
    {"|: I7 :|x2 V7", "I7 | I7 | V7"},
    {"| I7 | IV7 |]", "I7 | IV7"},
    {"|: I7 :|]", "I7 | I7"},
    {"|: I7 |1. IV7 :|2. V7 ||", "I7 | IV7 | I7 | V7"},
    {"| I7 . . . | V7", "I7 | V7"},
    {"| I7 | . . . . | V7", "I7 | I7 | V7"},
    {"| I7 | . . . | V7", "I7 | I7 | V7"},
    {"| I7 IV7 | / / / / | V7", "I7 IV7@2 | IV7 | V7"},
    {"| I7 | / / V7 / |", "I7 | I7 V7@2"},
    {"| I7 | IV7 | # the quick change | V7 |\n| I7 |", "I7 | IV7 | I7"},
    {"| I7 # half\nIV7 | V7 #\n", "I7 IV7@2 | V7"},
    {"| I7 | #IVdim7 | I7 |", "I7 | #ivdim7 | I7"},
    {"|\xC2\xA0I7\xE2\x80\xAF|\xC2\xA0IV7\xC2\xA0V7 |", "I7 | IV7 V7@2"},
    {"key: G major\n| G7 | NC | N.C |", "I7 | N.C. | N.C."},
    {"key:\xC2\xA0"
     "E minor\n| Em |\n",
     "i"},
    {"key: G\n| G7(#9, b13) / D7 / |", "I7#9b13 V7@2"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    assert_string_equal(played(cases[i].chart), cases[i].played);
  }
  const RlForm *const form = form_of("lead-in: 2\xC2\xA0"
                                     "from\xC2\xA0"
                                     "1\n| I | V |");
  assert_int_equal(form->lead_in_from, 1);
}

/* CHART.md, Chords: what is meant after a slash. */
static void
a_ii_leads_to_the_dominant_of_the_same_degree(void **state)
{
  (void)state;
  assert_string_equal(played("| V7/V | I/III | V7/ii |"), "V7/V | I/III | V7/ii");
  assert_string_equal(played("| ii\xC3\xB8/ii V7/ii | ii7/V | I |"),
                      "ii7b5/ii V7/ii@2 | ii7/V | I");
  assert_string_equal(played("key: G\n| Bm7b5 E7 | D7/A | D7/F# |"), "iii7b5 VI7@2 | V7/A | V7/F#");
  const RlForm *form = form_of("key: G\n| ii7/V | % | V7/V |");
  assert_int_equal(form->chord[0].chord.of, RL_OF_MAJOR);
  assert_int_equal(form->chord[1].chord.of, RL_OF_MAJOR);
  form = form_of("key: G\n| ii7/V | V7/ii |");
  assert_true(form->chord[0].chord.has_bass);
  form = form_of("chart-rules: 1\n| ii7/V | V7/V |");
  assert_true(form->chord[0].chord.has_bass && form->chord[1].chord.has_bass);
}

/* CHART.md, Rules. */
static void
an_old_session_keeps_its_meaning(void **state)
{
  (void)state;
  static RlForm scratch[2];
  static char   buffer[2 * RL_CHART_MAX];
  static const struct {
    const char *chart;
    bool        marked;
  } cases[] = {
    {"key: G\n| I7 | VI7 |", false},
    {"key: Am\n| i7 | bVI7 | V7 |", false},
    {"key: Am\n| i7 | VI7 |", true},
    {"| I7 | | IV7 |", true},
    {"| V7/V |", true},
    {"| I/III | V7/D |", false},
    {"key: Am\n| Am | F7 |", false},
    {"| H7 |", false},
    {"chart-rules: 2\n| V7/V |", false},
    {"| V7(b9) | C69 |", false},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    RlText text = rl_text_in(buffer, sizeof(buffer));
    assert_true(rl_chart_of_rules_1(rl_slice(cases[i].chart), scratch, &text));
    const char *const line   = "chart-rules: 1\n";
    const bool        marked = !strncmp(buffer, line, strlen(line));
    assert_int_equal(marked, cases[i].marked);
    assert_string_equal(buffer + (marked ? strlen(line) : 0), cases[i].chart);
  }
  const RlForm *form = form_of("key: Am\n| VI7 |");
  assert_int_equal(form->chord[0].chord.root.alter, -1);
  form = form_of("chart-rules: 1\nkey: Am\n| VI7 |");
  assert_int_equal(form->chord[0].chord.root.alter, 0);
  static const char bar[] = "| V7/V |";
  static char       full[RL_CHART_MAX + 1];
  memset(full, ' ', RL_CHART_MAX);
  for (int i = 0; bar[i]; ++i) {
    full[i] = bar[i];
  }
  RlText text = rl_text_in(buffer, sizeof(buffer));
  assert_false(rl_chart_of_rules_1(rl_slice(full), scratch, &text));
}

static void
a_key_stays_as_it_is_spelled(void **state)
{
  (void)state;
  const RlForm *const form = form_of("key: Gb\n| I |");
  char                name[RL_NAME_SIZE];
  static const struct {
    int         port;
    const char *name;
  } keys[] = {{12, "Gb"}, {6, "Gb"}, {1, "Db"}, {7, "G"}};
  for (size_t i = 0; i < sizeof(keys) / sizeof(keys[0]); ++i) {
    RlText text = rl_text_in(name, sizeof(name));
    rl_key_write(rl_form_key(form, keys[i].port), &text);
    assert_string_equal(name, keys[i].name);
  }
}

/* CHART.md: only `|` ends a bar, so a newline alone does not. */
static void
a_newline_does_not_end_a_bar(void **state)
{
  (void)state;
  assert_string_equal(played("| I7\nIV7 | V7\n\n# remark\nfeel: slow\n/ |"), "I7 IV7@2 | V7");
}

/* CHART.md: Chords in a bar share it equally; the last bar needs no bar line (what users
   expect). */
static void
chords_in_a_bar_share_it_equally(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 IV7 | ii7 V7 I7 VI7"), "I7 IV7@2 | ii7 V7@1 I7@2 VI7@3");
  assert_string_equal(played("meter: 3/4\n| I IV V |"), "3/4 I IV@1 V@2");
  assert_string_equal(played("meter: 12/8\n| I IV I V | I IV V |"),
                      "12/8 I IV@3 I@6 V@9 | I IV@4 V@8");
}

/* CHART.md: `/` standing alone holds the chord before it one share longer (`| I7 / / V7 |`). */
static void
a_slash_alone_holds_the_chord_one_share_longer(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 / / V7 |"), "I7 V7@3");
  assert_string_equal(played("| I7 IV7 / / |"), "I7 IV7@1");
  assert_string_equal(played("| N.C. / / V7 |"), "N.C. V7@3");
  assert_string_equal(played("| I7 / / / |"), "I7");
}

/* CHART.md: The shares must divide the meter's numerator (3 or 6 in 6/8); 1 and 2 divide 6
   too. */
static void
shares_divide_the_meters_numerator(void **state)
{
  (void)state;
  assert_string_equal(played("meter: 6/8\n| I | I IV | I / IV | I / / / / IV |"),
                      "6/8 I | I IV@3 | I IV@4 | I IV@5");
  assert_string_equal(
    error_of("meter: 6/8\n| I IV I V |"),
    "line 2, bar 1: 4 chords do not share 6 beats equally; hold a chord longer with / "
    "until the number divides 6");
  for (int beats = 1; beats <= 32; ++beats) {
    for (int shares = 1; shares <= 33; ++shares) {
      char   buffer[256];
      RlText text = rl_text_in(buffer, sizeof(buffer));
      rl_text_add(&text, "meter: ");
      rl_text_add_int(&text, beats);
      rl_text_add(&text, "/4\n| I");
      for (int i = 1; i < shares; ++i) {
        rl_text_add(&text, " /");
      }
      const bool reads = rl_chart_read(rl_slice(buffer), &the_form, &the_error);
      if (reads != (beats % shares == 0)) {
        fail_msg("%d shares in %d beats: read %d", shares, beats, reads);
      }
    }
  }
}

/* CHART.md: `N.C.` no chord. */
static void
no_chord_is_a_chord_of_its_own(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 N.C. | N.C. | % | V7 |"), "I7 N.C.@2 | N.C. | N.C. | V7");
  const RlForm *const form = form_of("| N.C. | I7 |");
  assert_false(rl_harmony_of(form->chord[0].chord, form->key).sounding);
  assert_true(rl_harmony_of(form->chord[1].chord, form->key).sounding);
}

/* CHART.md: `%` the bar before it on paper (an error in the first bar). */
static void
percent_is_the_bar_before_it(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 / / V7 | % | % | IV7 | % |"),
                      "I7 V7@3 | I7 V7@3 | I7 V7@3 | IV7 | IV7");
  assert_string_equal(played("choruses: 1\n| I7 | IV7 |\n[ending]\n| % |"), "I7 | IV7 || IV7");
  assert_string_equal(
    error_of("| % |"),
    "line 1, bar 1: % repeats the bar before, and there is none; write the chord");
}

/* The bar before on paper (CHART.md), not the one that sounded before: I here. */
static void
percent_looks_back_on_paper_not_in_time(void **state)
{
  (void)state;
  assert_string_equal(played("| I | IV |1 V :|2 % |"), "I | IV | V | I | IV | V");
}

/* The bar before, laid along this bar's own meter: shares are shares (CHART.md). */
static void
percent_takes_the_shares_along_into_a_new_meter(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 IV7 | 6/8 % | 2/4 % |"),
                      "I7 IV7@2 | 6/8 I7 IV7@3 | 2/4 I7 IV7@1");
}

/* CHART.md, Limits: 8 chords a bar; past them an error. */
static void
a_bar_holds_eight_chords_and_no_more(void **state)
{
  (void)state;
  assert_string_equal(played("meter: 8/8\n| I IV I IV I IV I V |"),
                      "8/8 I IV@1 I@2 IV@3 I@4 IV@5 I@6 V@7");
  assert_string_equal(error_of("meter: 9/8\n| I IV I IV I IV I V I |"),
                      "line 2, bar 1: more than 8 chords in a bar; put a bar line between them");
}

/* ---- meters ---- */

/* CHART.md: `3/4` at the head of a bar changes it from there on paper. */
static void
a_meter_holds_from_its_bar_on(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 | 3/4 IV7 | V7 | 4/4 I7 |"), "I7 | 3/4 IV7 | V7 | 4/4 I7");
  assert_string_equal(played("meter: 12/8\n| I7 |2/4 IV7 |12/8 V7 |"),
                      "12/8 I7 | 2/4 IV7 | 12/8 V7");
  assert_string_equal(played("| 32/32 I7 | 1/1 IV7 | 7/16 V7 | 3/2 I7 |"),
                      "32/32 I7 | 1/1 IV7 | 7/16 V7 | 3/2 I7");
}

/* CHART.md: a bar keeps its meter on every pass. */
static void
a_bar_keeps_its_meter_on_every_pass(void **state)
{
  (void)state;
  assert_string_equal(played("| I7 | 3/4 IV7 :| V7 |"), "I7 | 3/4 IV7 | 4/4 I7 | 3/4 IV7 | V7");
  assert_string_equal(played("|: I7 |1 2/4 IV7 :|2 V7 | 4/4 I7 |"),
                      "I7 | 2/4 IV7 | 4/4 I7 | 2/4 V7 | 4/4 I7");
}

/* CHART.md: Digits followed by `/` are a meter, an ending's number otherwise. */
static void
digits_before_a_slash_are_a_meter_and_no_ending(void **state)
{
  (void)state;
  assert_string_equal(played("|1/4 I |2/4 IV :|2/4 V |"), "1/4 I | 2/4 IV | 1/4 I | 2/4 IV | V");
  assert_string_equal(played("| I |1 IV :|2 3/4 V |"), "I | IV | I | 3/4 V");
  assert_string_equal(played("|9/8 I | 10/8 IV | 9/8 V |"), "9/8 I | 10/8 IV | 9/8 V");
}

/* CHART.md: `meter:` (default 4/4). */
static void
the_header_gives_the_first_meter_and_four_four_is_the_default(void **state)
{
  (void)state;
  const RlForm *form = form_of("| I |");
  assert_int_equal(form->meter_beats, 4);
  assert_int_equal(form->meter_unit, 4);
  assert_int_equal(form->bar[0].beats, 4);
  form = form_of("| I | 3/4 IV |\nmeter: 6/8");
  assert_int_equal(form->meter_beats, 6);
  assert_int_equal(form->meter_unit, 8);
  assert_int_equal(form->bar[0].beats, 6);
  assert_int_equal(form->bar[0].unit, 8);
  assert_int_equal(form->bar[1].beats, 3);
  assert_int_equal(form->bar[1].unit, 4);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_example_of_the_reference_reads_as_twelve_bars_in_g),
    cmocka_unit_test(bar_lines_with_only_space_between_them_are_one),
    cmocka_unit_test(an_empty_bar_is_an_error_that_offers_percent),
    cmocka_unit_test(marks_of_beats_comments_and_repeats_are_read_as_they_are_written),
    cmocka_unit_test(a_ii_leads_to_the_dominant_of_the_same_degree),
    cmocka_unit_test(an_old_session_keeps_its_meaning),
    cmocka_unit_test(a_key_stays_as_it_is_spelled),
    cmocka_unit_test(a_newline_does_not_end_a_bar),
    cmocka_unit_test(chords_in_a_bar_share_it_equally),
    cmocka_unit_test(a_slash_alone_holds_the_chord_one_share_longer),
    cmocka_unit_test(shares_divide_the_meters_numerator),
    cmocka_unit_test(no_chord_is_a_chord_of_its_own),
    cmocka_unit_test(percent_is_the_bar_before_it),
    cmocka_unit_test(percent_looks_back_on_paper_not_in_time),
    cmocka_unit_test(percent_takes_the_shares_along_into_a_new_meter),
    cmocka_unit_test(a_bar_holds_eight_chords_and_no_more),
    cmocka_unit_test(a_meter_holds_from_its_bar_on),
    cmocka_unit_test(a_bar_keeps_its_meter_on_every_pass),
    cmocka_unit_test(digits_before_a_slash_are_a_meter_and_no_ending),
    cmocka_unit_test(the_header_gives_the_first_meter_and_four_four_is_the_default),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
