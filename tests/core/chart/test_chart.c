/* SPDX-License-Identifier: ISC */
/* The chart parser against its reference, core/chart/CHART.md: every construct, every limit, every
   preset, and one broken chart for each way of being broken. Sources stand beside the checks. The
   project's own folder is the first argument, else the environment's RL_TEST_DATA, else the macro
   of that name. */
#define _POSIX_C_SOURCE 200809L /* opendir */

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/chart/chart.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef RL_TEST_DATA
#define RL_TEST_DATA "."
#endif

enum { PATH_ROOM = 512, FILE_ROOM = 32768, SHOWN_ROOM = 32768 };

static const char  *project_dir = RL_TEST_DATA;
static RlForm       the_form, other_form;
static RlChartError the_error;

/* ---- reading, and showing what was read ---- */

static const RlForm *
form_of_slice(const RlSlice text)
{
  if (!rl_chart_read(text, &the_form, &the_error)) {
    char   buffer[RL_REASON_SIZE + 64];
    RlText shown = rl_text_in(buffer, sizeof(buffer));
    rl_chart_error_write(&the_error, &shown);
    fail_msg("should read, but: %s", buffer);
  }
  return &the_form;
}

static const RlForm *
form_of(const char *const text)
{
  return form_of_slice(rl_slice(text));
}

/* The full message of a chart that cannot be read. */
static const char *
error_of_slice(const RlSlice text)
{
  static char buffer[RL_REASON_SIZE + 64];
  RlText      shown = rl_text_in(buffer, sizeof(buffer));
  if (rl_chart_read(text, &the_form, &the_error)) {
    return "no error";
  }
  rl_chart_error_write(&the_error, &shown);
  return buffer;
}

static const char *
error_of(const char *const text)
{
  return error_of_slice(rl_slice(text));
}

typedef void NameWriter(const RlHarmony *, RlText *);

static void
bar_show(const RlForm *const form, const int index, const RlKey key, NameWriter *const write,
         RlText *const out)
{
  const RlBar *const bar   = &form->bar[index];
  const int          beats = index ? bar[-1].beats : 4;
  const int          unit  = index ? bar[-1].unit : 4;
  if (bar->beats != beats || bar->unit != unit) {
    rl_text_add_int(out, bar->beats);
    rl_text_add(out, "/");
    rl_text_add_int(out, bar->unit);
    rl_text_add(out, " ");
  }
  for (int i = 0; i < bar->chords; ++i) {
    const RlFormChord *const chord   = &form->chord[bar->first_chord + i];
    const RlHarmony          harmony = rl_harmony_of(chord->chord, key);
    rl_text_add(out, i ? " " : "");
    write(&harmony, out);
    if (chord->beat) {
      rl_text_add(out, "@");
      rl_text_add_int(out, chord->beat);
    }
  }
}

/* `I7 | IV7 V7@2 | 3/4 I7 || V7`: the bars as they sound, a meter where it differs from the bar
   before (the first from 4/4), `@` the beat from 0 where it is not 0, the ending behind `||`. */
static const char *
shown_in(const RlForm *const form, const RlKey key, NameWriter *const write)
{
  static char buffer[SHOWN_ROOM];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  for (int i = 0; i < form->bars + form->ending_bars; ++i) {
    rl_text_add(&out, !i ? "" : i == form->bars ? " || " : " | ");
    bar_show(form, i, key, write, &out);
  }
  return buffer;
}

static const char *
played(const char *const text)
{
  const RlForm *const form = form_of(text);
  return shown_in(form, form->key, rl_harmony_degree);
}

static const char *
by_letter(const char *const text, const int tonic, const bool minor)
{
  return shown_in(form_of(text), rl_key_named(tonic, minor), rl_harmony_name);
}

static void
slice_is(const RlSlice slice, const char *const expected)
{
  char         buffer[256];
  const size_t n = slice.length < sizeof(buffer) - 1 ? slice.length : sizeof(buffer) - 1;
  memcpy(buffer, slice.at, n);
  buffer[n] = '\0';
  assert_string_equal(buffer, expected);
}

/* The section's name of a bar, "" where the bar stands in none. */
static RlSlice
section_of(const RlForm *const form, const int index)
{
  const int section = form->bar[index].section;
  return section < form->sections ? rl_form_text(form, form->section[section])
                                  : (RlSlice){form->text, 0};
}

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

/* ---- headers, comments, text ---- */

/* CHART.md, Headers. Tempo: decimals are what users expect. */
static void
every_header_is_read(void **state)
{
  (void)state;
  const RlForm *form = form_of("title:   Two  words \n key:F#m\nmeter: 12/8\ntempo: 72.5\n"
                               "feel:\nlead-in: 2 from 1\nchoruses: 7\n| i7 | iv7 |");
  slice_is(rl_form_text(form, form->title), "Two  words");
  slice_is(rl_form_text(form, form->feel), "");
  assert_true(form->has_key);
  assert_true(form->key.minor);
  assert_int_equal(rl_spelling_class(form->key.tonic), 6);
  assert_true(form->tempo == 72.5);
  assert_int_equal(form->meter_beats, 12);
  assert_int_equal(form->meter_unit, 8);
  assert_int_equal(form->lead_in, 2);
  assert_int_equal(form->lead_in_from, 1);
  assert_int_equal(form->choruses, 7);
}

/* Core's own limits of a tempo, both of them included. */
static void
a_tempo_lies_between_20_and_400_and_may_have_decimals(void **state)
{
  (void)state;
  assert_true(form_of("tempo: 20\n| I |")->tempo == 20);
  assert_true(form_of("tempo: 400\n| I |")->tempo == 400);
  assert_true(form_of("tempo: 400.000\n| I |")->tempo == 400);
  assert_true(form_of("tempo: 66.25\n| I |")->tempo == 66.25);
  assert_true(form_of("tempo: 66.05\n| I |")->tempo == 66.05);
}

static void
headers_may_stand_anywhere_and_hold_for_the_whole_chart(void **state)
{
  (void)state;
  assert_string_equal(by_letter("| F7 | C7 |\nkey: C\nmeter: 3/4\n", 7, false), "3/4 C7 | G7");
}

static void
a_chart_without_headers_says_nothing_about_title_tempo_or_key(void **state)
{
  (void)state;
  const RlForm *form = form_of("| I |");
  slice_is(rl_form_text(form, form->title), "");
  slice_is(rl_form_text(form, form->feel), "");
  assert_true(form->tempo == 0);
  assert_false(form->has_key);
  /* plugin/PORTS.md, song_key: G if it does not say */
  assert_int_equal(rl_spelling_class(form->key.tonic), 7);
  assert_false(form->key.minor);
}

static void
a_headers_name_may_be_written_in_any_case(void **state)
{
  (void)state;
  const RlForm *form = form_of("Title: A\nLEAD-IN: 3\n| I |");
  slice_is(rl_form_text(form, form->title), "A");
  assert_int_equal(form->lead_in, 3);
}

/* CHART.md: Unknown headers are kept. */
static void
unknown_headers_are_kept(void **state)
{
  (void)state;
  const char *const text = "author: nobody\nnote_2: first: of two\nAuthor: somebody else\n| I |\n"
                           "last-line: x\n";
  const RlForm     *form = form_of(text);
  slice_is(rl_chart_header(form, "author"), "nobody");
  slice_is(rl_chart_header(form, "note_2"), "first: of two");
  slice_is(rl_chart_header(form, "last-line"), "x");
  assert_int_equal(rl_chart_header(form, "composer").length, 0);
  slice_is((RlSlice){form->text, form->text_length}, text);
  form = form_of("Az_-Zz09: all bytes of a name\nbitle: no title\n| I |");
  slice_is(rl_chart_header(form, "az_-zz09"), "all bytes of a name");
  slice_is(rl_chart_header(form, "bitle"), "no title");
  slice_is(rl_form_text(form, form->title), "");
}

/* CHART.md: `#` begins a comment line; `#` inside a line is a sharp. */
static void
comments_are_left_out_and_kept_in_the_text(void **state)
{
  (void)state;
  const char *const text = "# key: A\n#| V |\n| I | #IVdim7 |\n   # | V |\n\t#note: x\n| F#7 |";
  assert_string_equal(by_letter(text, 0, false), "C | F#dim7 | F#7");
  assert_int_equal(rl_chart_header(&the_form, "note").length, 0);
  slice_is((RlSlice){the_form.text, the_form.text_length}, text);
}

static bool
bars_equal(const RlBar *const a, const RlBar *const b)
{
  return a->first_chord == b->first_chord && a->first_change == b->first_change &&
         a->written == b->written && a->chords == b->chords && a->beats == b->beats &&
         a->unit == b->unit && a->section == b->section;
}

/* The same music; texts and spans may differ. */
static void
forms_equal(const RlForm *const a, const RlForm *const b)
{
  assert_int_equal(a->bars, b->bars);
  assert_int_equal(a->ending_bars, b->ending_bars);
  assert_int_equal(a->chords, b->chords);
  assert_int_equal(a->sections, b->sections);
  assert_int_equal(a->changes, b->changes);
  assert_int_equal(a->ending_changes, b->ending_changes);
  assert_int_equal(a->lead_in, b->lead_in);
  assert_int_equal(a->lead_in_from, b->lead_in_from);
  assert_int_equal(a->choruses, b->choruses);
  assert_int_equal(a->has_key, b->has_key);
  assert_int_equal(a->key.tonic.letter, b->key.tonic.letter);
  assert_int_equal(a->key.tonic.alter, b->key.tonic.alter);
  assert_int_equal(a->key.minor, b->key.minor);
  assert_true(a->tempo == b->tempo);
  assert_int_equal(a->meter_beats, b->meter_beats);
  assert_int_equal(a->meter_unit, b->meter_unit);
  assert_int_equal(a->title.length, b->title.length);
  assert_memory_equal(a->text + a->title.at, b->text + b->title.at, a->title.length);
  for (int i = 0; i < a->bars + a->ending_bars; ++i) {
    assert_true(bars_equal(&a->bar[i], &b->bar[i]));
    for (int axis = 0; axis < RL_AXES; ++axis) {
      assert_true(a->starts[axis][i + 1] == b->starts[axis][i + 1]);
    }
  }
  for (int i = 0; i < a->chords; ++i) {
    assert_true(rl_chord_same(a->chord[i].chord, b->chord[i].chord));
    assert_int_equal(a->chord[i].beat, b->chord[i].beat);
  }
  for (int i = 0; i < a->changes + a->ending_changes; ++i) {
    assert_int_equal(a->change[i].bar, b->change[i].bar);
    assert_int_equal(a->change[i].chord, b->change[i].chord);
    assert_int_equal(a->change[i].beat, b->change[i].beat);
  }
  for (int i = 0; i < a->sections; ++i) {
    assert_int_equal(a->section[i].length, b->section[i].length);
    assert_memory_equal(a->text + a->section[i].at, b->text + b->section[i].at,
                        a->section[i].length);
  }
}

/* STYLE: an error names the place. Here the line is what is easily got wrong. */
static void
a_fault_is_found_on_its_own_line(void **state)
{
  (void)state;
  assert_string_equal(error_of("| I7\n| H7 |"),
                      "line 2, bar 2: no such chord \"H7\"; letters run A to G, degrees I to VII");
  assert_string_equal(error_of("|2 I7 |"), "line 1: a second ending needs a first: |1 \xE2\x80\xA6 "
                                           ":|2 \xE2\x80\xA6");
  assert_string_equal(error_of("\x80"),
                      "line 1: this line holds a byte that is not text; save the chart as UTF-8");
  assert_string_equal(error_of("\n\x7F"),
                      "line 2: this line holds a byte that is not text; save the chart as UTF-8");
}

static const char two_strains[] =
  "# A remark.\ntitle: Two strains\nkey: Bb\ntempo: 88\nlead-in: 1 from 2\n"
  "choruses: 2\n[A]\n|: I7 | IV7 V7\n|1 2/4 % :|2 4/4 ii7 ||\n"
  "[ending]\n| N.C. | F7 |\n";

/* What users expect: charts come from every editor, on Windows too. */
static void
carriage_returns_before_newlines_change_nothing(void **state)
{
  (void)state;
  char   text[2 * sizeof(two_strains)];
  size_t n = 0;
  for (size_t i = 0; i + 1 < sizeof(two_strains); ++i) {
    if (two_strains[i] == '\n') {
      text[n++] = '\r';
    }
    text[n++] = two_strains[i];
  }
  other_form = *form_of(two_strains);
  assert_int_equal(other_form.bars, 6);
  forms_equal(form_of_slice((RlSlice){text, n}), &other_form);
}

/* A byte order mark in UTF-8 is three bytes, EF BB BF (RFC 3629 section 6). */
static void
a_byte_order_mark_changes_nothing(void **state)
{
  (void)state;
  char text[sizeof(two_strains) + 3] = "\xEF\xBB\xBF";
  memcpy(text + 3, two_strains, sizeof(two_strains));
  other_form = *form_of(two_strains);
  forms_equal(form_of(text), &other_form);
  const RlForm *const form = form_of("\xEF\xBB\xBFtitle: Marked\n| I |");
  slice_is(rl_form_text(form, form->title), "Marked");
}

/* ---- letters and degrees ---- */

/* CHART.md: With a `key:` letter chords first become degrees of the written key and so move with
   `song_key`. */
static void
letters_move_with_the_key_when_the_chart_names_one(void **state)
{
  (void)state;
  const char *const text = "key: C\n| C7 | F7/A | Bb7 | F#dim7 | Dm7 G7b9 | IV7 |";
  assert_string_equal(by_letter(text, 0, false), "C7 | F7/A | Bb7 | F#dim7 | Dm7 G7b9@2 | F7");
  assert_string_equal(by_letter(text, 2, false), "D7 | G7/B | C7 | G#dim7 | Em7 A7b9@2 | G7");
  assert_string_equal(by_letter("key: Dm\n| Dm7 | Bb7 | A7 |", 9, true), "Am7 | F7 | E7");
}

/* … "without one they stand as typed". */
static void
letters_stand_as_typed_in_a_chart_without_a_key(void **state)
{
  (void)state;
  const char *const text = "| C7 | F7/A | Gb | I7 | IV7/VI |";
  assert_string_equal(by_letter(text, 0, false), "C7 | F7/A | Gb | C7 | F7/A");
  assert_string_equal(by_letter(text, 2, false), "C7 | F7/A | Gb | D7 | G7/B");
}

/* CHART.md: the accidentals `F#`, `Bb`, `B♭`, and degrees with them. */
static void
music_signs_and_ascii_signs_are_the_same(void **state)
{
  (void)state;
  other_form = *form_of("key: Bb\n| Bb7b9 | F#7/C# | bVII7 | #IVdim |");
  forms_equal(form_of("key: B\xE2\x99\xAD\n| B\xE2\x99\xAD"
                      "7\xE2\x99\xAD"
                      "9 | F\xE2\x99\xAF"
                      "7/C"
                      "\xE2\x99\xAF | \xE2\x99\xADVII7 | \xE2\x99\xAFIVdim |"),
              &other_form);
}

/* ---- limits ---- */

static char *
filled(const size_t length)
{
  static const char head[] = "| I7 |\n#";
  char *const       text   = malloc(length);
  assert_non_null(text);
  memset(text, '-', length);
  memcpy(text, head, sizeof(head) - 1);
  return text;
}

/* CHART.md: Limits: 16 KiB of text; a KiB is 1024 bytes. */
static void
sixteen_kibibytes_of_text_are_read_and_one_byte_more_is_not(void **state)
{
  (void)state;
  char *text = filled(16384);
  form_of_slice((RlSlice){text, 16384});
  assert_int_equal(the_form.text_length, 16384);
  assert_int_equal(the_form.text[16384], '\0');
  free(text);
  text = filled(16385);
  assert_string_equal(error_of_slice((RlSlice){text, 16385}),
                      "line 1: the chart is longer than 16384 bytes; leave out comments or write "
                      "repeats");
  free(text);
}

/* CHART.md: 512 bars after repeats, the ending included (core/chart/form.h). */
static void
five_hundred_and_twelve_bars_are_read_and_one_more_is_not(void **state)
{
  (void)state;
  assert_int_equal(form_of("| I | IV :|x256")->bars, 512);
  assert_int_equal(form_of("lead-in: 1 from 512\n| I | IV :|x256")->lead_in_from, 512);
  assert_string_equal(
    error_of("| I | IV :|x256\nlead-in: 1 from 513"),
    "line 2: the lead-in runs past the last bar of the form; begin it earlier or make "
    "it shorter");
  assert_int_equal(form_of("| I |1 IV :|x256 |2 V")->bars, 512);
  assert_string_equal(
    error_of("| I | IV :|x256 V | I |"),
    "line 1, bar 3: more than 512 bars after repeats; write a shorter form or fewer "
    "repeats");
  assert_int_equal(form_of("choruses: 1\n| I :|x511\n[ending] | V |")->ending_bars, 1);
  assert_string_equal(
    error_of("choruses: 1\n| I :|x511\n[ending] | V | I |"),
    "line 3, bar 3: more than 512 bars after repeats; write a shorter form or fewer "
    "repeats");
}

/* Both limits of CHART.md at once: 512 bars with 8 chords in each. */
static void
five_hundred_and_twelve_bars_of_eight_chords_are_read(void **state)
{
  (void)state;
  static char buffer[RL_CHART_MAX];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&text, "meter: 8/8\n");
  for (int i = 0; i < 512; ++i) {
    rl_text_add(&text, "C D C D C D C D|");
  }
  const RlForm *form = form_of(buffer);
  assert_int_equal(form->bars, 512);
  assert_int_equal(form->chords, 4096);
  assert_int_equal(form->changes, 4096);
}

/* ---- files ---- */

/* Reads a whole file; true if it is there and fits. */
static bool
file_read(const char *const path, char *const to, const size_t room, size_t *const length)
{
  FILE *const file = fopen(path, "rb");
  if (!file) {
    return false;
  }
  *length        = fread(to, 1, room, file);
  const bool all = *length < room && !ferror(file);
  fclose(file);
  return all;
}

static void
path_in_project(char path[PATH_ROOM], const char *const folder, const char *const name,
                const char *const extension)
{
  const int n = snprintf(path, PATH_ROOM, "%s/%s/%s%s", project_dir, folder, name, extension);
  assert_true(n > 0 && n < PATH_ROOM);
}

/* The name without `.chart`; false if it has another extension. */
static bool
chart_name(const char *const file, char *const name, const size_t room)
{
  const char *const dot = strrchr(file, '.');
  if (!dot || strcmp(dot, ".chart") != 0 || (size_t)(dot - file) >= room) {
    return false;
  }
  memcpy(name, file, (size_t)(dot - file));
  name[dot - file] = '\0';
  return true;
}

/* Calls `check` for every chart of a folder; returns how many there were. */
static int
each_chart(const char *const folder, void (*const check)(const char *name, RlSlice text))
{
  static char text[FILE_ROOM];
  char        path[PATH_ROOM];
  char        name[PATH_ROOM];
  int         count = 0;
  path_in_project(path, folder, "", "");
  DIR *const dir = opendir(path);
  if (!dir) {
    fail_msg("no folder %s", path);
    return 0;
  }
  for (const struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
    size_t length = 0;
    if (!chart_name(entry->d_name, name, sizeof(name))) {
      continue;
    }
    path_in_project(path, folder, name, ".chart");
    assert_true(file_read(path, text, sizeof(text), &length));
    check(name, (RlSlice){text, length});
    ++count;
  }
  closedir(dir);
  return count;
}

/* Bars by counting on paper what each chart's own comment and signs say. */
static const struct {
  const char *name;
  int         bars, ending;
} presets[] = {
  {"aaba", 32, 0},
  {"ballad", 24, 0},
  {"crooked-blues", 13, 0}, /* twelve and a half: one of them in 2/4 */
  {"eight-bar", 8, 0},
  {"gospel", 16, 8},
  {"minor-modal", 24, 0}, /* eight twice, then eight */
  {"six-eight", 32, 0},
  {"sixteen-bar", 16, 0},
  {"slow-twelve-eight", 12, 0},
  {"twelve-bar", 12, 0},
  {"twelve-bar-jazz", 12, 0},
  {"twelve-bar-minor", 12, 0},
  {"twelve-bar-quick-change", 12, 0},
  {"twelve-bar-slow-drag", 12, 0},
  {"twelve-bar-turnaround", 12, 0},
  {"waltz", 32, 0}, /* AABB of eight each */
};

enum { PRESETS = sizeof(presets) / sizeof(presets[0]) };

static void
preset_check(const char *const name, const RlSlice text)
{
  for (int i = 0; i < PRESETS; ++i) {
    if (strcmp(name, presets[i].name) == 0) {
      const RlForm *const form = form_of_slice(text);
      if (form->bars != presets[i].bars || form->ending_bars != presets[i].ending) {
        fail_msg("%s has %d bars and %d in the ending, not %d and %d", name, form->bars,
                 form->ending_bars, presets[i].bars, presets[i].ending);
      }
      return;
    }
  }
  fail_msg("the preset %s is not in this test's table; count its bars", name);
}

static void
every_preset_has_as_many_bars_as_its_paper_says(void **state)
{
  (void)state;
  assert_int_equal(each_chart("presets", preset_check), PRESETS);
}

static int broken_failures;

static void
complain(const char *const name, const char *const what, const char *const seen)
{
  print_error("%s: %s\n  seen:     %s\n", name, what, seen);
  ++broken_failures;
}

static int
lines_of(const RlSlice text)
{
  int lines = 1;
  for (size_t i = 0; i < text.length; ++i) {
    lines += text.at[i] == '\n';
  }
  return lines;
}

/* STYLE: "an error a person sees names the place and the way out". The place: a line of the text,
   and a bar where the fault lies in one (the files named bar-…). The way out stands behind a
   semicolon, or as an example behind a colon. */
static void
place_and_way_out_check(const char *const name, const RlSlice text, const char *const message)
{
  int line = 0;
  int bar  = 0;
  int n    = 0;
  if (sscanf(message, "line %d%n", &line, &n) != 1 || line < 1 || line > lines_of(text)) {
    complain(name, "names no line of the text", message);
  }
  const char *reason   = message + n;
  const bool  with_bar = sscanf(reason, ", bar %d%n", &bar, &n) == 1;
  if (strncmp(name, "bar-", 4) == 0 && (!with_bar || bar < 1)) {
    complain(name, "names no bar", message);
  }
  reason += with_bar ? n : 0;
  if (strncmp(reason, ": ", 2) != 0) {
    complain(name, "has no reason behind the place", message);
    return;
  }
  reason += 2;
  const char *const semicolon = strstr(reason, "; ");
  const char *const colon     = strstr(reason, ": ");
  if ((!semicolon || strlen(semicolon) < 6) && (!colon || strlen(colon) < 4)) {
    complain(name, "names no way out", message);
  }
}

static void
broken_check(const char *const name, const RlSlice text)
{
  static char expected[RL_REASON_SIZE * 2];
  char        path[PATH_ROOM];
  size_t      length = 0;
  path_in_project(path, "tests/charts/broken", name, ".error");
  if (!file_read(path, expected, sizeof(expected) - 1, &length) || !length) {
    complain(name, "has no .error file", path);
    return;
  }
  expected[length - (expected[length - 1] == '\n')] = '\0';
  const char *const message                         = error_of_slice(text);
  if (strcmp(message, expected) != 0) {
    complain(name, "another message was expected", message);
    print_error("  expected: %s\n", expected);
  }
  place_and_way_out_check(name, text, message);
}

static void
every_broken_chart_is_refused_with_the_place_and_the_way_out(void **state)
{
  (void)state;
  enum { WAYS_OF_BEING_BROKEN = 70 }; /* at least; a missing folder must not pass */
  broken_failures = 0;
  assert_true(each_chart("tests/charts/broken", broken_check) >= WAYS_OF_BEING_BROKEN);
  assert_int_equal(broken_failures, 0);
}

/* After a failure the same form and error read a good chart as new ones do. */
static void
read_again_check(const char *const name, const RlSlice text)
{
  if (rl_chart_read(text, &the_form, &the_error)) {
    fail_msg("%s reads", name);
  }
  assert_true(the_error.reason[0] != '\0');
  if (!rl_chart_read(rl_slice(two_strains), &the_form, &the_error)) {
    fail_msg("after %s a good chart fails: %s", name, the_error.reason);
  }
  forms_equal(&the_form, &other_form);
  assert_int_equal(the_form.text_length, strlen(two_strains));
  assert_int_equal(the_error.line, 0);
  assert_int_equal(the_error.bar, 0);
  assert_string_equal(the_error.reason, "");
}

static void
a_failed_read_leaves_nothing_behind_for_the_next(void **state)
{
  (void)state;
  memset(&the_form, 0xA5, sizeof(the_form));
  memset(&the_error, 0xA5, sizeof(the_error));
  assert_true(rl_chart_read(rl_slice(two_strains), &other_form, &the_error));
  assert_true(each_chart("tests/charts/broken", read_again_check) >= 70);
}

/* What was in the form and the error before makes no difference. */
static void
a_form_need_not_be_cleared_before_reading(void **state)
{
  (void)state;
  memset(&the_form, 0, sizeof(the_form));
  other_form = *form_of(two_strains);
  memset(&the_form, 0xFF, sizeof(the_form));
  memset(&the_error, 0xFF, sizeof(the_error));
  forms_equal(form_of(two_strains), &other_form);
}

/* The text need not end in a zero byte, and what stands behind it is not read. */
static void
only_the_slice_is_read(void **state)
{
  (void)state;
  assert_string_equal(
    shown_in(form_of_slice((RlSlice){"| I | IV7 | V |", 8}), the_form.key, rl_harmony_degree),
    "I | IV");
}

static void
a_form_says_which_rules_it_was_read_under(void **state)
{
  (void)state;
  assert_int_equal(form_of("| I7 |\n")->rules, 2);
  assert_int_equal(form_of("chart-rules: 2\n| I7 |\n")->rules, 2);
  assert_int_equal(form_of("key: Am\nchart-rules: 1\n| VI7 |\n")->rules, 1);
}

/* The audio thread prints names, and does not look for how they are printed. */
static void
how_a_chord_is_printed_is_found_when_the_chart_is_read(void **state)
{
  (void)state;
  form_of("key: Dm\n| i7 | Bbmaj7#11 | C\xC3\xB8 | iim7b5/VII V7(b9,b13) |\n| V7/iv | A7alt/C# | "
          "N.C. | ivmMaj7 C5 |\n");
  assert_int_equal(the_form.changes, 10);
  for (int i = 0; i < the_form.changes; ++i) {
    const RlChord           chord = rl_form_chord(&the_form, i);
    const RlQualitySpelling found = rl_quality_spell(chord.quality);
    assert_int_equal(chord.spelling.base, found.base);
    assert_int_equal(chord.spelling.altered, found.altered);
    assert_true((chord.quality != RL_QUALITY_NONE) == (chord.spelling.base != 0));
  }
}

int
main(const int count, char *const *const arguments)
{
  const char *const environment = getenv("RL_TEST_DATA");
  project_dir = count > 1 ? arguments[1] : environment ? environment : RL_TEST_DATA;

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
    cmocka_unit_test(every_header_is_read),
    cmocka_unit_test(a_tempo_lies_between_20_and_400_and_may_have_decimals),
    cmocka_unit_test(headers_may_stand_anywhere_and_hold_for_the_whole_chart),
    cmocka_unit_test(a_chart_without_headers_says_nothing_about_title_tempo_or_key),
    cmocka_unit_test(a_headers_name_may_be_written_in_any_case),
    cmocka_unit_test(unknown_headers_are_kept),
    cmocka_unit_test(comments_are_left_out_and_kept_in_the_text),
    cmocka_unit_test(a_fault_is_found_on_its_own_line),
    cmocka_unit_test(carriage_returns_before_newlines_change_nothing),
    cmocka_unit_test(a_byte_order_mark_changes_nothing),
    cmocka_unit_test(letters_move_with_the_key_when_the_chart_names_one),
    cmocka_unit_test(letters_stand_as_typed_in_a_chart_without_a_key),
    cmocka_unit_test(music_signs_and_ascii_signs_are_the_same),
    cmocka_unit_test(sixteen_kibibytes_of_text_are_read_and_one_byte_more_is_not),
    cmocka_unit_test(five_hundred_and_twelve_bars_are_read_and_one_more_is_not),
    cmocka_unit_test(five_hundred_and_twelve_bars_of_eight_chords_are_read),
    cmocka_unit_test(every_preset_has_as_many_bars_as_its_paper_says),
    cmocka_unit_test(every_broken_chart_is_refused_with_the_place_and_the_way_out),
    cmocka_unit_test(a_failed_read_leaves_nothing_behind_for_the_next),
    cmocka_unit_test(a_form_need_not_be_cleared_before_reading),
    cmocka_unit_test(only_the_slice_is_read),
    cmocka_unit_test(a_form_says_which_rules_it_was_read_under),
    cmocka_unit_test(how_a_chord_is_printed_is_found_when_the_chart_is_read),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
