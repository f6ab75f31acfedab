/* SPDX-License-Identifier: ISC */
/* The lesson sheet as it is read: every word on its page, none over another, none too small for a
   copy; and that it says what is to be played in which chorus. All presets and six plans. */
#include "ui/paper/compose.h"

#include "core/chart/chart.h"
#include "ui/paper/song.h"

#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { TEXT_ROOM = 65536, WORDS_MAX = 4000, PATH_ROOM = 1024 };

static RlForm          form;
static RlPlan          plan;
static RlLane          lane;
static RlLaneWorkspace workspace;
static RlSheet         sheet;

/* Plans and the charts they were made for. */
static const struct {
  const char *chart, *plan;
} songs[] = {
  {"presets/twelve-bar-slow-drag.chart", "presets/plans/ferry-street-slow-drag.plan"},
  {"presets/slow-twelve-eight.chart", "presets/plans/slack-tide-at-midnight.plan"},
  {"presets/twelve-bar.chart", "tests/sheet/plans/choruses.plan"},
  {"presets/waltz.chart", "tests/sheet/plans/waltz.plan"},
  {"presets/gospel.chart", "tests/sheet/plans/gospel.plan"},
  {"presets/twelve-bar-jazz.chart", "tests/sheet/plans/crowded.plan"},
};
enum { SONGS = sizeof(songs) / sizeof(*songs) };

/* ---- sheets ---- */

static RlSlice
file_text(const char *const name)
{
  static char       text[TEXT_ROOM];
  char              path[PATH_ROOM];
  const char *const top = getenv("RL_TEST_DATA");
  snprintf(path, sizeof(path), "%s/%s", top ? top : ".", name);
  FILE *const file = fopen(path, "r");
  if (!file) {
    fail_msg("%s cannot be read", path);
  }
  const size_t length = fread(text, 1, sizeof(text), file);
  fclose(file);
  return (RlSlice){text, length};
}

static void
chart_take(const RlSlice text)
{
  RlChartError error;
  if (!rl_chart_read(text, &form, &error)) {
    fail_msg("line %d, bar %d: %s", error.line, error.bar, error.reason);
  }
  sheet =
    (RlSheet){.form = &form, .key = form.key, .harp = {0, 0, RL_RICHTER}, .player = {3, 3, false}};
}

/* After the chart, key, harp and player. */
static void
plan_take(const RlSlice text)
{
  RlPlanError error;
  if (!rl_plan_read(text, &workspace.phrase, &plan, &error)) {
    fail_msg("line %d: %s", error.line, error.reason);
  }
  rl_lane_make(&plan, &form, sheet.key, sheet.harp, sheet.player, &workspace, &lane);
  sheet.plan      = &plan;
  sheet.lane      = &lane;
  sheet.workspace = &workspace;
}

/* ---- what is written on it ---- */

typedef struct {
  char   text[128];
  RlRect ink, box;
  double size;
} Word;

static Word words[WORDS_MAX];
static int  count;

static void
watch(void *const data, const char *const text, const RlRect ink, const RlRect box,
      const double size)
{
  (void)data;
  assert_true(count < WORDS_MAX);
  snprintf(words[count].text, sizeof(words->text), "%s", text);
  words[count].ink    = ink;
  words[count].box    = box;
  words[count++].size = size;
}

static void
page_read(const int page)
{
  cairo_surface_t *const to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 8, 8);
  cairo_t *const         cr = cairo_create(to);
  count                     = 0;
  rl_sheet_fit(&sheet);
  rl_sheet_draw(&sheet, page, cr, rl_text_cache(), watch, NULL);
  assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(cr);
  cairo_surface_destroy(to);
}

/* How often a text stands on the page. */
static int
said(const char *const text)
{
  int times = 0;
  for (int i = 0; i < count; ++i) {
    times += !strcmp(words[i].text, text);
  }
  return times;
}

static bool
over(const RlRect a, const RlRect b)
{
  static const double slack = 0.3; /* a tenth of a millimetre */
  return a.x + slack < b.x + b.w && b.x + slack < a.x + a.w && a.y + slack < b.y + b.h &&
         b.y + slack < a.y + a.h;
}

static double smallest;

/* Printers leave out a quarter of an inch at the edge. */
static void
words_check(const char *const what)
{
  static const double edge = 18;
  const RlRect        area = rl_paper_rect(sheet.size);
  for (int i = 0; i < count; ++i) {
    const Word *const w = &words[i];
    const RlRect      k = w->ink;
    if (k.x < edge || k.y < edge || k.x + k.w > area.w - edge || k.y + k.h > area.h - edge) {
      fail_msg("%s: \"%s\" at %.1f %.1f, %.1f by %.1f, leaves the page", what, w->text, k.x, k.y,
               k.w, k.h);
    }
    if (k.x < w->box.x - 1 || k.x + k.w > w->box.x + w->box.w + 1) {
      fail_msg("%s: \"%s\" leaves its box", what, w->text);
    }
    smallest = fmin(smallest, w->size);
    for (int n = 0; n < i; ++n) {
      if (over(k, words[n].ink)) {
        fail_msg("%s: \"%s\" (%.1f %.1f %.1f %.1f) lies over \"%s\" (%.1f %.1f %.1f %.1f)", what,
                 w->text, k.x, k.y, k.w, k.h, words[n].text, words[n].ink.x, words[n].ink.y,
                 words[n].ink.w, words[n].ink.h);
      }
    }
  }
}

static void
sheet_check(const char *const what)
{
  for (int size = 0; size < RL_PAPERS; ++size) {
    sheet.size      = (RlPaperSize)size;
    const int pages = rl_sheet_fit(&sheet);
    for (int page = 0; page < pages; ++page) {
      char where[PATH_ROOM + 64];
      char foot[64];
      snprintf(where, sizeof(where), "%s, %s, page %d", what, rl_paper_name(sheet.size), page + 1);
      snprintf(foot, sizeof(foot),
               pages > 1 ? "page %d of %d, made with Reedlamp" : "made with Reedlamp", page + 1,
               pages);
      page_read(page);
      words_check(where);
      assert_int_equal(said(foot), 1);
    }
  }
}

/* Two keys, three tunings, and players who can much and little. */
static void
harps_check(const char *const name, const RlSlice plan_text)
{
  static const RlTuning tunings[] = {RL_RICHTER, RL_HARMONIC_MINOR, RL_SOLO};
  static const RlPlayer players[] = {{3, 3, false}, {1, 0, true}, {3, 3, true}};
  for (int i = 0; i < 6; ++i) {
    char what[PATH_ROOM];
    sheet.key    = i % 2 ? rl_key_named(1, form.key.minor) : form.key;
    sheet.harp   = (RlHarpChoice){(uint8_t)(i * 5 % 12), (int8_t)(i % 3 - 1), tunings[i / 2]};
    sheet.player = players[i % 3];
    if (plan_text.length) {
      plan_take(plan_text);
    }
    snprintf(what, sizeof(what), "%s, key %d, %s tuning", name, i % 2,
             rl_tuning_name(sheet.harp.tuning));
    sheet_check(what);
  }
}

static void
no_word_of_a_preset_leaves_its_page_or_lies_over_another(void **state)
{
  char              path[PATH_ROOM];
  const char *const top   = getenv("RL_TEST_DATA");
  int               found = 0;
  (void)state;
  snprintf(path, sizeof(path), "%s/presets", top ? top : ".");
  DIR *const folder = opendir(path);
  assert_non_null(folder);
  smallest = 99;
  for (const struct dirent *at = readdir(folder); at; at = readdir(folder)) {
    char name[PATH_ROOM];
    if (strstr(at->d_name, ".chart")) {
      snprintf(name, sizeof(name), "presets/%.200s", at->d_name);
      chart_take(file_text(name));
      harps_check(name, (RlSlice){0});
      ++found;
    }
  }
  closedir(folder);
  assert_true(found >= 16);
  assert_true(smallest >= 6);
}

static void
no_word_of_a_plan_leaves_its_page_or_lies_over_another(void **state)
{
  (void)state;
  smallest = 99;
  for (int i = 0; i < SONGS; ++i) {
    chart_take(file_text(songs[i].chart));
    harps_check(songs[i].plan, file_text(songs[i].plan));
  }
  assert_true(smallest >= 6);
}

/* The worst that fits into a chart: long names, eight chords a bar, meters that change,
   sixty-fourths, a title longer than the page. */
static void
no_word_of_a_crowded_song_does_either(void **state)
{
  (void)state;
  chart_take(rl_slice(
    "title: The Ferryman's Very Long and Winding Farewell to the Landing, and What the Gulls Had "
    "to "
    "Say of It\nkey: F#m\nmeter: 8/4\nfeel: half time, with a heavy back beat and a long way to "
    "the "
    "next landing, swung as far as it goes, and then some more of it\nchoruses: 3\n[verse]\n"
    "| i7 bVImaj13 bIImaj9/bVI #IVm7b5 V7#9/VII bVII9sus4 bIIImMaj7 V7b9 |\n"
    "| F#mMaj7 G#m7b5/C# C#7#11 D#dim7 | N.C. | 4/4 bVII9sus4/bIII | 3/4 i V7 bVI |\n"
    "[the bridge, so called although nobody ever crossed it twice]\n| 6/8 i7 / V7b9 | % "
    "|\n"
    "[ending]\n| V7#9 | i6 |\n"));
  plan_take(rl_slice(
    "bar 1: A Title as Long as Titles May Be, and Not a Letter Longer Than, chorus 1\n"
    "bar 1 beat 5: A Title as Long as Titles May Be, and Not a Letter Longer Than\n"
    "bar 2: Spray\nbar 4: Spray\nbar 7: Spray, choruses 1 2\nbar 8: Spray\nanswer: 1-9\n\n"
    "X:1\nT:A Title as Long as Titles May Be, and Not a Letter Longer Than\nM:4/4\nL:1/64\nK:F#m\n"
    "\"F#m7\"F2A2c2e2 f2e2c2A2 F2A2c2e2 f2e2c2A2 [FAc]8 [eg]8 (FAFAFAFA) z8|\n\n"
    "X:2\nT:Spray\nM:none\nL:1/16\nK:F#m\n\"F#m7\"(5FGABc (3F2A2c2 (7:4:7FGABcde "
    "!slide!a12-a12|\n"));
  sheet_check("a crowded song");
}

/* ---- songs by chance ---- */

static uint32_t seed;

static int
chance(const int most)
{
  seed = seed * 1664525U + 1013904223U;
  return (int)((seed >> 16) % (uint32_t)most);
}

/* Chords of a bar: any quality on any degree, as many as share the meter equally. */
static void
bar_write(const int beats, RlText *const chart)
{
  static const char *const degrees[] = {"I",  "bII", "II", "bIII", "III",
                                        "IV", "#IV", "V",  "bVI",  "VII"};
  int                      shares    = 1 + chance(beats < 8 ? beats : 8);
  while (beats % shares) {
    --shares;
  }
  rl_text_add(chart, "|");
  for (int i = 0; i < shares; ++i) {
    if (chance(12)) {
      rl_text_add(chart, " ");
      rl_text_add(chart, degrees[chance(10)]);
      rl_quality_name(rl_quality(chance(rl_qualities())), chart);
      rl_text_add(chart, chance(6) ? "" : "/V");
    } else {
      rl_text_add(chart, " N.C.");
    }
  }
}

static void
chart_invent(RlText *const chart)
{
  static const int meters[][2] = {{4, 4}, {3, 4}, {6, 8}, {12, 8}, {2, 2}, {5, 4}, {7, 8}, {9, 8}};
  static const char *const keys[] = {"C", "F#", "Eb", "Am", "C#m", "Bbm"};
  int                      meter  = chance(8);
  rl_text_add(chart, "title: Whatever Floats\nfeel: shuffle\nkey: ");
  rl_text_add(chart, keys[chance(6)]);
  rl_text_add(chart, "\nmeter: ");
  rl_text_add_int(chart, meters[meter][0]);
  rl_text_add(chart, "/");
  rl_text_add_int(chart, meters[meter][1]);
  rl_text_add(chart, chance(2) ? "\nlead-in: 2\n" : "\n");
  const bool ends = chance(2);
  rl_text_add(chart, ends ? "choruses: 3\n[A]\n" : "[A]\n");
  for (int bars = 4 + chance(40); bars; --bars) {
    rl_text_add(chart, chance(9) ? "" : "|\n[B]\n");
    bar_write(meters[meter][0], chart);
  }
  rl_text_add(chart, chance(2) ? ":|\n" : "|\n");
  if (ends) {
    rl_text_add(chart, "[ending]\n");
    bar_write(meters[meter][0], chart);
    rl_text_add(chart, "|\n");
  }
}

static void
plan_invent(RlText *const text)
{
  static const char *const titles[] = {"Paddle Wheel", "Ticket Punch", "Gulls on the Roof",
                                       "Alto at the Rail", "Brass on the Upper Deck"};
  static const char *const moves[]  = {"", ", as it is", ", with the key", ", chorus 1",
                                       ", choruses 2 3"};
  for (int lines = chance(12); lines; --lines) {
    rl_text_add(text, "bar ");
    rl_text_add_int(text, 1 + chance(form.bars + form.ending_bars));
    rl_text_add(text, chance(3) ? ": " : " beat 1.5: ");
    rl_text_add(text, titles[chance(5)]);
    rl_text_add(text, moves[chance(5)]);
    rl_text_add(text, "\n");
  }
  rl_text_add(text, "answer: 1-3 6 9-11\n\n");
  const RlSlice all = file_text("tests/sheet/plans/crowded.plan");
  RlSlice       at  = all;
  while (!rl_slice_begins(at, "X:")) {
    at = rl_slice_after(at, 1);
  }
  rl_text_add_slice(text, at);
}

static void
no_word_of_any_song_does_either(void **state)
{
  static char chart_text[RL_CHART_MAX], plan_text[RL_PLAN_MAX];
  (void)state;
  smallest               = 99;
  const int songs_in_all = getenv("REEDLAMP_FEW") ? 25 : 150;
  for (int song = 0; song < songs_in_all; ++song) {
    char   what[32];
    RlText chart = rl_text_in(chart_text, sizeof(chart_text));
    RlText lines = rl_text_in(plan_text, sizeof(plan_text));
    seed         = (uint32_t)song;
    snprintf(what, sizeof(what), "song %d", song);
    chart_invent(&chart);
    chart_take((RlSlice){chart_text, chart.used});
    plan_invent(&lines);
    sheet.harp   = (RlHarpChoice){(uint8_t)chance(12), 0, (RlTuning)chance(RL_TUNINGS)};
    sheet.player = (RlPlayer){(uint8_t)chance(4), (uint8_t)chance(4), chance(2)};
    plan_take((RlSlice){plan_text, lines.used});
    sheet_check(what);
  }
  assert_true(smallest >= 5.5);
}

static void
a_song_of_512_bars_has_all_of_them(void **state)
{
  static char text[TEXT_ROOM];
  RlText      chart = rl_text_in(text, sizeof(text));
  int         bars  = 0;
  (void)state;
  rl_text_add(&chart, "key: G\n");
  for (int i = 0; i < RL_BARS_MAX; ++i) {
    rl_text_add(&chart, i % 2 ? "| IV7" : "| I7");
  }
  rl_text_add(&chart, "|\n");
  chart_take((RlSlice){text, chart.used});
  sheet_check("512 bars");
  for (int page = rl_sheet_fit(&sheet) - 1; page >= 0; --page) {
    page_read(page);
    for (int bar = 100; bar <= RL_BARS_MAX; ++bar) {
      snprintf(text, sizeof(text), "%d", bar);
      bars += said(text);
    }
  }
  assert_int_equal(bars, RL_BARS_MAX - 99);
}

static void
a_twelve_bar_with_phrases_takes_one_page(void **state)
{
  (void)state;
  for (int size = 0; size < RL_PAPERS; ++size) {
    chart_take(file_text(songs[0].chart));
    sheet.size = (RlPaperSize)size;
    assert_int_equal(rl_sheet_fit(&sheet), 1);
    plan_take(file_text(songs[0].plan));
    assert_int_equal(rl_sheet_fit(&sheet), 1);
  }
}

/* ---- what it says ---- */

static void
it_says_what_to_play(void **state)
{
  (void)state;
  chart_take(file_text(songs[0].chart));
  plan_take(file_text(songs[0].plan));
  page_read(0);
  assert_int_equal(said("Ferry Street Slow Drag"), 1);
  assert_int_equal(said("C harp, 2nd position"), 1);
  assert_int_equal(said("Song in G, 12 bars, 4/4, 72 beats a minute"), 1);
  assert_int_equal(said("Feel: swing. Swing the eighths: the first is longer."), 1);
  assert_int_equal(said("Richter tuning, bends to 3 half steps, no overblows"), 1);
  assert_int_equal(said("Down the Steps"), 1);
  assert_int_equal(said("Ferry Street, pickup"), 1);
  assert_int_equal(said("answer"), 5);
  assert_int_equal(said("trip"), 1); /* the pickup of bar 11 */
  assert_int_equal(said("bar 5: Ferry Street, with the chord, already over C7, unchanged"), 1);
  assert_int_equal(said("bars 1 3 4 7 11"), 1); /* of the comb for G7 */
  assert_int_equal(said("2''"), 1);
}

static void
the_players_means_are_said(void **state)
{
  (void)state;
  chart_take(file_text(songs[0].chart));
  sheet.harp   = (RlHarpChoice){10, -1, RL_COUNTRY};
  sheet.player = (RlPlayer){1, 0, true};
  page_read(0);
  assert_int_equal(said("low B\xE2\x99\xAD harp, 4th position"), 1);
  assert_int_equal(said("country tuning, draw bends: 1 half step, blow: none, overblows"), 1);
  sheet.player = (RlPlayer){0, 0, false};
  page_read(0);
  assert_int_equal(said("country tuning, no bends, no overblows"), 1);
}

static void
a_comb_has_only_what_this_player_reaches(void **state)
{
  (void)state;
  chart_take(rl_slice("key: G\n| VI7 |\n"));
  page_read(0);
  const int with = count;
  sheet.player   = (RlPlayer){0, 0, false};
  page_read(0);
  assert_int_equal(with - count, 8 + 4); /* drawn 1 2 2 3 3 3 4 6, blown 8 9 10 10 */
}

static void
chords_that_differ_in_their_bass_share_a_comb(void **state)
{
  (void)state;
  chart_take(rl_slice("key: G\n| I | I/III | IV | I/V |\n"));
  page_read(0);
  assert_int_equal(said("bars 1 2 4"), 1);
  assert_int_equal(said("bar 3"), 1);
  assert_int_equal(said("G"), 2);
}

/* ---- choruses ---- */

static void
plan_of(const char *const lines)
{
  static char text[TEXT_ROOM];
  snprintf(text, sizeof(text),
           "%s\n\nX:1\nT:One\nM:4/4\nL:1/4\nK:G\n\"G\"GABc|\n\nX:2\nT:Up\nM:4/4\nL:1/4\nK:G\n"
           "\"G\"D|G4|\n\nX:3\nT:Long\nM:4/4\nL:1/4\nK:G\n\"G\"G4-|G4|\n",
           lines);
  plan_take(rl_slice(text));
}

/* The names of all versions of some bars, joined by `|`. */
static const char *
versions(const int bar, const int bars)
{
  static char   text[1024];
  RlSongVersion all[RL_SONG_VERSIONS_MAX];
  RlText        out  = rl_text_in(text, sizeof(text));
  const int     some = rl_song_versions(&sheet, bar - 1, bars, all);
  for (int i = 0; i < some; ++i) {
    rl_text_add(&out, i ? "|" : "");
    rl_text_add(&out, all[i].name[0] ? all[i].name : "all");
  }
  return text;
}

static const char for_ever[] = "key: G\n| I | I | I | I |\n";
static const char thrice[]   = "key: G\nchoruses: 3\n| I | I | I | I |\n[ending]\n| I |\n";

static void
each_version_of_a_row_is_shown_once_with_its_choruses(void **state)
{
  (void)state;
  chart_take(rl_slice(for_ever));
  plan_of("bar 1: One");
  assert_string_equal(versions(1, 4), "all");
  plan_of("bar 1: One, choruses 1 3\nbar 2: One, chorus 2");
  assert_string_equal(versions(1, 4), "choruses 1 3|chorus 2");
  assert_string_equal(versions(1, 1), "choruses 1 3");
  assert_string_equal(versions(3, 2), "");
  plan_of("bar 1: One, chorus 2\nbar 2: One");
  assert_string_equal(versions(1, 4), "all choruses but 2|chorus 2");
}

static void
a_pickup_stands_where_it_sounds(void **state)
{
  (void)state;
  chart_take(rl_slice(for_ever));
  plan_of("bar 1: Up");
  assert_int_equal(rl_song_pickup_bars(&sheet), 1);
  assert_string_equal(versions(0, 1), "all");
  assert_string_equal(versions(4, 1), "all"); /* each chorus leads into another */
  plan_of("bar 1: Up, chorus 3");
  assert_int_equal(rl_song_pickup_bars(&sheet), 0);
  assert_string_equal(versions(4, 1), "chorus 2");
  plan_of("bar 3: Up");
  assert_int_equal(rl_song_pickup_bars(&sheet), 0);
  assert_string_equal(versions(2, 1), "all");
}

static void
the_last_chorus_leads_into_the_ending_alone(void **state)
{
  (void)state;
  chart_take(rl_slice(thrice));
  plan_of("bar 1: Up\nbar 5: One");
  assert_string_equal(versions(4, 1), "choruses 1 2");
  assert_string_equal(versions(5, 1), "all");
  plan_of("bar 5: Up");
  assert_string_equal(versions(4, 1), "chorus 3");
}

static void
a_note_held_over_the_end_of_the_form_is_held_in_the_next_chorus(void **state)
{
  (void)state;
  chart_take(rl_slice(for_ever));
  plan_of("bar 4: Long");
  assert_string_equal(versions(1, 1), "all choruses but 1");
  const RlSongBar first = rl_song_bar(&sheet, 0);
  RlSongSound     sounds[RL_SOUNDS_MAX];
  assert_int_equal(rl_song_sounds(&sheet, &first, 1, sounds), 0);
  assert_int_equal(rl_song_sounds(&sheet, &first, 2, sounds), 1);
  assert_int_equal(sounds[0].sound.at, -4 * RL_TICKS);
  assert_int_equal(sounds[0].sound.lasts, 8 * RL_TICKS);
}

static void
what_is_over_before_a_bar_does_not_sound_in_it(void **state)
{
  (void)state;
  chart_take(rl_slice(for_ever));
  plan_of("bar 1: One\nbar 3: Long"); /* the long one has notes looked for two bars back */
  const RlSongBar second = rl_song_bar(&sheet, 1);
  RlSongSound     sounds[RL_SOUNDS_MAX];
  assert_int_equal(rl_song_sounds(&sheet, &second, 1, sounds), 0);
  assert_string_equal(versions(2, 1), "");
}

static void
a_sheet_drawn_twice_is_the_same(void **state)
{
  static Word before[WORDS_MAX];
  (void)state;
  chart_take(file_text(songs[4].chart));
  plan_take(file_text(songs[4].plan));
  page_read(0);
  const int n = count;
  memcpy(before, words, sizeof(*words) * (size_t)n);
  page_read(1);
  page_read(0);
  assert_int_equal(count, n);
  for (int i = 0; i < n; ++i) {
    assert_string_equal(before[i].text, words[i].text);
    assert_true(before[i].ink.x == words[i].ink.x && before[i].ink.y == words[i].ink.y);
  }
}

static double
middle(const RlRect r)
{
  return r.x + r.w / 2;
}

/* G A B c on a C harp: draw 2, draw 3 bent by two, draw 3, blow 4. */
static void
blow_stands_over_the_line_draw_under_it_each_over_its_degree_and_count(void **state)
{
  static const char *const says[4][3] = {
    {"2", "R", "1"}, {"3''", "9", "2"}, {"3", "3", "3"}, {"4", "11", "4"}};
  int at = 0;
  (void)state;
  chart_take(rl_slice("key: G\n| I |\n"));
  plan_of("bar 1: One");
  page_read(0);
  while (strcmp(words[at].text, "One") != 0) {
    ++at;
  }
  const Word *const notes = &words[at + 1]; /* hole, degree, count; note by note */
  const double      line  = (notes[0].ink.y + notes[9].ink.y + notes[9].ink.h) / 2;
  for (int i = 0; i < 4; ++i) {
    const Word *const n = &notes[3 * i];
    for (int k = 0; k < 3; ++k) {
      assert_string_equal(n[k].text, says[i][k]);
      assert_true(fabs(middle(n[k].ink) - middle(n[0].ink)) < 1);
    }
    assert_true(i == 3 ? n[0].ink.y + n[0].ink.h < line : n[0].ink.y > line);
    assert_true(n[0].ink.y + n[0].ink.h < n[1].ink.y);
    assert_true(n[1].ink.y + n[1].ink.h < n[2].ink.y);
    assert_true(i == 0 || fabs(middle(n[0].ink) - middle(n[-3].ink) - 31) < 2); /* even pace */
  }
}

/* Does any line hold these words? */
static bool
says(const char *const part)
{
  bool found = false;
  for (int i = 0; i < count; ++i) {
    found = found || strstr(words[i].text, part);
  }
  return found;
}

static void
the_key_says_what_answer_means_where_it_stands(void **state)
{
  static const char tune[] = "\nX:1\nT:Haul\nM:4/4\nL:1/4\nK:G\n\"G7\"GBdB|\n";
  char              text[256];
  (void)state;
  for (int with = 0; with < 2; ++with) {
    chart_take(rl_slice("key: G\n| I7 | IV7 | V7 | I7 |\n"));
    snprintf(text, sizeof(text), "bar 2: Haul\n%s%s", with ? "answer: 3\n" : "", tune);
    plan_take(rl_slice(text));
    page_read(0);
    assert_true(says("Number above the line"));
    assert_int_equal(says("answer: the pupil plays."), with);
  }
  chart_take(rl_slice("key: G\n| I7 | IV7 | V7 | I7 |\n"));
  plan_take(rl_slice("answer: 3\n"));
  page_read(0);
  assert_true(says("answer: the pupil plays."));
  assert_false(says("Number above the line"));
}

static void
the_key_stands_on_the_first_of_two_pages(void **state)
{
  char   chart[2048], text[1024];
  RlText rows  = rl_text_in(chart, sizeof(chart));
  RlText lines = rl_text_in(text, sizeof(text));
  (void)state;
  for (int i = 0; i < 24; ++i) {
    rl_text_add(&rows, "| I7 | IV7 | V7 | I7 |\n");
    rl_text_add(&lines, "bar ");
    rl_text_add_int(&lines, 4 * i + 1);
    rl_text_add(&lines, ": Haul\n");
  }
  rl_text_add(&lines, "answer: 2\n\nX:1\nT:Haul\nM:4/4\nL:1/8\nK:G\n\"G7\"GABdBAGD|\n");
  chart_take(rl_slice(chart));
  plan_take(rl_slice(text));
  assert_true(rl_sheet_fit(&sheet) > 1);
  page_read(0);
  assert_true(says("Number above the line"));
  assert_true(says("answer: the pupil plays."));
  for (int page = 1; page < sheet.pages; ++page) {
    page_read(page);
    assert_false(says("Number above the line"));
  }
  sheet_check("two pages");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(no_word_of_a_preset_leaves_its_page_or_lies_over_another),
    cmocka_unit_test(no_word_of_a_plan_leaves_its_page_or_lies_over_another),
    cmocka_unit_test(no_word_of_a_crowded_song_does_either),
    cmocka_unit_test(no_word_of_any_song_does_either),
    cmocka_unit_test(a_song_of_512_bars_has_all_of_them),
    cmocka_unit_test(a_twelve_bar_with_phrases_takes_one_page),
    cmocka_unit_test(it_says_what_to_play),
    cmocka_unit_test(the_players_means_are_said),
    cmocka_unit_test(a_comb_has_only_what_this_player_reaches),
    cmocka_unit_test(chords_that_differ_in_their_bass_share_a_comb),
    cmocka_unit_test(each_version_of_a_row_is_shown_once_with_its_choruses),
    cmocka_unit_test(a_pickup_stands_where_it_sounds),
    cmocka_unit_test(the_last_chorus_leads_into_the_ending_alone),
    cmocka_unit_test(a_note_held_over_the_end_of_the_form_is_held_in_the_next_chorus),
    cmocka_unit_test(what_is_over_before_a_bar_does_not_sound_in_it),
    cmocka_unit_test(the_key_says_what_answer_means_where_it_stands),
    cmocka_unit_test(the_key_stands_on_the_first_of_two_pages),
    cmocka_unit_test(a_sheet_drawn_twice_is_the_same),
    cmocka_unit_test(blow_stands_over_the_line_draw_under_it_each_over_its_degree_and_count),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
