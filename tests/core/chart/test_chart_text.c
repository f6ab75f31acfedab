/* SPDX-License-Identifier: ISC */
/* Headers, comments, how chords are named, and how much is read, against the reference,
   core/chart/CHART.md. */
#include "chart_reading.h"

#include <stdlib.h>
#include <string.h>

static RlForm     other_form;
static const char two_strains[] = TWO_STRAINS;

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

int
main(void)
{
  const struct CMUnitTest tests[] = {
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
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
