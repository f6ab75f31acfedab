/* SPDX-License-Identifier: ISC */
/* The picture as it is read: words inside their boxes and the window, none over another, large
   enough to be read from where the player stands, in inks that stand out. Sources: WCAG 2.1 for
   contrast; ISO 9241-303 for sizes (16 minutes of arc at least, 20 to 22 to be comfortable; from
   memory); for the dichromacies Machado, Oliveira, Fernandes, IEEE Trans. Vis. Comput. Graph.
   15(6), 2009, severity 1 (matrices from memory); L* of CIE 1976 from sRGB (IEC 61966-2-1). */
#include "ui/draw/cells.h"
#include "ui/draw/chart.h"
#include "ui/draw/corners.h"
#include "ui/draw/draw.h"
#include "ui/draw/pieces.h"
#include "ui/model/music_signs.h"

#include "core/chart/chart.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* ---- views ---- */

static RlForm      form;
static RlView      view;
static RlFinding   finding[12];
static RlTextInput typing;

static const char twelve[] = "title: Ferry Street Slow Drag\nkey: G\nfeel: swing\n[A]\n"
                             "| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 |\n"
                             "| ii7 | V7 | I7 | ii7 V7 |\n";

/* Long names, many chords in a bar, changes of meter, sections, an ending. */
static const char crowded[] =
  "title: The Ferryman's Very Long and Winding Farewell to the Landing\nkey: F#m\nmeter: 8/4\n"
  "feel: half time, with a heavy back beat\nchoruses: 3\n[verse]\n"
  "| i7 bVImaj13 bIImaj9/bVI #IVm7b5 V7#9/VII bVII9sus4 bIIImMaj7 V7b9 |\n"
  "| F#mMaj7 G#m7b5/C# C#7#11 D#dim7 | N.C. | 4/4 bVII9sus4/bIII | 3/4 i V7 bVI |\n[the bridge]\n"
  "| 6/8 i7 / V7b9 | % |\n[ending]\n| V7#9 | i6 |\n";

static void
place_at(const int index, const double beat)
{
  const RlBar *const   bar   = &form.bar[index];
  RlPlaceReport *const t     = &view.report;
  const RlPlace        place = {.part   = RL_PART_CHORUS,
                                .chorus = 9999,
                                .bar    = index + 1,
                                .index  = index,
                                .beat   = beat,
                                .beats  = bar->beats,
                                .unit   = bar->unit};
  const RlChordsAt     turn  = rl_form_chords_at(&form, &place);
  *t                         = (RlPlaceReport){.lit           = true,
                                               .rolling       = true,
                                               .part          = RL_PART_CHORUS,
                                               .chorus        = 9999,
                                               .bar           = index + 1,
                                               .bars          = form.bars,
                                               .beats         = bar->beats,
                                               .unit          = bar->unit,
                                               .tempo         = 120,
                                               .beat          = beat + 1,
                                               .sure          = 1,
                                               .target        = {3, RL_DRAW_3, RL_DEGREE_FLAT_3, 58},
                                               .beats_to_next = turn.next < 0 ? 0 : turn.beats_to_next};
  char *const names[2][2]    = {{t->now, t->now_degree}, {t->next, t->next_degree}};
  for (int i = 0; i < 2; ++i) {
    const int change = i ? turn.next : turn.now;
    if (change >= 0) {
      const RlHarmony h      = rl_harmony_of(rl_form_chord(&form, change), rl_view_key(&view));
      RlText          name   = rl_text_in(names[i][0], RL_REPORT_TEXT_SIZE);
      RlText          degree = rl_text_in(names[i][1], RL_REPORT_TEXT_SIZE);
      rl_harmony_name(&h, &name);
      rl_harmony_degree(&h, &degree);
    }
  }
}

static void
view_make(const char *const chart)
{
  RlChartError error;
  RlHarpChoice harps[12];
  memset(&view, 0, sizeof(view));
  if (!rl_chart_read(rl_slice(chart), &form, &error)) {
    fail_msg("line %d, bar %d: %s", error.line, error.bar, error.reason);
  }
  for (int i = 0; i < RL_PORTS; ++i) {
    view.port[i] = rl_ports[i].standard;
  }
  view.form       = &form;
  view.osc_to     = "127.0.0.1:9911";
  view.problem    = "";
  view.edit.error = "";
  view.focus = view.edit.error_bar = -1;
  view.edit.list                   = RL_NO_FIELD;
  view.follow                      = true;
  view.change.fade                 = 1;
  view.edit.input                  = &typing;
  view.harps.ranked                = finding;
  view.harps.count                 = 12;
  rl_text_input_begin(&typing, rl_slice(chart), true);
  for (int key = 0; key < 12; ++key) {
    harps[key] = (RlHarpChoice){(uint8_t)key, 0, RL_RICHTER};
  }
  rl_finder_rank(&form, rl_view_key(&view), harps, 12, rl_view_player(&view), finding);
  place_at(0, 0);
}

/* ---- what was written ---- */

typedef struct {
  char   text[64];
  RlRect ink, box;
  double size;
} Word;

enum { WORDS_MAX = 2000 };

static Word   words[WORDS_MAX];
static int    count;
static double unit;

static void
watch(void *const data, const char *const text, const RlRect ink, const RlRect box,
      const double size)
{
  (void)data;
  assert_true(count < WORDS_MAX);
  Word *const w = &words[count++];
  snprintf(w->text, sizeof(w->text), "%s", text);
  w->ink  = ink;
  w->box  = box;
  w->size = size;
}

static RlLayout layout;

static void
draw(const int width, const int height)
{
  cairo_surface_t *const to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t *const         cr = cairo_create(to);
  count                     = 0;
  rl_layout_make(&layout, &view, width, height);
  unit = layout.unit;
  cairo_rectangle(cr, 0, 0, 1, 1); /* the observer is told of all text */
  cairo_clip(cr);
  rl_draw(&view, width, height, cr, rl_text_cache(), watch, NULL);
  cairo_destroy(cr);
  cairo_surface_destroy(to);
}

/* ---- inside, and apart ---- */

static bool
overlap(const RlRect a, const RlRect b)
{
  const double slack = 0.5; /* units: less than any eye sees */
  return a.x + slack < b.x + b.w && b.x + slack < a.x + a.w && a.y + slack < b.y + b.h &&
         b.y + slack < a.y + a.h;
}

/* Long lines of typed text are clipped to their box. */
static bool
typed(const Word *const w)
{
  return view.screen == RL_SCREEN_TEXT && w->box.x > layout.editor.x && w->box.y > layout.editor.y;
}

static void
words_check(const char *const what)
{
  for (int i = 0; i < count; ++i) {
    const Word *const w = &words[i];
    const bool wide     = w->ink.x < w->box.x - 2 || w->ink.x + w->ink.w > w->box.x + w->box.w + 2;
    const bool out      = w->ink.x < 0 || w->ink.y < 0 || w->ink.x + w->ink.w > layout.w ||
                     w->ink.y + w->ink.h > layout.h;
    if (!typed(w) && (wide || out)) {
      fail_msg("%s: \"%s\" (%.1f %.1f %.1f %.1f) runs out of its box (%.1f %.1f %.1f %.1f)", what,
               w->text, w->ink.x, w->ink.y, w->ink.w, w->ink.h, w->box.x, w->box.y, w->box.w,
               w->box.h);
    }
    for (int k = 0; k < i; ++k) {
      const Word *const v = &words[k];
      if (overlap(w->ink, v->ink)) {
        fail_msg("%s: \"%s\" (%.1f %.1f %.1f %.1f) lies over \"%s\" (%.1f %.1f %.1f %.1f)", what,
                 w->text, w->ink.x, w->ink.y, w->ink.w, w->ink.h, v->text, v->ink.x, v->ink.y,
                 v->ink.w, v->ink.h);
      }
    }
  }
}

static const int sizes[][2] = {{480, 320},   {640, 480},   {960, 540},   {1280, 720},
                               {1920, 1080}, {3840, 2160}, {360, 740},   {700, 1200},
                               {1366, 768},  {961, 541},   {1600, 1000}, {1280, 1024}};

enum { SIZES = sizeof(sizes) / sizeof(sizes[0]) };

static const RlScreen screens[] = {RL_SCREEN_PLAY, RL_SCREEN_STAGE, RL_SCREEN_SETTINGS,
                                   RL_SCREEN_HARPS, RL_SCREEN_TEXT};

static void
sizes_check(const char *const what, const int first, const int last)
{
  for (int s = 0; s < SIZES; ++s) {
    for (int p = first; p <= last; ++p) {
      char where[160];
      view.screen = screens[p];
      snprintf(where, sizeof(where), "%s, screen %d, %dx%d", what, p, sizes[s][0], sizes[s][1]);
      draw(sizes[s][0], sizes[s][1]);
      words_check(where);
    }
  }
  view.screen = RL_SCREEN_PLAY;
}

static void
no_word_is_cut_nor_lies_over_another(void **state)
{
  static const char *const charts[] = {twelve, crowded};
  (void)state;
  for (int c = 0; c < 2; ++c) {
    for (int names = 0; names < 2; ++names) {
      char what[64];
      view_make(charts[c]);
      view.note_names = names;
      for (int bar = 0; bar < form.bars; bar += 3) {
        place_at(bar, 1);
        snprintf(what, sizeof(what), "chart %d, bar %d", c, bar + 1);
        sizes_check(what, 0, bar ? 1 : 4);
      }
      memset(&view.report, 0, sizeof(view.report));
      sizes_check("lost", 0, 1);
      view.problem =
        "line 3, bar 7: no such chord \"H7\"; letters run A to G, degrees I to VII; osc_to: "
        "no such address \"nowhere\"; write host:port, the port 1 to 65535: 127.0.0.1:9911";
      sizes_check("a problem", 0, 0);
    }
  }
}

static bool
written(const char *const text)
{
  bool found = false;
  for (int i = 0; i < count; ++i) {
    found = found || !strncmp(words[i].text, text, sizeof(words[i].text) - 1);
  }
  return found;
}

static void
three_chords_in_a_bar_are_large_enough(void **state)
{
  (void)state;
  view_make("key: G\n| I7 / VI7 ii7 | IV7 | I7 | I7 |\n| IV7 | Ebm7b5 / Ab7#9 Dbmaj7 | I7 | I7 |\n"
            "| ii7 / V7 Im7b5 | I7 | I7 | I7 |\n");
  for (size_t i = 0; i < sizeof(sizes) / sizeof(sizes[0]); ++i) {
    draw(sizes[i][0], sizes[i][1]);
    words_check("three chords");
    for (int k = 0; k < count && layout.shape == RL_SHAPE_FULL; ++k) {
      const bool third = !strcmp(words[k].text, "D\u266dmaj7") ||
                         !strcmp(words[k].text, "Gm7\u266d5") ||
                         !strcmp(words[k].text, "A\u266d7\u266f9");
      assert_true(!third || words[k].size * unit >= 15);
    }
  }
}

/* In the twelve-bar only the last bar has two chords, two beats each. */
static void
of_two_chords_in_a_bar_the_one_that_sounds_is_marked(void **state)
{
  static RlPiece pieces[2][RL_PIECES_MAX];
  (void)state;
  view_make(twelve);
  place_at(3, 1);
  assert_int_equal(rl_draw_sounding_chord(&view), -1);
  place_at(11, 1.99);
  assert_int_equal(rl_draw_sounding_chord(&view), 0);
  place_at(11, 2);
  assert_int_equal(rl_draw_sounding_chord(&view), 1);
  for (int i = 0; i < 2; ++i) { /* the bar is drawn again */
    place_at(11, 1 + i);
    view.report.now[0] = view.report.next[0] = '\0';
    rl_layout_make(&layout, &view, 1280, 720);
    rl_draw_pieces(&view, &layout, pieces[i]);
  }
  bool differs = false;
  for (int i = 0; i < RL_PIECES_MAX; ++i) {
    const RlRect at   = pieces[0][i].at;
    const RlRect last = rl_layout_bar(&layout, 11);
    differs           = differs || (fabs(at.x - (last.x - 6) * layout.unit) < 3 && at.w < 200 &&
                          fabs(at.y - (last.y - 6) * layout.unit) < 3 &&
                          pieces[0][i].looks != pieces[1][i].looks);
  }
  assert_true(differs);
}

static void
a_chart_of_older_rules_is_marked(void **state)
{
  (void)state;
  view_make("chart-rules: 1\ntitle: Ferry Street Slow Drag\nkey: Gm\nfeel: swing\n| i7 | VI7 |\n");
  for (size_t i = 0; i < sizeof(sizes) / sizeof(sizes[0]); ++i) {
    draw(sizes[i][0], sizes[i][1]);
    words_check("older rules");
    assert_true(layout.head.h == 0 || written("2 bars in Gm, 4/4, swing; older rules") ||
                written("older rules: take out chart-rules"));
    assert_true(layout.shape != RL_SHAPE_FULL || written("older rules: take out chart-rules"));
  }
}

static void
the_list_of_phrases_says_where_each_is_and_what_is_left_out(void **state)
{
  static RlLibraryPhrase phrases[] = {{.title = "Tide Bell"},
                                      {.title = "Low Water", .left = 4, .own = true},
                                      {.title = "Night Mail", .left = 12},
                                      {.title = "Two Voices", .left = RL_LIBRARY_WRONG}};
  static RlLibrary       library   = {.count = 4, .phrase = phrases};
  static RlPlan          plan, none;
  static RlPhrase        phrase;
  RlPlanError            error;
  (void)state;
  view_make(twelve);
  assert_true(rl_plan_read(rl_slice("bar 4: Tide Bell\nbar 11: Tide Bell, chorus 1\n"
                                    "bar 11: Tide Bell, chorus 3\nbar 2: Night Mail\n\n"
                                    "X:1\nT:Tide Bell\nK:G\nG\n\nX:2\nT:Night Mail\nK:G\nG\n"),
                           &phrase, &plan, &error));
  view.plan             = &plan;
  view.phrases.plan     = &none;
  view.phrases.library  = &library;
  view.phrases.selected = -1;
  view.screen           = RL_SCREEN_PHRASES;
  for (size_t i = 0; i < sizeof(sizes) / sizeof(sizes[0]); ++i) {
    draw(sizes[i][0], sizes[i][1]);
    words_check("the library");
    assert_true(written("bars 4 11"));
    assert_true(written("4 left out"));
    assert_true(written("bar 2; 12 left out"));
    assert_true(written("cannot be read"));
  }
}

static void
every_harp_has_room(void **state)
{
  (void)state;
  for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
    for (int bends = 0; bends <= 3; bends += 3) {
      for (int over = 0; over < 2; ++over) {
        char what[64];
        view_make(twelve);
        view.port[RL_PORT_TUNING]          = (float)tuning;
        view.port[RL_PORT_BEND_DEPTH]      = (float)bends;
        view.port[RL_PORT_BLOW_BEND_DEPTH] = (float)bends;
        view.port[RL_PORT_OVERBLOWS]       = (float)over;
        place_at(7, 2);
        snprintf(what, sizeof(what), "tuning %d, bends %d, overblows %d", tuning, bends, over);
        sizes_check(what, over ? 0 : 1, 1);
      }
    }
  }
}

/* ---- large enough ---- */

/* Pixels that capitals of a word are high: .75 of B612's size. */
static double
capitals(const Word *const w)
{
  return 0.75 * w->size * unit;
}

static const Word *
word_in(const RlRect box, const char *const text)
{
  for (int i = 0; i < count; ++i) {
    const double x = words[i].ink.x + words[i].ink.w / 2;
    const double y = words[i].ink.y + words[i].ink.h / 2;
    if (rl_rect_contains(box, x, y) && (!text || !strcmp(words[i].text, text))) {
      return &words[i];
    }
  }
  return NULL;
}

/* Degrees on lamps of worth 0.5 and more, the chord's name, the countdown. */
static void
sizes_at(const char *const what, const int width, const int height, const double label,
         const double name)
{
  char   number[RL_WORDS_SIZE], unit_words[RL_WORDS_SIZE];
  RlText digits = rl_text_in(number, sizeof(number));
  RlText rest   = rl_text_in(unit_words, sizeof(unit_words));
  draw(width, height);
  const RlComb comb = rl_comb_of(&view);
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlCell *const c = &comb.cell[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
    const RlRect        at =
      rl_layout_cell(&layout, i / RL_TECHNIQUES + 1, (RlTechnique)(i % RL_TECHNIQUES));
    if (c->shown && c->reached && c->now.brightness >= 0.5F) {
      const Word *const w = word_in(at, NULL);
      assert_non_null(w);
      if (capitals(w) < label - 0.5) {
        fail_msg("%s: \"%s\" in hole %d is %.1f px high, not %.0f", what, w->text,
                 i / RL_TECHNIQUES + 1, capitals(w), label);
      }
    }
  }
  rl_countdown(&view, &digits, &rest);
  const Word *const numeral = word_in(layout.next, number);
  char              name_words[RL_WORDS_SIZE];
  RlText            pretty = rl_text_in(name_words, sizeof(name_words));
  rl_music_signs(view.report.now, &pretty);
  const Word *const chord = word_in(layout.now, name_words);
  assert_non_null(numeral);
  assert_non_null(chord);
  if (capitals(numeral) < name || capitals(chord) < name) {
    fail_msg("%s: the countdown is %.1f px high, \"%s\" %.1f, not %.0f", what, capitals(numeral),
             chord->text, capitals(chord), name);
  }
}

/* 0.277 mm a pixel: 16 minutes of arc at 3 m are 50 px, 40 are 126; at 1 m 17 and 42. */
static void
it_is_read_from_three_metres_on_the_stage_and_from_one_in_the_window(void **state)
{
  (void)state;
  for (int over = 0; over < 2; ++over) {
    for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
      for (int bar = 0; bar < 12; ++bar) {
        char what[64];
        view_make(twelve);
        view.port[RL_PORT_OVERBLOWS] = (float)over;
        view.port[RL_PORT_TUNING]    = (float)tuning;
        place_at(bar, 0);
        snprintf(what, sizeof(what), "bar %d, tuning %d, overblows %d", bar + 1, tuning, over);
        view.screen = RL_SCREEN_PLAY;
        sizes_at(what, 1920, 1080, 17, 42);
        view.screen = RL_SCREEN_STAGE;
        sizes_at(what, 1920, 1080, 50, 126);
      }
    }
  }
}

/* ---- inks ---- */

static double
linear(const double channel)
{
  const double c = channel / 255;
  return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static double
luminance(const unsigned rgb)
{
  return 0.2126 * linear(rgb >> 16) + 0.7152 * linear(rgb >> 8 & 255) + 0.0722 * linear(rgb & 255);
}

static double
contrast(const RlInk a, const RlInk b)
{
  const double x = luminance(rl_ink(a));
  const double y = luminance(rl_ink(b));
  return (fmax(x, y) + 0.05) / (fmin(x, y) + 0.05);
}

static void
every_word_stands_out(void **state)
{
  static const RlInk pairs[][2] = {
    {RL_INK_TEXT, RL_INK_GROUND},       {RL_INK_TEXT, RL_INK_TOOTH},
    {RL_INK_TEXT, RL_INK_RAIL},         {RL_INK_QUIET, RL_INK_GROUND},
    {RL_INK_QUIET, RL_INK_TOOTH},       {RL_INK_QUIET, RL_INK_RAIL},
    {RL_INK_ON_NEXT, RL_INK_NEXT_FILL}, {RL_INK_ON_NEXT, RL_INK_TOOTH},
    {RL_INK_ON_NEXT, RL_INK_GROUND},    {RL_INK_NEXT_NAME, RL_INK_GROUND},
    {RL_INK_TARGET, RL_INK_GROUND},     {RL_INK_ON_LIGHT, RL_INK_100},
    {RL_INK_ON_LIGHT, RL_INK_100_EDGE}, {RL_INK_ON_LIGHT, RL_INK_90},
    {RL_INK_ON_LIGHT, RL_INK_90_EDGE},  {RL_INK_ON_LIGHT, RL_INK_70},
    {RL_INK_ON_LIGHT, RL_INK_70_EDGE},  {RL_INK_ON_BLUE, RL_INK_BLUE},
    {RL_INK_ON_BLUE, RL_INK_BLUE_EDGE}, {RL_INK_ON_50, RL_INK_50},
    {RL_INK_ON_50, RL_INK_50_EDGE},     {RL_INK_ON_20, RL_INK_20},
    {RL_INK_ON_20, RL_INK_TOOTH},       {RL_INK_ON_20, RL_INK_NEXT_FILL},
    {RL_INK_ON_RUB, RL_INK_RUB},        {RL_INK_90, RL_INK_RAIL}};
  (void)state;
  for (size_t i = 0; i < sizeof(pairs) / sizeof(pairs[0]); ++i) {
    if (contrast(pairs[i][0], pairs[i][1]) < 4.5) {
      fail_msg("ink %d on %d: %.2f", (int)pairs[i][0], (int)pairs[i][1],
               contrast(pairs[i][0], pairs[i][1]));
    }
  }
}

static const double dichromacies[][9] = {
  {1, 0, 0, 0, 1, 0, 0, 0, 1},
  {0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998},
  {0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881},
  {1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900}};

/* L* as somebody with that dichromacy sees it; 0: none. */
static double
lightness(const RlInk ink, const int which)
{
  const unsigned      c    = rl_ink(ink);
  const double        in[] = {linear(c >> 16), linear(c >> 8 & 255), linear(c & 255)};
  const double *const m    = dichromacies[which];
  double              y    = 0;
  for (int row = 0; row < 3; ++row) {
    static const double weight[] = {0.2126, 0.7152, 0.0722};
    const double        seen = m[row * 3] * in[0] + m[row * 3 + 1] * in[1] + m[row * 3 + 2] * in[2];
    y += weight[row] * fmin(fmax(seen, 0), 1);
  }
  return y > 216.0 / 24389 ? 116 * cbrt(y) - 16 : y * 24389 / 27;
}

/* Brighter lamps are lighter for everybody. Blue and 0.7 are the nearest; the drop and the bite out
   of the glass tell them apart. */
static void
roles_are_told_apart_without_hue(void **state)
{
  static const RlInk glasses[] = {RL_INK_100, RL_INK_90, RL_INK_70,   RL_INK_BLUE,
                                  RL_INK_50,  RL_INK_20, RL_INK_TOOTH};
  (void)state;
  for (int which = 0; which < 4; ++which) {
    double least = 100;
    for (int i = 0; i + 1 < 7; ++i) {
      const double gap = lightness(glasses[i], which) - lightness(glasses[i + 1], which);
      least            = fmin(least, gap);
    }
    print_message("dichromacy %d: smallest step %.1f L*\n", which, least);
    assert_true(least >= 5);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(no_word_is_cut_nor_lies_over_another),
    cmocka_unit_test(the_list_of_phrases_says_where_each_is_and_what_is_left_out),
    cmocka_unit_test(three_chords_in_a_bar_are_large_enough),
    cmocka_unit_test(of_two_chords_in_a_bar_the_one_that_sounds_is_marked),
    cmocka_unit_test(a_chart_of_older_rules_is_marked),
    cmocka_unit_test(every_harp_has_room),
    cmocka_unit_test(it_is_read_from_three_metres_on_the_stage_and_from_one_in_the_window),
    cmocka_unit_test(every_word_stands_out),
    cmocka_unit_test(roles_are_told_apart_without_hue),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
