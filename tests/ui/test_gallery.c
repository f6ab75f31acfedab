/* SPDX-License-Identifier: ISC */
/* Every picture as it was drawn, in every size, with every harp and chart: words stay in their
   boxes, off each other, large enough for their distance and clear of what they stand on. */
#include "deaf_plugin.h"
#include "gallery.h"
#include "place_reports.h"
#include "ui/draw/cells.h"
#include "ui/draw/corners.h"
#include "ui/model/fields.h"
#include "ui/model/music_signs.h"

#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static const int sizes[][2] = {{480, 320},   {640, 480}, {960, 540},  {1280, 720}, {1920, 1080},
                               {3840, 2160}, {360, 740}, {700, 1200}, {1366, 768}, {961, 541}};
static const int screens[]  = {0, 's', 'h', 'e', 'g', 'p', 'a', 'd'}; /* the keys that open them */

enum { SIZES = sizeof(sizes) / sizeof(sizes[0]), SCREENS = sizeof(screens) / sizeof(screens[0]) };

static RlController *controller;
static RlGallery     gallery;
static double        now;
static int           width, height;

/* ---- a controller to look at ---- */

/* Until the phrases are read and written, as a window looks again and again. */
static void
phrases_wait(void)
{
  const RlViewPhrases *const p = &rl_controller_view(controller)->phrases;
  while (p->reading == RL_READ_GOING_ON || p->writing) {
    nanosleep(&(struct timespec){0, 200000}, NULL);
    rl_controller_look(controller, now);
  }
}

static void
look(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  now += 1;
  rl_controller_look(controller, now);
  phrases_wait();
  rl_controller_changed(controller, now, width, height, damage);
}

static void
open_controller(const char *const chart)
{
  static char       phrases[4096], presets[4096];
  const char *const top = getenv("RL_TEST_DATA");
  controller            = rl_controller_new(&deaf_plugin, 1, NULL);
  width                 = 1280;
  height                = 720;
  assert_non_null(controller);
  snprintf(phrases, sizeof(phrases), "%s/presets/phrases", top ? top : ".");
  rl_controller_set_phrase_files(controller, phrases, NULL);
  snprintf(presets, sizeof(presets), "%s/presets", top ? top : ".");
  rl_controller_set_chart_files(controller, "/nowhere/of/ones/own/charts", presets, NULL);
  rl_controller_hear_text(controller, RL_CHART, chart);
  rl_controller_hear_text(controller, RL_OSC_TO, "127.0.0.1:9911 239.0.0.7:9911");
  assert_non_null(rl_controller_view(controller)->form);
  look();
}

static void
close_controller(void)
{
  rl_controller_free(controller);
}

static void
key(const int which)
{
  rl_controller_input(controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, now);
  look();
}

/* Standing still, so that a picture does not hang on when it is taken. */
static void
tell(RlPlaceReport told)
{
  told.rolling = false;
  rl_controller_hear_place(controller, &told, now);
  look();
}

static void
beat_tell(const int beat)
{
  tell(rl_report_beat(rl_controller_view(controller), beat));
}

static void
harp_hear(const int tuning, const int overblows, const int bends)
{
  rl_controller_hear_port(controller, RL_PORT_TUNING, (float)tuning);
  rl_controller_hear_port(controller, RL_PORT_OVERBLOWS, (float)overblows);
  rl_controller_hear_port(controller, RL_PORT_BEND_DEPTH, (float)bends);
  rl_controller_hear_port(controller, RL_PORT_BLOW_BEND_DEPTH, (float)bends);
}

/* Until files have been read; time stands still meanwhile. */
static void
files_wait(void)
{
  for (int i = 0; i < 40 || rl_controller_view(controller)->charts.reading; ++i) {
    rl_controller_look(controller, now);
    nanosleep(&(struct timespec){0, 200000}, NULL);
  }
}

/* Until it is asked what becomes of the chart that would be lost; its file is read first. */
static void
ask_wait(void)
{
  for (int i = 0; i < 10000 && !rl_controller_view(controller)->charts.ask; ++i) {
    rl_controller_look(controller, now);
    nanosleep(&(struct timespec){0, 200000}, NULL);
  }
}

static void
click_at(const RlRect at, const double unit)
{
  RlInput press = {
    .kind = RL_INPUT_PRESS, .x = (at.x + at.w / 2) * unit, .y = (at.y + at.h / 2) * unit};
  rl_controller_input(controller, &press, now);
  press.kind = RL_INPUT_RELEASE;
  rl_controller_input(controller, &press, now);
  look();
}

static void
screen_open(const int which)
{
  key(RL_KEY_ESCAPE);
  if (which) {
    key(which);
  }
  if (which == 'a') {
    files_wait();
    look();
  }
}

static void
size_set(const int w, const int h)
{
  width  = w;
  height = h;
  look();
}

/* ---- charts ---- */

static const char plain_song[] = "title: Ferry Street Slow Drag\nkey: G\n| I7 | IV7 | I7 | VI7 |\n"
                                 "| ii7 V7b9 | bVIImaj7 | #ivm7b5 | V7 |\n";

enum { CHARTS_MAX = 64 };

static char *charts[CHARTS_MAX];
static int   chart_count;

static void
chart_add(const char *const text)
{
  char *const copy = (char *)malloc(strlen(text) + 1);
  assert_non_null(copy);
  assert_true(chart_count < CHARTS_MAX);
  memcpy(copy, text, strlen(text) + 1);
  charts[chart_count++] = copy;
}

static void
preset_add(const char *const folder, const char *const name)
{
  static char text[RL_CHART_MAX + 1];
  char        path[4096];
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  FILE *const file = fopen(path, "r");
  assert_non_null(file);
  text[fread(text, 1, RL_CHART_MAX, file)] = '\0';
  fclose(file);
  chart_add(text);
}

static void
presets_add(void)
{
  char                 folder[2048];
  const char *const    top = getenv("RL_TEST_DATA");
  const struct dirent *entry;
  snprintf(folder, sizeof(folder), "%s/presets", top ? top : ".");
  DIR *const all = opendir(folder);
  assert_non_null(all);
  while ((entry = readdir(all))) {
    if (strstr(entry->d_name, ".chart")) {
      preset_add(folder, entry->d_name);
    }
  }
  closedir(all);
}

/* As long as a form may be, with sections and meters that change. */
static void
long_chart_add(void)
{
  char   text[RL_CHART_MAX];
  RlText out = rl_text_in(text, sizeof(text));
  rl_text_add(&out, "title: A song that does not end\nkey: Ab\n");
  for (int i = 0; i < 32; ++i) {
    rl_text_add(&out, i % 8 ? "" : "[another section of it]\n");
    rl_text_add(&out, "|: I7 | 3/4 bVII7 | 12/8 bIIImaj7 V7 | 4/4 #ivm7b5 |\n"
                      "| I7 | IV7 | bVImaj7 | V7b9 :|\n");
  }
  chart_add(text);
}

static int
charts_gather(void **state)
{
  (void)state;
  presets_add();
  long_chart_add();
  chart_add("title: The ballad of the very long title that goes on for as long as the wall is wide "
            "and then round the corner\nkey: Gb\nmeter: 8/8\nfeel: as slow as a barge in a lock, "
            "with the straightest of eighths and a hat on\n[the first section's very long name]\n"
            "| F#m7b5/Bb Abmaj13/Eb D#mMaj7 Bb9sus4 C#7#11/G# Gbmaj9 Ebm11 Abdim7 |\n"
            "| Bbm7b5/Eb | Abmaj13/Eb Db9sus4/Ab | I I I I I I I I | N.C. |\n"
            "[the second section's very long name, which is longer]\n| 4/4 bVIImMaj7/bIII | "
            "Gbm7b5/Db | C#13/F# | 32/32 I7 |\n");
  chart_add("| I |\n");
  chart_add("key: Cm\nmeter: 12/8\n[A]\n| i7 iv7 bVImaj7 V7#9 | i7 |\n[ending]\n| i6 |\n");
  return 0;
}

static int
charts_free(void **state)
{
  (void)state;
  for (int i = 0; i < chart_count; ++i) {
    free(charts[i]);
  }
  return 0;
}

/* With REEDLAMP_FEW a fifth of the charts must do, where every step is watched and takes its time.
 */
static int
some(const int step)
{
  return getenv("REEDLAMP_FEW") ? 5 * step : step;
}

/* ---- what is wrong with a picture ---- */

/* Every fault is told, up to some, so that one run shows them all. */
typedef struct {
  int  count;
  char first[8192];
} Faults;

static Faults faults;

static void
fault(const char *const what, const RlShown *const a, const RlShown *const b, const double by)
{
  const RlView *const v    = rl_controller_view(controller);
  const size_t        used = strlen(faults.first);
  ++faults.count;
  if (used + 400 < sizeof(faults.first)) {
    snprintf(
      faults.first + used, sizeof(faults.first) - used,
      "\n%s by %.2f: \"%s\" %.1f,%.1f %.1fx%.1f in %.1f,%.1f %.1fx%.1f%s%s%s; %dx%d screen %d, "
      "\"%.20s\" bar %d, tuning %g over %g bends %g",
      what, by, a->text, a->ink.x, a->ink.y, a->ink.w, a->ink.h, a->box.x, a->box.y, a->box.w,
      a->box.h, b ? " and \"" : "", b ? b->text : "", b ? "\"" : "", width, height, (int)v->screen,
      rl_form_text(v->form, v->form->title).at, v->report.bar, (double)v->port[RL_PORT_TUNING],
      (double)v->port[RL_PORT_OVERBLOWS], (double)v->port[RL_PORT_BEND_DEPTH]);
  }
}

static void
no_faults(void)
{
  const int   count = faults.count;
  static char words[sizeof(faults.first)];
  memcpy(words, faults.first, sizeof(words));
  memset(&faults, 0, sizeof(faults));
  if (count) {
    fail_msg("%d faults%s", count, words);
  }
}

static double
beyond(const RlRect a, const RlRect b)
{
  return fmax(fmax(b.x - a.x, b.y - a.y), fmax(a.x + a.w - b.x - b.w, a.y + a.h - b.y - b.h));
}

static double
overlap(const RlRect a, const RlRect b)
{
  return fmin(fmin(a.x + a.w, b.x + b.w) - fmax(a.x, b.x),
              fmin(a.y + a.h, b.y + b.h) - fmax(a.y, b.y));
}

/* How far ink may be off by what is rounded to whole figures: a part of a pixel. */
static const double slack = 0.5;

/* A word's box, and what round letters reach over the line by design: a fiftieth of the size. */
static RlRect
room_of(const RlShown *const word)
{
  const double over = word->size / 50;
  return (RlRect){word->box.x, word->box.y - over, word->box.w, word->box.h + 2 * over};
}

static void
words_check(void)
{
  const RlView *const v      = rl_controller_view(controller);
  const RlRect        window = {0, 0, gallery.layout.w, gallery.layout.h};
  const double        u      = gallery.layout.unit;
  const bool          flat   = v->edit.kind != RL_EDIT_BAR && v->edit.list == RL_NO_FIELD &&
                    v->charts.ask == RL_CHARTS_ASK_NOTHING; /* else a box lies over words */
  for (int i = 0; i < gallery.count; ++i) {
    const RlShown *const a = &gallery.word[i];
    if (beyond(a->ink, room_of(a)) * u > slack) {
      fault("beyond its box", a, NULL, beyond(a->ink, a->box));
    }
    if (beyond(a->ink, window) * u > 0) {
      fault("beyond the window", a, NULL, beyond(a->ink, window));
    }
    for (int k = 0; flat && k < i; ++k) {
      if (overlap(a->ink, gallery.word[k].ink) * u > 0) {
        fault("over another", a, &gallery.word[k], overlap(a->ink, gallery.word[k].ink));
      }
    }
  }
}

static void
picture_check(void)
{
  rl_gallery_take(&gallery, rl_controller_view(controller), width, height, false);
  words_check();
}

/* ---- words and their boxes ---- */

/* What a moment shows hangs on the beat: the last ones before a change show most. */
static int
beats_of(const RlForm *const f)
{
  int beats = 0;
  for (int i = 0; i < f->bars; ++i) {
    beats += f->bar[i].beats;
  }
  return beats;
}

static void
with_every_harp_words_stay_in_their_boxes_and_off_each_other(void **state)
{
  (void)state;
  open_controller(plain_song);
  for (int s = 0; s < SIZES; ++s) {
    size_set(sizes[s][0], sizes[s][1]);
    for (int screen = 0; screen < 2; ++screen) {
      screen_open(screens[screen]);
      for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
        for (int i = 0; i < 8; ++i) {
          harp_hear(tuning, i / 4, i % 4);
          rl_controller_hear_port(controller, RL_PORT_SONG_KEY, (float)((tuning * 7 + i) % 12));
          for (int beat = 0; beat < 32; beat += 9 + i % 3) {
            if (beat % 2) {
              key('n');
            }
            beat_tell(beat);
            picture_check();
          }
        }
      }
    }
  }
  close_controller();
  no_faults();
}

static void
chart_check(const int shift)
{
  const int beats = 2 * beats_of(rl_controller_view(controller)->form);
  for (int screen = 0; screen < SCREENS; ++screen) {
    tell((RlPlaceReport){.part = RL_PART_NOWHERE});
    screen_open(screens[screen]);
    picture_check();
    for (int i = 0; i < (screen < 2 ? 4 : 1); ++i) { /* the others show no place */
      rl_controller_hear_port(controller, RL_PORT_SONG_KEY, (float)((5 * i + shift) % 13));
      beat_tell(i < 3 ? (beats * i / 3 + 3 + shift) % (beats + 4) : 100000);
      picture_check();
    }
  }
}

static void
with_every_chart_words_stay_in_their_boxes_and_off_each_other(void **state)
{
  (void)state;
  for (int s = 0; s < SIZES; ++s) { /* sizes outermost: fonts are dear to open */
    for (int c = 0; c < chart_count; c += some(1)) {
      open_controller(charts[c]);
      size_set(sizes[s][0], sizes[s][1]);
      chart_check(s + c);
      close_controller();
    }
  }
  no_faults();
}

/* ---- large enough ---- */

/* In pixels of a picture of 1920 by 1080, 0.277 mm a pixel. Source: ISO 9241-303, from memory: 16
   minutes of arc are the least height of a capital; the chord and its countdown get 40. */
typedef struct {
  int    screen;
  double lamp, name;
} Distance;

static const Distance stage_at_3_m = {'s', 50, 126};
static const Distance full_at_1_m  = {0, 17, 42};

static double smallest_lamp, smallest_name; /* found, in pixels */

static double
capitals(const RlShown *const word)
{
  return word->size * 0.75 * gallery.layout.unit;
}

static bool
stands_in(const RlShown *const word, const RlRect box)
{
  return rl_rect_contains(box, word->ink.x + word->ink.w / 2, word->ink.y + word->ink.h / 2);
}

/* The lamp that a word is the label of: the middle of its ink lies near the middle of the cell. */
static const RlCell *
labelled(const RlComb *const comb, const RlShown *const word)
{
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const int    hole = i / RL_TECHNIQUES;
    const int    how  = i % RL_TECHNIQUES;
    const RlRect cell = rl_layout_cell(&gallery.layout, hole + 1, (RlTechnique)how);
    if (comb->cell[hole][how].shown && comb->cell[hole][how].reached &&
        stands_in(word, rl_rect_inset(cell, fmin(cell.w, cell.h) / 4))) {
      return &comb->cell[hole][how];
    }
  }
  return NULL;
}

/* Labels of lamps of 0.5 and brighter. */
static void
lamps_check(const double least)
{
  const RlComb comb   = rl_comb_of(rl_controller_view(controller));
  int          labels = 0;
  for (int i = 0; i < gallery.count; ++i) {
    const RlCell *const cell = labelled(&comb, &gallery.word[i]);
    const double        high = capitals(&gallery.word[i]);
    if (cell && cell->now.brightness >= 0.5F) {
      ++labels;
      smallest_lamp = fmin(smallest_lamp, high);
      if (high < least) {
        fault("a lamp's label too small", &gallery.word[i], NULL, least - high);
      }
    }
  }
  assert_true(labels > 0);
}

static void
names_check(const double least)
{
  const RlView *const v = rl_controller_view(controller);
  char                name[RL_WORDS_SIZE], number[RL_WORDS_SIZE], unit[RL_WORDS_SIZE];
  RlText              pretty = rl_text_in(name, sizeof(name));
  RlText              count  = rl_text_in(number, sizeof(number));
  RlText              beats  = rl_text_in(unit, sizeof(unit));
  int                 found  = 0;
  rl_music_signs(v->report.now, &pretty);
  rl_countdown(v, &count, &beats);
  for (int i = 0; i < gallery.count; ++i) {
    const RlShown *const word    = &gallery.word[i];
    const bool           is_name = stands_in(word, gallery.layout.now) && !strcmp(word->text, name);
    const bool is_number = stands_in(word, gallery.layout.next) && !strcmp(word->text, number);
    found += is_name || is_number;
    smallest_name = is_name || is_number ? fmin(smallest_name, capitals(word)) : smallest_name;
    if ((is_name || is_number) && capitals(word) < least) {
      fault(is_name ? "a chord's name too small" : "a countdown too small", word, NULL,
            least - capitals(word));
    }
  }
  assert_int_equal(found, 2);
}

static void
every_harp_check(const Distance d)
{
  smallest_lamp = smallest_name = HUGE_VAL;
  open_controller(plain_song);
  size_set(1920, 1080);
  screen_open(d.screen);
  for (int i = 0; i < RL_TUNINGS * 8; ++i) {
    harp_hear(i / 8, i / 4 % 2, i % 4);
    for (int beat = 0; beat < 32; beat += 4) {
      rl_controller_hear_port(controller, RL_PORT_SONG_KEY, (float)((i + beat / 4) % 12));
      beat_tell(beat + i % 4);
      rl_gallery_take(&gallery, rl_controller_view(controller), width, height, false);
      lamps_check(d.lamp);
      names_check(d.name);
    }
  }
  close_controller();
  print_message("smallest capitals: lamps %.1f, chord and countdown %.1f pixels\n", smallest_lamp,
                smallest_name);
  no_faults();
}

static void
on_stage_lamps_chord_and_countdown_are_read_from_3_m(void **state)
{
  (void)state;
  every_harp_check(stage_at_3_m);
}

/* Those without a bass; one with a bass may be twice as long. */
static void
on_stage_every_chord_is_read_from_3_m(void **state)
{
  (void)state;
  open_controller(plain_song);
  size_set(1920, 1080);
  screen_open('s');
  for (int quality = 0; quality < rl_qualities(); ++quality) {
    smallest_name = HUGE_VAL;
    for (int key = 0; key < 12; ++key) {
      const RlChord   chord  = {.quality = rl_quality(quality), .root = {.step = 0}};
      const RlHarmony h      = rl_harmony_of(chord, rl_key_named(key, false));
      RlPlaceReport   told   = rl_report_beat(rl_controller_view(controller), key);
      RlText          name   = rl_text_in(told.now, sizeof(told.now));
      RlText          degree = rl_text_in(told.now_degree, sizeof(told.now_degree));
      rl_harmony_name(&h, &name);
      rl_harmony_degree(&h, &degree);
      tell(told);
      picture_check();
      names_check(stage_at_3_m.name);
    }
    char   buffer[RL_QUALITY_NAME_SIZE];
    RlText name = rl_text_in(buffer, sizeof(buffer));
    rl_quality_name(rl_quality(quality), &name);
    print_message("%.0f %s\n", smallest_name, buffer);
  }
  close_controller();
  no_faults();
}

static void
in_the_full_window_they_are_read_from_1_m(void **state)
{
  (void)state;
  every_harp_check(full_at_1_m);
}

/* ---- clear of what they stand on ---- */

static void
contrast_check(void)
{
  enum { LEAST_10 = 45 }; /* WCAG 2.1, 1.4.3: 4.5 to 1; see rl_gallery_contrast() */
  rl_gallery_take(&gallery, rl_controller_view(controller), width, height, true);
  for (int i = 0; i < gallery.count; ++i) {
    const RlShown *const word = &gallery.word[i];
    if (word->contrast * 10 < LEAST_10) {
      fault("contrast too low", word, NULL, LEAST_10 / 10.0 - word->contrast);
    }
  }
}

static const int shapes[][2] = {{1280, 720}, {480, 320}, {360, 740}};

static void
places_contrast(void)
{
  for (int i = 0; i < 8; ++i) {
    harp_hear(i % RL_TUNINGS, i / 4, i % 4);
    rl_controller_hear_port(controller, RL_PORT_SONG_KEY, (float)(5 * i % 12));
    beat_tell(3 * i + i / 4);
    contrast_check();
    key('n');
    key(RL_KEY_TAB);
    contrast_check();
    key('n');
  }
}

static void
every_word_stands_out_from_its_ground(void **state)
{
  (void)state;
  for (int c = 0; c < chart_count; c += some(3)) {
    open_controller(charts[c]);
    for (int s = 0; s < 3; ++s) {
      size_set(shapes[s][0], shapes[s][1]);
      for (int screen = 0; screen < SCREENS; ++screen) {
        screen_open(screens[screen]);
        if (screen < 2) {
          places_contrast();
        } else {
          contrast_check();
        }
      }
    }
    close_controller();
  }
  no_faults();
}

/* ---- chords that share a bar ---- */

/* The least size in pixels of the names of these chords in the picture. */
static double
least_size(const char *const names)
{
  double least = HUGE_VAL;
  rl_gallery_take(&gallery, rl_controller_view(controller), width, height, false);
  for (int i = 0; i < gallery.count; ++i) {
    const RlShown *const word = &gallery.word[i];
    const RlRect         rows = gallery.layout.rows;
    if (strstr(names, word->text) && word->box.y > rows.y - 1 && word->box.x > rows.x - 1) {
      least = fmin(least, word->size * gallery.layout.unit);
    }
  }
  return least;
}

static void
chords_that_share_a_bar_are_read(void **state)
{
  static const struct {
    int         width, height, least;
    const char *chart;
  } cases[] = {
    {480, 320, 12, "key: G\n| ii7 V7 | I7 |\n"},
    {360, 740, 12, "key: G\n| ii7 V7 | I7 |\n"},
    {480, 320, 9, "key: G\nmeter: 3/4\n| ii7 V7 IV7 | I7 |\n"},
    {1280, 720, 20, "key: G\nmeter: 3/4\n| ii7 V7 IV7 | I7 |\n| I7 |\n| I7 |\n"},
  };
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    open_controller(cases[i].chart);
    size_set(cases[i].width, cases[i].height);
    print_message("%dx%d: %.1f pixels\n", width, height, least_size("Am7 D7 C7"));
    assert_true(least_size("Am7 D7 C7") >= cases[i].least);
    close_controller();
  }
}

/* ---- phrases ---- */

static const char plan[] =
  "bar 1: Down the Steps\nbar 2: Coal Barge, as it is\nbar 3 beat 2: Ferry Street, with the key\n"
  "bar 4: The one with the longest of all the titles that there may be, chorus 1\nanswer: 1 2 3\n\n"
  "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:Gmix\n\"G7\"d2 cd _BG F2|G4 z4|\n\n"
  "X:2\nT:Coal Barge\nM:4/4\nL:1/16\nK:G\n\"D7\"A2AA d2cd (A2F2) DD!slide!FF|\n\n"
  "X:3\nT:Ferry Street\nM:4/4\nL:1/8\nK:G\nEG|\"C7\"[c2e2g2] (3cAG [EGc]2 _BA|[Gg]4 z2|\n\n"
  "X:4\nT:The one with the longest of all the titles that there may be\nM:4/4\nL:1/32\nK:G\n"
  "\"C7\"c2d2e2f2 (3ggg (3fff e2d2 c2 G2 A2 B2 c2 d2|\n";

static void
every_figure_of_the_lane_fits(void **state)
{
  (void)state;
  for (int c = 0; c < chart_count; c += some(2)) {
    open_controller(charts[c]);
    rl_controller_hear_text(controller, RL_PLAN, plan);
    assert_int_equal(rl_controller_view(controller)->plan->planned_count, 4);
    for (int s = 0; s < SIZES; ++s) {
      size_set(sizes[s][0], sizes[s][1]);
      for (int screen = 0; screen < 2; ++screen) {
        screen_open(screens[screen]);
        for (int i = 0; i < 12; ++i) {
          harp_hear(i % RL_TUNINGS, i / 6, i % 4);
          beat_tell(3 * i + i / 4);
          picture_check();
          if (c == 0 && s < 8 && i % 3 == 0) {
            contrast_check();
          }
        }
      }
    }
    close_controller();
  }
  no_faults();
}

/* The smallest window with a lane leaves little room beside the comb. */
static void
the_note_to_land_on_is_read_beside_a_lane(void **state)
{
  int seen = 0;
  (void)state;
  open_controller(plain_song);
  rl_controller_hear_text(controller, RL_PLAN, plan);
  size_set(480, 320);
  for (int beat = 0; beat < 32; ++beat) {
    beat_tell(beat);
    rl_gallery_take(&gallery, rl_controller_view(controller), width, height, false);
    for (int i = 0; i < gallery.count; ++i) {
      const RlShown *const word = &gallery.word[i];
      if (strchr(word->text, ' ') && (strstr(word->text, " draw") || strstr(word->text, " blow"))) {
        assert_true(word->size * gallery.layout.unit >= 10);
        ++seen;
      }
    }
  }
  assert_true(seen > 8);
  close_controller();
}

/* ---- bends ---- */

/* A try with all that can be said of it; its end. */
static void
bend_hear(const int hole, const RlTechnique technique, const int midi)
{
  static double at;
  for (int i = 0; i < 200; ++i) {
    const double         cents  = i < 40 ? -200 + 5 * i : 24.6 * (i / 4 % 2 ? 1 : -1);
    const RlPlayedReport report = {
      .count = 1, .note = {{hole, technique, midi, cents}}, .heard_at = at += 0.025};
    rl_controller_hear_played(controller, &report, now);
  }
  picture_check();
  rl_controller_hear_played(controller, &(RlPlayedReport){.heard_at = at += 0.025}, now);
  rl_controller_hear_played(controller, &(RlPlayedReport){.heard_at = at += 0.5}, now);
}

static void
tries_on_every_note_are_read(void **state)
{
  (void)state;
  open_controller(plain_song);
  for (int s = 0; s < SIZES; ++s) {
    size_set(sizes[s][0], sizes[s][1]);
    for (int i = 0; i < 2 * RL_TUNINGS; ++i) {
      static RlLayout layout;
      harp_hear(i / 2, i % 2, 3);
      screen_open('d');
      key('n');
      rl_layout_make(&layout, rl_controller_view(controller), width, height);
      const int first = (s + i) % 5; /* each in one size or another */
      for (int spot = first; spot < layout.spots; spot += 5) {
        if (layout.spot[spot].action.kind == RL_ACTION_AIM) {
          const RlAim *const aim = &rl_controller_view(controller)->trainer.on->aim;
          click_at(layout.spot[spot].at, layout.unit);
          assert_int_equal(aim->hole * RL_TECHNIQUES + aim->technique,
                           layout.spot[spot].action.value);
          bend_hear(aim->hole, (RlTechnique)aim->technique, aim->midi);
          picture_check();
          if (spot == first && s < 8) {
            contrast_check();
          }
        }
      }
    }
  }
  close_controller();
  no_faults();
}

/* ---- what is typed, chosen, pressed or wrong ---- */

static int
spot_of(const RlActionKind kind, const int value)
{
  static RlLayout layout;
  rl_layout_make(&layout, rl_controller_view(controller), width, height);
  for (int i = layout.live; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind && layout.spot[i].action.value == value) {
      return i;
    }
  }
  return -1;
}

static bool
open_by_keys(const RlActionKind kind, const int value)
{
  for (int i = 0; i < RL_SPOTS_MAX && spot_of(kind, value) >= 0; ++i) {
    if (rl_controller_view(controller)->focus == spot_of(kind, value)) {
      key(RL_KEY_ENTER);
      return true;
    }
    key(RL_KEY_TAB);
  }
  return false;
}

static void
both_check(void)
{
  picture_check();
  contrast_check();
}

static void
lists_check(void)
{
  for (int field = 0; field < RL_FIELDS; ++field) {
    screen_open(field >= RL_FIELD_SHOW_GROWS ? 'r' : height < 540 || height > width ? 'g' : 0);
    assert_true(open_by_keys(RL_ACTION_FIELD_OPEN, field));
    both_check();
    key('9');
    for (int i = 0; i < 80; ++i) {
      key("1234567890.: x"[i % 14]);
    }
    both_check();
    key(RL_KEY_ENTER);
    both_check();
    key(RL_KEY_ESCAPE);
  }
}

static void
editors_check(void)
{
  screen_open(0);
  assert_true(open_by_keys(RL_ACTION_BAR_EDIT, 0));
  both_check();
  for (int i = 0; i < 60; ++i) {
    key("G#m7b5/Bb qj"[i % 12]);
  }
  key(RL_KEY_ENTER);
  assert_true(rl_controller_view(controller)->edit.error[0]);
  both_check();
  key(RL_KEY_ESCAPE);
  screen_open('e');
  for (int i = 0; i < 200; ++i) {
    key("G#m7b5/Bb qj"[i % 12]);
  }
  both_check();
  assert_true(open_by_keys(RL_ACTION_EDIT_KEEP, 0));
  assert_true(rl_controller_view(controller)->edit.error[0]);
  both_check();
  key(RL_KEY_ESCAPE);
}

static void
asked_check(void)
{
  both_check();
  key(RL_KEY_ESCAPE);
}

static void
charts_check(void)
{
  screen_open('a');
  assert_true(open_by_keys(RL_ACTION_CHART_SELECT, 4)); /* the first three are folders */
  files_wait();
  both_check();
  assert_true(open_by_keys(RL_ACTION_CHART_OPEN, 0));
  ask_wait();
  assert_int_equal(rl_controller_view(controller)->charts.ask, RL_CHARTS_ASK_LOST);
  asked_check();
  assert_true(open_by_keys(RL_ACTION_CHART_NEW, 0));
  asked_check();
  assert_true(open_by_keys(RL_ACTION_CHART_SAVE_AS, 0));
  key('/');
  key(RL_KEY_ENTER);
  assert_true(rl_controller_view(controller)->edit.error[0]);
  asked_check();
  assert_true(open_by_keys(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN));
  files_wait();
  assert_true(rl_controller_view(controller)->charts.words[0]); /* there is none yet */
  both_check();
  assert_true(open_by_keys(RL_ACTION_CHARTS_PATH, 0));
  both_check();
  key(RL_KEY_ESCAPE);
  key('f');
  key('q');
  both_check();
  key(RL_KEY_ESCAPE);
  assert_true(open_by_keys(RL_ACTION_CHARTS_PLACE, RL_CHARTS_PRESETS));
  files_wait();
}

/* All of a picture that is loud everywhere. */
static void
picture_tell(void)
{
  static uint8_t    cell[64 * 72];
  RlViewPicturePart part = {"Take 1", 72, 40, 64, 0, 8, 0, 64, cell};
  memset(cell, 255, sizeof(cell));
  rl_controller_hear_picture(controller, &part);
  look();
}

/* A take that was lifted, with notes at which it is not sure: every panel, every note. */
static void
panels_check(void)
{
  static const int unsure[] = {1, 2, 5};
  rl_controller_hear_text(controller, RL_TAKE,
                          "bar 2: Take 1\n\nX:1\nT:Take 1\nN:10 notes, swung (.62)\n"
                          "N:sure .99 .20 .34 .98 .93 .15 .88 .97 .97 1\nM:4/4\nL:1/8\nK:G\n"
                          "\"C7\"G2 (3c_BG E2 C2|\"G7\"DG (3z2GB2 z2|\n");
  screen_open('p');
  both_check();
  for (int panel = RL_PHRASE_PANEL_EDIT; panel < RL_PHRASE_PANELS; ++panel) {
    if (panel != RL_PHRASE_PANEL_ABOUT) {
      assert_true(open_by_keys(RL_ACTION_PHRASE_PANEL, panel));
      both_check();
    }
  }
  assert_true(open_by_keys(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT));
  assert_true(gallery.layout.strip.w == 0);
  picture_tell();
  both_check();
  assert_true(gallery.layout.strip.w > 0);
  for (int note = 0; note < 3; ++note) {
    key('q');
    both_check();
    assert_int_equal(rl_controller_view(controller)->phrases.note, unsure[note]);
  }
  rl_controller_hear_text(controller, RL_TAKE, "");
}

static void
problems_check(void)
{
  static const char *const problems[] = {
    "line 3, bar 7: no such chord \"H7\"; letters run A to G, degrees I to VII",
    "/a/folder/whose/name/is/long/enough/for/two/lines/of/the/window/and/then/some/more/harps: "
    "cannot be written; your harps will be lost when you close the session, and jpqgy hang low"};
  for (int i = 0; i < 2; ++i) {
    rl_controller_hear_text(controller, RL_PROBLEM, problems[i]);
    for (int screen = 0; screen < SCREENS; ++screen) {
      screen_open(screens[screen]);
      both_check();
    }
  }
  rl_controller_hear_text(controller, RL_PROBLEM, "");
}

static void
what_is_typed_chosen_or_wrong_is_read_too(void **state)
{
  static const int some[][2] = {{480, 320},   {640, 480}, {960, 540}, {1280, 720},
                                {1920, 1080}, {360, 740}, {700, 1200}};
  (void)state;
  open_controller(
    "title: T\nkey: Ab\n| I7 | IV7 | I7 | VI7 |\n| ii7 V7b9 | bVIImaj7 | I7 | V7 |\n");
  for (size_t s = 0; s < sizeof(some) / sizeof(some[0]); ++s) {
    size_set(some[s][0], some[s][1]);
    beat_tell(11);
    lists_check();
    editors_check();
    charts_check();
    panels_check();
    problems_check();
  }
  close_controller();
  no_faults();
}

/* ---- without hue ---- */

/* What a colour looks like to those who lack one kind of cones, in linear red, green, blue. Source:
   Machado, Oliveira, Fernandes, A Physiologically-based Model for Simulation of Color Vision
   Deficiency, 2009, the matrices for severity 1.0, from memory. */
static const struct {
  const char *name;
  double      of[3][3];
} eyes[] = {
  {"all cones", {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
  {"protanopia",
   {{0.152286, 1.052583, -0.204868},
    {0.114503, 0.786281, 0.099216},
    {-0.003882, -0.048116, 1.051998}}},
  {"deuteranopia",
   {{0.367322, 0.860646, -0.227968},
    {0.280085, 0.672501, 0.047413},
    {-0.011820, 0.042940, 0.968881}}},
  {"tritanopia",
   {{1.255528, -0.076749, -0.178779},
    {-0.078411, 0.930809, 0.147602},
    {0.004733, 0.691367, 0.303900}}},
};

enum { EYES = sizeof(eyes) / sizeof(eyes[0]) };

/* CIE 1976 L*. */
static double
lightness(const double c[3], const int eye)
{
  double seen[3];
  for (int i = 0; i < 3; ++i) {
    const double *const m = eyes[eye].of[i];
    seen[i]               = fmin(1, fmax(0, m[0] * c[0] + m[1] * c[1] + m[2] * c[2]));
  }
  const double y = rl_gallery_luminance(seen);
  return y > 216.0 / 24389 ? 116 * cbrt(y) - 16 : y * 24389 / 27;
}

/* The glasses, brightest first. */
typedef enum {
  GLASS_100,
  GLASS_90,
  GLASS_70,
  GLASS_BLUE,
  GLASS_50,
  GLASS_RUB,
  GLASS_20,
  GLASSES
} Glass;

static Glass
glass_of(const RlWorth w)
{
  static const Glass glass[RL_ROLES] = {
    [RL_ROLE_OFF] = GLASSES,     [RL_ROLE_REACH] = GLASSES,   [RL_ROLE_PASS] = GLASS_20,
    [RL_ROLE_SAFE] = GLASS_50,   [RL_ROLE_BLUE] = GLASS_BLUE, [RL_ROLE_CHORD] = GLASS_70,
    [RL_ROLE_FIFTH] = GLASS_70,  [RL_ROLE_ROOT] = GLASS_90,   [RL_ROLE_SEVENTH] = GLASS_100,
    [RL_ROLE_THIRD] = GLASS_100,
  };
  return w.role == RL_ROLE_BLUE && w.brightness < 0.5F ? GLASS_RUB : glass[w.role];
}

/* Adds what stands under the labels of every lamp to its glass. */
static void
glasses_add(double sum[GLASSES][3], int count[GLASSES])
{
  const RlComb comb = rl_comb_of(rl_controller_view(controller));
  rl_gallery_take(&gallery, rl_controller_view(controller), width, height, true);
  for (int i = 0; i < gallery.count; ++i) {
    const RlCell *const cell = labelled(&comb, &gallery.word[i]);
    const Glass         g    = cell ? glass_of(cell->now) : GLASSES;
    if (g < GLASSES) {
      for (int k = 0; k < 3; ++k) {
        sum[g][k] += gallery.word[i].ground[k];
      }
      ++count[g];
    }
  }
}

static void
without_hue_lamps_differ_in_lightness_and_keep_their_order(void **state)
{
  enum { LEAST = 5 }; /* in whole figures: 0.7 and blue, under protanopia */
  double sum[GLASSES][3] = {{0}};
  int    count[GLASSES]  = {0};
  (void)state;
  open_controller(plain_song);
  for (int beat = 0; beat < 32; beat += 4) {
    RlPlaceReport told = rl_report_beat(rl_controller_view(controller), beat);
    told.next[0] = told.next_degree[0] = '\0';
    tell(told);
    glasses_add(sum, count);
  }
  for (int eye = 0; eye < EYES; ++eye) {
    double l[GLASSES];
    for (int g = 0; g < GLASSES; ++g) {
      assert_true(count[g] > 0);
      const double mean[] = {sum[g][0] / count[g], sum[g][1] / count[g], sum[g][2] / count[g]};
      l[g]                = lightness(mean, eye);
    }
    print_message("%s: L* 1.0 %.1f, 0.9 %.1f, 0.7 %.1f, blue %.1f, 0.5 %.1f, rubs %.1f, 0.2 %.1f\n",
                  eyes[eye].name, l[0], l[1], l[2], l[3], l[4], l[5], l[6]);
    for (int g = 1; g < GLASSES; ++g) {
      assert_true(l[g - 1] > l[g]);
      /* a blue note that rubs has a drop and a small glass besides */
      if (g != GLASS_RUB) {
        const int before = g == GLASS_20 ? GLASS_50 : g - 1;
        assert_true(lround(l[before] - l[g]) >= LEAST);
      }
    }
  }
  close_controller();
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(with_every_harp_words_stay_in_their_boxes_and_off_each_other),
    cmocka_unit_test(with_every_chart_words_stay_in_their_boxes_and_off_each_other),
    cmocka_unit_test(on_stage_lamps_chord_and_countdown_are_read_from_3_m),
    cmocka_unit_test(on_stage_every_chord_is_read_from_3_m),
    cmocka_unit_test(in_the_full_window_they_are_read_from_1_m),
    cmocka_unit_test(every_word_stands_out_from_its_ground),
    cmocka_unit_test(chords_that_share_a_bar_are_read),
    cmocka_unit_test(every_figure_of_the_lane_fits),
    cmocka_unit_test(the_note_to_land_on_is_read_beside_a_lane),
    cmocka_unit_test(tries_on_every_note_are_read),
    cmocka_unit_test(what_is_typed_chosen_or_wrong_is_read_too),
    cmocka_unit_test(without_hue_lamps_differ_in_lightness_and_keep_their_order),
  };
  return cmocka_run_group_tests(tests, charts_gather, charts_free);
}
