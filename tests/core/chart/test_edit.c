/* SPDX-License-Identifier: ISC */
/* Editing a chart bar by bar. What must hold for any chart is checked on the presets, on one chart
   for each thing the syntax knows (core/chart/CHART.md), and on charts by chance: a bar's own words
   change nothing, other words change that bar alone on every pass, and no byte outside of it is
   lost. What particular edits give stands written out. The project's own folder is the first
   argument, else the environment's RL_TEST_DATA. */
#define _POSIX_C_SOURCE 200809L /* opendir */

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/chart/chart.h"
#include "core/chart/edit.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef RL_TEST_DATA
#define RL_TEST_DATA "."
#endif

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static const char *project_dir = RL_TEST_DATA;
static RlForm      before, after;
static char        edited_text[RL_CHART_SIZE];
static RlText      edited;

static uint64_t chance_state;

/* 0 up to `below` - 1; the generator is Knuth's MMIX congruence, its upper bits. */
static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

static bool
reads(RlForm *const form, const RlSlice text)
{
  RlChartError error;
  return rl_chart_read(text, form, &error);
}

static void
must_read(RlForm *const form, const RlSlice text)
{
  RlChartError error;
  if (!rl_chart_read(text, form, &error)) {
    fail_msg("line %d: %s in:\n%.*s", error.line, error.reason, (int)text.length, text.at);
  }
}

static RlSlice
edited_slice(void)
{
  return (RlSlice){edited.to, edited.used};
}

/* What rl_chart_edit_text() gives for a bar of `before`. */
static const char *
words_of(const int written)
{
  static char buffer[RL_CHART_SIZE];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_chart_edit_text(&before, written, &text);
  return buffer;
}

/* ---- charts ---- */

/* One for each thing the syntax knows; most of them stand in test_chart.c too. */
static const char *const charts[] = {
  // NOLINTBEGIN(bugprone-suspicious-missing-comma): a chart of several lines
  "title: Ferry Street Slow Drag\nkey: G\nmeter: 4/4\ntempo: 72\nfeel: swing\n[A]\n"
  "| I7   | IV7 | I7 | I7        |\n| IV7  | %   | I7 | VI7       |\n"
  "| ii7  | V7  | I7 | ii7 V7    |\n",
  // NOLINTEND(bugprone-suspicious-missing-comma)
  "| I7 | IV7 |\n| V7 |\n|\n|\n\n| I7 |",
  "I7 || IV7 ||| V7",
  "| I7\nIV7 | V7\n\n# remark\nfeel: slow\n/ |",
  "| I7 IV7 | ii7 V7 I7 VI7",
  "meter: 3/4\n| I IV V |",
  "meter: 12/8\n| I IV I V | I IV V |",
  "meter: 6/8\n| I | I IV | I / IV | I / / / / IV |",
  "| I7 N.C. | N.C. | % | V7 |",
  "| I7 / / V7 | % | % | IV7 | % |",
  "choruses: 1\n| I7 | IV7 |\n[ending]\n| % |",
  "| I | IV |1 V :|2 % |",
  "| I7 IV7 | 6/8 % | 2/4 % |",
  "| I7 | 3/4 IV7 | V7 | 4/4 I7 |",
  "meter: 12/8\n| I7 |2/4 IV7 |12/8 V7 |",
  "| I7 | 3/4 IV7 :| V7 |",
  "|: I7 |1 2/4 IV7 :|2 V7 | 4/4 I7 |",
  "|1/4 I |2/4 IV :|2/4 V |",
  "|9/8 I | 10/8 IV | 9/8 V |",
  "| 3/4 | I | 2/4\n# remark\nIV | V | 4/4 |",
  "| I |: IV | V :| ii |",
  "| I :| IV | V :| ii :|",
  "|: I | IV :|x3 V |",
  "| I :|x2 V :|x4",
  "|: I :|: IV :| V",
  "|: I :||: IV :| V",
  "|:I7|IV7:|V7",
  "I7:|x3\nV7:|",
  "I |\nV7:|\n",
  "choruses: 2\n| I | IV |\n[ending]\n| V | ii :| I |",
  "choruses: 2\n| I |\n[ending]\n| V |: ii |1 IV :|2 V | I",
  "|: I | IV |1 V | ii :|2 VI | I |",
  "|: I |1 V :|x3 |2 ii |",
  "| I |1 V |2 ii |",
  "| I |1 V :| |2 ii |",
  "| I |1 V :|\n     |2 ii |",
  "|: I |1 V :|2 ii || |: IV :|",
  "|: I |1 V :|2 ii ||: IV :|",
  "|: I |1 V :|2 ii |\n[B]\n| IV :|",
  "choruses: 1\n| I |1 V :|2 ii |\n[ending] | IV |\n[B] | vi :|",
  "|: I |1 V :|2 ii | IV | V |",
  "| I |\n[verse one] | IV | V |\n| ii [B]| I :|",
  "[  stop-time \xE2\x99\xAD:| % ]| I |",
  "choruses: 2\n[ending] | V |\n[A] | I | IV :|\n[ending] | ii |",
  "lead-in: 4 from 9\n| I | IV | V :|x4",
  "| F7 | C7 |\nkey: C\nmeter: 3/4\n",
  "author: nobody\nnote_2: first: of two\nAuthor: somebody else\n| I |\nlast-line: x\n",
  "# key: A\n#| V |\n| I | #IVdim7 |\n   # | V |\n\t#note: x\n| F#7 |",
  "title: Marked\r\n# by hand\r\n| I7 | % |\r\n| IV7\r\n# more\r\n/ / V7 |\r\n\r\n",
  "\xEF\xBB\xBFtitle: Marked\n| I | V |",
  "key: C\n| C7 | F7/A | Bb7 | F#dim7 | Dm7 G7b9 | IV7 |",
  "key: B\xE2\x99\xAD\n| B\xE2\x99\xAD"
  "7\xE2\x99\xAD"
  "9 | F\xE2\x99\xAF"
  "7/C\xE2\x99\xAF |",
  "| I | IV :|x256",
  "|:I7|1IV7:|2V7|\n",
  "| I|II|\n#III|\n",
};

/* ---- what must hold ---- */

typedef void Check(int written);

/* Calls `check` for every bar on paper of a chart, read into `before`. */
static void
each_bar(const RlSlice text, Check *const check)
{
  must_read(&before, text);
  for (int i = 0; i < before.paper_bars; ++i) {
    check(i);
  }
}

static bool
is_word_of_a_bar(const char c)
{
  return !strchr(" \t\r\n|[]", c);
}

/* Bars on paper stand in their order, begin and end with a word, and every played bar is one. */
static void
paper_is_sound(const int written)
{
  const RlSpan here = before.paper[written];
  const RlSpan last = before.paper[written ? written - 1 : 0];
  assert_true(here.length > 0 && here.at + here.length <= before.text_length);
  assert_true(!written || last.at + last.length < here.at);
  assert_true(is_word_of_a_bar(before.text[here.at]));
  assert_true(is_word_of_a_bar(before.text[here.at + here.length - 1]));
  int passes = 0;
  for (int i = 0; i < before.bars + before.ending_bars; ++i) {
    assert_true(before.bar[i].written < before.paper_bars);
    passes += before.bar[i].written == written;
  }
  assert_true(passes > 0);
}

static void
own_words_change_nothing(const int written)
{
  const char *const refused =
    rl_chart_edit_bar(&before, written, rl_slice(words_of(written)), &edited);
  assert_null(refused);
  assert_int_equal(edited.used, before.text_length);
  assert_memory_equal(edited.to, before.text, before.text_length);
}

/* The meters at a bar's head, with a space behind. */
static const char *
meters_of(const int written)
{
  static char buffer[RL_CHART_SIZE];
  size_t      n = 0;
  snprintf(buffer, sizeof(buffer), "%s", words_of(written));
  while (buffer[n] >= '0' && buffer[n] <= '9') {
    n += strcspn(buffer + n, " \t");
    n += strspn(buffer + n, " \t");
  }
  buffer[n] = '\0';
  return buffer;
}

static bool
as_before(const int written)
{
  if (written >= before.paper_bars) {
    return false;
  }
  const char *const words = words_of(written) + strlen(meters_of(written));
  return strcmp(words, "%") == 0 || strcmp(words, "/") == 0;
}

static const char other[] = "bII13"; /* in none of the charts */

/* The bar with another chord, in the same meter. */
static RlSlice
other_words(const int written)
{
  static char buffer[RL_CHART_SIZE];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&text, meters_of(written));
  rl_text_add(&text, other);
  return (RlSlice){buffer, text.used};
}

/* Does bar `there` sound what stands in bar `written`: itself, or a % that leads back to it? */
static bool
follows(const int there, const int written)
{
  int bar = written;
  while (bar < there && as_before(bar + 1)) {
    ++bar;
  }
  return there >= written && bar == there;
}

static void
same_bar(const RlBar *const a, const RlBar *const b, const bool chords)
{
  assert_int_equal(a->beats, b->beats);
  assert_int_equal(a->unit, b->unit);
  assert_int_equal(a->section, b->section);
  if (!chords) {
    return;
  }
  assert_int_equal(a->chords, b->chords);
  for (int i = 0; i < a->chords; ++i) {
    const RlFormChord *const here  = &before.chord[a->first_chord + i];
    const RlFormChord *const there = &after.chord[b->first_chord + i];
    assert_true(rl_chord_same(here->chord, there->chord));
    assert_int_equal(here->beat, there->beat);
  }
}

static void
is_other(const RlBar *const bar)
{
  RlChord chord;
  assert_int_equal(rl_chord_read(rl_slice(other), &chord), RL_CHORD_OK);
  assert_int_equal(bar->chords, 1);
  assert_true(rl_chord_same(after.chord[bar->first_chord].chord, chord));
}

/* Every comment, header and line end inside the bar is still there, and all outside of it. */
static void
nothing_outside_is_lost(const int written)
{
  const RlSpan here = before.paper[written];
  const size_t end  = (size_t)here.at + here.length;
  const size_t tail = before.text_length - end;
  assert_memory_equal(edited.to, before.text, here.at);
  assert_true(edited.used >= tail);
  assert_memory_equal(edited.to + edited.used - tail, before.text + end, tail);
  const char *at = edited.to + here.at;
  for (size_t i = here.at; i < end; ++i) {
    const char *const line = before.text + i;
    if (*line != '\n') {
      continue;
    }
    at = strchr(at, '\n');
    assert_non_null(at);
    ++at;
    if (line[1] == '#' || strncmp(line + 1, "feel:", 5) == 0) {
      assert_memory_equal(at, line + 1, strcspn(line + 1, "\n"));
    }
  }
}

static void
other_words_change_that_bar_alone(const int written)
{
  assert_null(rl_chart_edit_bar(&before, written, other_words(written), &edited));
  nothing_outside_is_lost(written);
  must_read(&after, edited_slice());
  assert_int_equal(after.paper_bars, before.paper_bars);
  assert_int_equal(after.bars, before.bars);
  assert_int_equal(after.ending_bars, before.ending_bars);
  assert_int_equal(after.lead_in, before.lead_in);
  for (int i = 0; i < before.bars + before.ending_bars; ++i) {
    const bool changed = follows(before.bar[i].written, written);
    assert_int_equal(after.bar[i].written, before.bar[i].written);
    same_bar(&before.bar[i], &after.bar[i], !changed);
    if (changed) {
      is_other(&after.bar[i]);
    }
  }
}

static void
other_words_and_back_again_are_the_same_song(const int written)
{
  static RlForm song;
  static char   words[RL_CHART_SIZE];
  const RlSlice there = other_words(written);
  RlText        text  = rl_text_in(words, sizeof(words));
  song                = before;
  rl_text_add(&text, words_of(written));
  assert_null(rl_chart_edit_bar(&before, written, there, &edited));
  must_read(&before, edited_slice());
  assert_string_equal(words_of(written), there.at);
  assert_null(rl_chart_edit_bar(&before, written, rl_slice(words), &edited));
  must_read(&after, edited_slice());
  before = song;
  assert_int_equal(after.bars, before.bars);
  for (int i = 0; i < before.bars + before.ending_bars; ++i) {
    same_bar(&before.bar[i], &after.bar[i], true);
  }
}

static int
passes_of(const RlForm *const form, const int written)
{
  int passes = 0;
  for (int i = 0; i < form->bars + form->ending_bars; ++i) {
    passes += form->bar[i].written == written;
  }
  return passes;
}

static void
a_new_bar_comes_behind_its_own_on_every_pass(const int written)
{
  const int all = before.bars + before.ending_bars;
  assert_null(rl_chart_edit_insert(&before, written, rl_slice(other), &edited));
  assert_int_equal(edited.used, before.text_length + 3 + strlen(other));
  if (all + passes_of(&before, written) > RL_BARS_MAX) {
    assert_false(reads(&after, edited_slice()));
    return;
  }
  must_read(&after, edited_slice());
  assert_int_equal(after.paper_bars, before.paper_bars + 1);
  int at = 0;
  for (int i = 0; i < all; ++i, ++at) {
    const int  old     = before.bar[i].written;
    const bool changed = old > written && as_before(written + 1) && follows(old, written + 1);
    same_bar(&before.bar[i], &after.bar[at], !changed);
    assert_int_equal(after.bar[at].written, old + (old > written));
    if (old == written) {
      is_other(&after.bar[++at]);
      assert_int_equal(after.bar[at].written, written + 1);
    }
  }
  assert_int_equal(after.bars + after.ending_bars, at);
}

static int deleted, undeletable;

static void
a_deleted_bar_is_gone_and_the_others_stay(const int written)
{
  const char *const refused = rl_chart_edit_delete(&before, written, &edited);
  if (before.paper_bars == 1) {
    assert_non_null(refused);
    assert_int_equal(edited.used, 0);
    return;
  }
  assert_null(refused);
  if (!reads(&after, edited_slice())) {
    ++undeletable;
    /* where nothing repeats, nothing but a % in need of it holds a bar */
    assert_true(strstr(before.text, ":|") || strstr(before.text, "|1") || before.bars == 1 ||
                before.lead_in_from || as_before(written + 1));
    return;
  }
  ++deleted;
  assert_int_equal(after.paper_bars, before.paper_bars - 1);
  int at = 0;
  for (int i = 0; i < before.bars + before.ending_bars; ++i) {
    const int  old     = before.bar[i].written;
    const bool changed = old > written && as_before(written + 1) && follows(old, written + 1);
    if (old != written) {
      same_bar(&before.bar[i], &after.bar[at], !changed);
      assert_int_equal(after.bar[at].written, old - (old > written));
      ++at;
    }
  }
  assert_int_equal(after.bars + after.ending_bars, at);
}

static Check *const checks[] = {
  paper_is_sound,
  own_words_change_nothing,
  other_words_change_that_bar_alone,
  other_words_and_back_again_are_the_same_song,
  a_new_bar_comes_behind_its_own_on_every_pass,
  a_deleted_bar_is_gone_and_the_others_stay,
};

static void
check_all(const RlSlice text)
{
  for (size_t i = 0; i < COUNT(checks); ++i) {
    each_bar(text, checks[i]);
  }
}

static void
an_edit_changes_its_bar_alone_for_every_sign_of_the_syntax(void **state)
{
  (void)state;
  for (size_t i = 0; i < COUNT(charts); ++i) {
    check_all(rl_slice(charts[i]));
  }
}

static void
an_edit_changes_its_bar_alone_in_every_preset(void **state)
{
  (void)state;
  static char text[RL_CHART_SIZE];
  char        path[512];
  int         count = 0;
  snprintf(path, sizeof(path), "%s/presets", project_dir);
  DIR *const dir = opendir(path);
  assert_non_null(dir);
  for (const struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
    if (strlen(entry->d_name) < 6 || !strstr(entry->d_name, ".chart")) {
      continue;
    }
    snprintf(path, sizeof(path), "%s/presets/%s", project_dir, entry->d_name);
    FILE *const file = fopen(path, "rb");
    assert_non_null(file);
    const size_t length = fread(text, 1, sizeof(text), file);
    fclose(file);
    check_all((RlSlice){text, length});
    ++count;
  }
  closedir(dir);
  assert_true(count >= 16);
}

/* ---- charts by chance ---- */

static char   chance_text[4096];
static RlText chance_chart;

static void
put(const char *const text)
{
  rl_text_add(&chance_chart, text);
}

static const char *
one_of(const char *const *const words, const int count)
{
  return words[chance(count)];
}

/* Between words: a space, several, or a line end with a comment or header behind. */
static void
put_space(const bool needed)
{
  static const char *const spaces[] = {" ", " ", " ", "  ", "\t", " \t "};
  static const char *const lines[]  = {"\n",         "\r\n",       "\n\n  ",
                                       "\n# |: x\n", "\r\n#y\r\n", "\nother: z\n"};
  const int                how      = chance(12);
  if (how || needed) {
    put(how < 9 && (needed || how > 2) ? one_of(spaces, COUNT(spaces)) : "");
    put(how >= 11 || (needed && how == 9) ? one_of(lines, COUNT(lines)) : "");
    put(needed ? " " : "");
  }
}

static void
put_bar(void)
{
  static const char *const chords[] = {"I7", "IV7", "V7",   "ii7",  "bVII9",         "#IVdim7",
                                       "vi", "%",   "N.C.", "C7/E", "B\xE2\x99\xAD", "F#m7b5",
                                       "%"};
  static const char *const meters[] = {"4/4", "4/4", "2/4", "8/8", "12/8"};
  put_space(false);
  if (chance(6) == 0) {
    put(one_of(meters, COUNT(meters)));
    put_space(true);
  }
  const char *const first = one_of(chords, COUNT(chords));
  put(first);
  if (strcmp(first, "%") != 0 && chance(3) == 0) { /* two shares go into all of these meters */
    put_space(true);
    put(chance(3) ? one_of(chords, 7) : "/");
  }
  put_space(false);
}

static void
put_bars(const char *const behind)
{
  for (int i = chance(4); i >= 0; --i) {
    put_bar();
    put(i ? "|" : behind);
  }
}

static void
put_strain(void)
{
  static const char *const ends[] = {":|", ":|x3", ":|"};
  switch (chance(4)) {
  case 0:
    put("|:");
    put_bars(one_of(ends, COUNT(ends)));
    put(" ");
    break;
  case 1:
    put("|:");
    put_bars("|1 ");
    put_bars(":|2 ");
    put_bars("||");
    break;
  case 2:
    put(chance(2) ? "\n[A]" : "[B]\n");
    put_bars("|");
    break;
  default:
    put_bars("|");
  }
}

static RlSlice
chart_by_chance(void)
{
  do {
    chance_chart = rl_text_in(chance_text, sizeof(chance_text));
    put(chance(2) ? "title: x\n" : "");
    put(chance(3) ? "" : "key: Bb\r\n");
    put("|");
    for (int i = chance(4); i >= 0; --i) {
      put_strain();
    }
    if (chance(3) == 0) {
      put("\n[ending]");
      put_strain();
    }
  } while (!reads(&before, (RlSlice){chance_text, chance_chart.used}));
  return (RlSlice){chance_text, chance_chart.used};
}

static void
an_edit_changes_its_bar_alone_in_random_charts(void **state)
{
  (void)state;
  chance_state = 1;
  deleted = undeletable = 0;
  for (int i = 0; i < 1500; ++i) {
    check_all(chart_by_chance());
  }
  assert_true(deleted > 10 * undeletable);
}

/* Edit upon edit, as a person works: the chart reads at every step that was let pass. */
static void
a_long_evening_of_edits_leaves_comments_and_headers_alone(void **state)
{
  (void)state;
  static const char *const words[] = {"I7",   "IV7 / / V7", "%",    "3/4 vi",
                                      "N.C.", "#IVdim7",    "bVII", "4/4 I7 ii7"};
  chance_state                     = 2;
  must_read(&before, rl_slice("# one\ntitle: T\r\nother: o\n[A]\n|: I7 | IV7 |1 V7 :|2 I7 ||\n"
                              "# two\n| ii7 | V7 |\n"));
  int steps = 0;
  for (int i = 0; i < 4000; ++i) {
    const int     bar  = chance(before.paper_bars);
    const RlSlice text = rl_slice(one_of(words, COUNT(words)));
    const int     how  = before.paper_bars > 40 ? 2 : chance(3);
    const char   *no   = how == 0   ? rl_chart_edit_bar(&before, bar, text, &edited)
                         : how == 1 ? rl_chart_edit_insert(&before, bar, text, &edited)
                                    : rl_chart_edit_delete(&before, bar, &edited);
    if (!no && reads(&after, edited_slice())) {
      before = after;
      ++steps;
      assert_int_equal(strncmp(before.text, "# one\ntitle: T\r\nother: o\n[A]\n|: ", 31), 0);
      assert_non_null(strstr(before.text, "\n# two\n"));
      assert_non_null(strstr(before.text, "|1"));
      assert_int_equal(before.sections, 1);
    }
  }
  assert_true(steps > 2000);
}

/* ---- particular edits ---- */

typedef enum { REPLACE, INSERT, DELETE } Kind;

static void
edit_gives(const char *const chart, const Kind kind, const int written, const char *const words,
           const char *const expected)
{
  must_read(&before, rl_slice(chart));
  const char *const refused =
    kind == REPLACE  ? rl_chart_edit_bar(&before, written, rl_slice(words), &edited)
    : kind == INSERT ? rl_chart_edit_insert(&before, written, rl_slice(words), &edited)
                     : rl_chart_edit_delete(&before, written, &edited);
  assert_null(refused);
  assert_string_equal(edited.to, expected);
}

static void
a_bars_words_are_given_as_they_stand(void **state)
{
  (void)state;
  must_read(&before, rl_slice("[A]|: I7  /\t/ V7|1%:|2 3/4 N.C. || 4/4\r\n# c\r\nvi\r\nii |"));
  assert_int_equal(before.paper_bars, 4);
  assert_string_equal(words_of(0), "I7  /\t/ V7");
  assert_string_equal(words_of(1), "%");
  assert_string_equal(words_of(2), "3/4 N.C.");
  assert_string_equal(words_of(3), "4/4 vi ii");
}

/* A meter that stands before a bar line of its own is not the bar's. */
static void
a_meter_before_a_bar_line_stays_outside(void **state)
{
  (void)state;
  must_read(&before, rl_slice("3/4 | I7 | 2/4 [B] IV7"));
  assert_string_equal(words_of(0), "I7");
  assert_string_equal(words_of(1), "IV7");
}

static void
words_take_the_place_of_words(void **state)
{
  (void)state;
  edit_gives("| I7   | IV7 |\r\n", REPLACE, 0, "vi7", "| vi7   | IV7 |\r\n");
  edit_gives("| I7 | 3/4 IV7 |", REPLACE, 1, "V7", "| I7 | V7 |");
  edit_gives("| I7 | IV7 |", REPLACE, 1, "  3/4 V7\t", "| I7 | 3/4 V7 |");
  edit_gives("|I7|IV7:|", REPLACE, 1, "V7", "|I7|V7:|");
  edit_gives("I7", REPLACE, 0, "V7", "V7");
}

/* Of a bar over several lines the first part takes the words; what is between stays. */
static void
a_bar_over_several_lines_keeps_what_is_between(void **state)
{
  (void)state;
  edit_gives("| I7 /\n# c\nfeel: x\n / V7 | II |", REPLACE, 0, "vi",
             "| vi\n# c\nfeel: x\n  | II |");
  edit_gives("| I7\nIV7 |", REPLACE, 0, "I7 IV7", "| I7\nIV7 |");
  edit_gives("| I7\nIV7 |", REPLACE, 0, "I7/IV7", "| I7/IV7\n |");
}

static void
words_do_not_grow_together_with_what_stands_before_them(void **state)
{
  (void)state;
  edit_gives("I7 | IV7\n", REPLACE, 0, "#IVdim7", "| #IVdim7 | IV7\n"); /* no comment */
  edit_gives("| I7 |\n  IV7 |", REPLACE, 1, "#IVdim7", "| I7 |\n  | #IVdim7 |");
  edit_gives("|: I7 |1V7:|2IV7|", REPLACE, 1, "3/4 V7", "|: I7 |1 3/4 V7:|2IV7|");
  edit_gives("|: I7 |1V7:|2IV7|", REPLACE, 2, "% ", "|: I7 |1V7:|2 %|");
  edit_gives("|: I7 :|IV7|", REPLACE, 1, "2 IV7", "|: I7 :| 2 IV7|"); /* no second ending */
  assert_false(reads(&after, edited_slice()));
  /* nor three times, nor a comment */
  must_read(&before, rl_slice("|: I7 :|IV7|"));
  assert_non_null(rl_chart_edit_bar(&before, 1, rl_slice("x3 IV7"), &edited));
  assert_non_null(rl_chart_edit_bar(&before, 1, rl_slice("IV7 # four"), &edited));
  edit_gives("| I7 # one\n IV7 | V7 # five", REPLACE, 0, "ii", "| ii # one\n  | V7 # five");
  edit_gives("| I7 | V7 # five", REPLACE, 1, "ii", "| I7 | ii # five");
}

static void
a_new_bar_stays_in_its_repeat_and_ending(void **state)
{
  (void)state;
  edit_gives("|: I7 :| IV7", INSERT, 0, "V7", "|: I7 | V7 :| IV7");
  edit_gives("|: I7 :| IV7", INSERT, 1, "V7", "|: I7 :| IV7 | V7");
  edit_gives("| I |1 IV :|2 V || vi |", INSERT, 0, "ii", "| I | ii |1 IV :|2 V || vi |");
  edit_gives("| I |1 IV :|2 V || vi |", INSERT, 1, "ii", "| I |1 IV | ii :|2 V || vi |");
  edit_gives("| I |1 IV :|2 V || vi |", INSERT, 2, "ii", "| I |1 IV :|2 V | ii || vi |");
  edit_gives("|I|[B]V|", INSERT, 0, "2/4 ii", "|I | 2/4 ii|[B]V|");
}

static void
a_deleted_bar_takes_its_bar_line_along(void **state)
{
  (void)state;
  edit_gives("| I7 | IV7 | V7 |", DELETE, 0, "", "| IV7 | V7 |");
  edit_gives("| I7 | IV7 | V7 |", DELETE, 1, "", "| I7 | V7 |");
  edit_gives("| I7 | IV7 | V7 |\r\n", DELETE, 2, "", "| I7 | IV7 |\r\n");
  edit_gives("| I7 |\n| IV7 |\n", DELETE, 1, "", "| I7 |\n|\n");
}

static void
a_deleted_bar_leaves_repeats_and_endings_alone(void **state)
{
  (void)state;
  edit_gives("|: I7 | IV7 :|", DELETE, 1, "", "|: I7 |  :|");
  edit_gives("| I |1 IV :|2 V || vi |", DELETE, 2, "", "| I |1 IV :|2  || vi |");
  edit_gives("| I | V7 |1 IV :|2 V", DELETE, 1, "", "| I |  |1 IV :|2 V");
  edit_gives("| I7 | 3/4\n# c\nIV7 V7\n/ | I |", DELETE, 1, "", "| I7 | 3/4\n# c\n\n | I |");
  edit_gives("|I7|IV7|V7|", DELETE, 1, "", "|I7| V7|"); /* || would end a second ending */
  edit_gives("| I7 | II |\nIV7 | #IVdim7 |", DELETE, 2, "",
             "| I7 | II |\n | #IVdim7 |"); /* without its bar line it would be a comment */
}

/* The meter holds for the bars behind, unless the next one has its own or there is none. */
static void
a_deleted_bar_leaves_its_meter_to_those_behind(void **state)
{
  (void)state;
  edit_gives("| I | 3/4 IV | V |", DELETE, 1, "", "| I | 3/4 V |");
  edit_gives("| I | 3/4 IV | 4/4 V |", DELETE, 1, "", "| I | 4/4 V |");
  edit_gives("| I | 3/4 IV |", DELETE, 1, "", "| I |");
}

/* ---- refusals ---- */

static void
refused(const char *const because, const char *const reason)
{
  assert_non_null(reason);
  if (!strstr(reason, because) || !strstr(reason, ";")) {
    fail_msg("\"%s\" does not say %s, or no way out", reason, because);
  }
  assert_int_equal(edited.used, 0);
  assert_string_equal(edited.to, "");
}

static void
what_is_no_part_of_a_bar_is_refused(void **state)
{
  (void)state;
  static const char *const words[] = {"I7 | IV7",  "|",    "I7 |", "[B] I7",   "I7]",    "I7\nIV7",
                                      "I7\r\n# c", "I7 :", ":|",   "title: x", "I7\rIV7"};
  must_read(&before, rl_slice("| I7 | IV7 |"));
  for (size_t i = 0; i < COUNT(words); ++i) {
    refused("a bar holds chords only", rl_chart_edit_bar(&before, 0, rl_slice(words[i]), &edited));
    refused("a bar holds chords only",
            rl_chart_edit_insert(&before, 0, rl_slice(words[i]), &edited));
  }
}

static void
a_bar_of_nothing_is_refused(void **state)
{
  (void)state;
  static const char *const words[] = {"", "  ", "\t", "3/4", "3/4 4/4 ", "12/8\t"};
  must_read(&before, rl_slice("| I7 | IV7 |"));
  for (size_t i = 0; i < COUNT(words); ++i) {
    const char *const reason = rl_chart_edit_bar(&before, 1, rl_slice(words[i]), &edited);
    assert_non_null(reason);
    assert_non_null(strstr(reason, "cannot be empty"));
    assert_int_equal(edited.used, 0);
    assert_non_null(rl_chart_edit_insert(&before, 1, rl_slice(words[i]), &edited));
  }
}

static void
bars_that_are_not_there_are_refused(void **state)
{
  (void)state;
  static const int bars[] = {-1, 2, 512, 100000};
  must_read(&before, rl_slice("| I7 | IV7 :|"));
  for (size_t i = 0; i < COUNT(bars); ++i) {
    refused("no such bar", rl_chart_edit_bar(&before, bars[i], rl_slice("V7"), &edited));
    refused("no such bar", rl_chart_edit_insert(&before, bars[i], rl_slice("V7"), &edited));
    refused("no such bar", rl_chart_edit_delete(&before, bars[i], &edited));
  }
}

static void
the_only_bar_stays(void **state)
{
  (void)state;
  must_read(&before, rl_slice("|: I7 :|"));
  refused("only bar", rl_chart_edit_delete(&before, 0, &edited));
}

/* What the parser refuses is its own affair: the words go in, the reading fails. */
static void
chords_are_left_to_the_parser(void **state)
{
  (void)state;
  edit_gives("| I7 | IV7 |", REPLACE, 0, "H7", "| H7 | IV7 |");
  assert_false(reads(&after, edited_slice()));
  edit_gives("| I7 | % |", DELETE, 0, "", "| % |");
  assert_false(reads(&after, edited_slice()));
  edit_gives("|: I7 :| IV7", DELETE, 0, "", "|:  :| IV7");
  assert_false(reads(&after, edited_slice()));
}

static void
a_chart_too_long_is_refused_and_one_just_fits(void **state)
{
  (void)state;
  static char text[RL_CHART_SIZE], large[2 * RL_CHART_SIZE];
  memset(text, '#', sizeof(text));
  memcpy(text, "| I7 |\n", 7); // NOLINT(bugprone-not-null-terminated-result): a slice
  must_read(&before, (RlSlice){text, RL_CHART_MAX - 2});
  assert_null(rl_chart_edit_bar(&before, 0, rl_slice("VIm7"), &edited));
  assert_int_equal(edited.used, RL_CHART_MAX);
  must_read(&after, edited_slice());
  refused("longer than 16384", rl_chart_edit_bar(&before, 0, rl_slice("VIm7b"), &edited));
  RlText roomy = rl_text_in(large, sizeof(large));
  assert_non_null(rl_chart_edit_bar(&before, 0, rl_slice("VIm7b"), &roomy));
  assert_int_equal(roomy.used, 0);
  refused("longer than 16384", rl_chart_edit_insert(&before, 0, rl_slice("I"), &edited));
}

static void
a_small_buffer_is_refused_and_not_overrun(void **state)
{
  (void)state;
  char   small[10] = "xxxxxxxxx";
  RlText text      = rl_text_in(small, 8);
  must_read(&before, rl_slice("| I7 |"));
  assert_non_null(rl_chart_edit_bar(&before, 0, rl_slice("bVII7"), &text));
  assert_string_equal(small, "");
  assert_int_equal(small[8], 'x');
  assert_null(rl_chart_edit_bar(&before, 0, rl_slice("I7#"), &text));
  assert_string_equal(small, "| I7# |");
}

int
main(const int count, char *const *const arguments)
{
  const char *const environment = getenv("RL_TEST_DATA");
  project_dir = count > 1 ? arguments[1] : environment ? environment : RL_TEST_DATA;
  edited      = rl_text_in(edited_text, sizeof(edited_text));

  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_bars_words_are_given_as_they_stand),
    cmocka_unit_test(a_meter_before_a_bar_line_stays_outside),
    cmocka_unit_test(words_take_the_place_of_words),
    cmocka_unit_test(a_bar_over_several_lines_keeps_what_is_between),
    cmocka_unit_test(words_do_not_grow_together_with_what_stands_before_them),
    cmocka_unit_test(a_new_bar_stays_in_its_repeat_and_ending),
    cmocka_unit_test(a_deleted_bar_takes_its_bar_line_along),
    cmocka_unit_test(a_deleted_bar_leaves_repeats_and_endings_alone),
    cmocka_unit_test(a_deleted_bar_leaves_its_meter_to_those_behind),
    cmocka_unit_test(an_edit_changes_its_bar_alone_for_every_sign_of_the_syntax),
    cmocka_unit_test(an_edit_changes_its_bar_alone_in_every_preset),
    cmocka_unit_test(an_edit_changes_its_bar_alone_in_random_charts),
    cmocka_unit_test(a_long_evening_of_edits_leaves_comments_and_headers_alone),
    cmocka_unit_test(what_is_no_part_of_a_bar_is_refused),
    cmocka_unit_test(a_bar_of_nothing_is_refused),
    cmocka_unit_test(bars_that_are_not_there_are_refused),
    cmocka_unit_test(the_only_bar_stays),
    cmocka_unit_test(chords_are_left_to_the_parser),
    cmocka_unit_test(a_chart_too_long_is_refused_and_one_just_fits),
    cmocka_unit_test(a_small_buffer_is_refused_and_not_overrun),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
