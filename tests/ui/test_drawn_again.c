/* SPDX-License-Identifier: ISC */
/* What is drawn anew, and when: between beats, while stopped, part by part. */
#include "hands.h"
#include "kept_picture.h"
#include "place_reports.h"
#include "ui/controller/controller.h"
#include "ui/model/fields.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

/* ---- time ---- */

static void
between_two_beats_the_beat_runs_on_and_never_into_the_next(void **state)
{
  (void)state;
  open_controller(NULL);
  tell(told_at(RL_PART_CHORUS, 1, 2, 1, 1));
  const RlPlaceReport *const t = &rl_controller_view(host.controller)->report;
  for (int i = 0; i < 20; ++i) {
    host.now = i * 0.025;
    look();
    assert_true(fabs(t->beat - (2 + i * 0.025 * 2)) < 1e-2);
  }
  host.now = 60;
  look();
  assert_true(t->beat < 3);
  close_controller();
}

/* In any meter and at any tempo, forwards until the next beat is told, and the countdown with it.
 */
static void
in_every_meter_a_beat_that_was_not_told_is_not_entered(void **state)
{
  (void)state;
  srand(13);
  open_controller(NULL);
  rl_controller_hear_text(host.controller, RL_CHART,
                          "meter: 12/8\n| I7 | 2/4 IV7 | 3/4 V7 ii7 I7 | 7/8 I7 |\n");
  for (int i = 0; i < 400; ++i) {
    const int     index = rand() % 4;
    const int     beat  = rand() % rl_controller_view(host.controller)->form->bar[index].beats;
    RlPlaceReport t     = told_at(RL_PART_CHORUS, 1, index + 1, index, beat);
    t.tempo             = 20 + rand() % 400;
    t.beat += rand() % 100 / 100.0;
    const double told = host.now;
    tell(t);
    for (double last = 0; host.now < told + 1; host.now += 0.03) {
      look();
      const RlPlaceReport *const now  = &rl_controller_view(host.controller)->report;
      const double               want = t.beat + (host.now - told) * t.tempo / 60;
      assert_true(now->beat < floor(t.beat) + 1);
      assert_true(now->beat >= last && now->beat <= want + 1e-9);
      assert_true(want > floor(t.beat) + 0.99 || fabs(now->beat - want) < 1e-9);
      assert_true(now->beats_to_next >= 0 && now->beats_to_next <= t.beats_to_next);
      last = now->beat;
    }
  }
  close_controller();
}

static void
nothing_is_drawn_for_a_while(const char *const what)
{
  RlRect damage[RL_DAMAGE_MAX];
  look();
  for (int i = 0; i < 30; ++i) {
    host.now += 1.0 / 3;
    const int n = rl_controller_changed(host.controller, host.now, host.width, host.height, damage);
    if (n) {
      fail_msg("%s: %d parts after %d looks", what, n, i);
    }
  }
}

static void
stopped_nothing_is_drawn_on_any_screen(void **state)
{
  static const int screens[] = {RL_KEY_ESCAPE, 's', 'h', 'e', 'g'};
  (void)state;
  for (int screen = 0; screen < 5; ++screen) {
    char what[64];
    snprintf(what, sizeof(what), "screen %d", screen);
    open_controller(NULL);
    key(screens[screen]);
    nothing_is_drawn_for_a_while(what); /* nothing was told yet */
    for (int beat = 0; beat < 110; beat += 7) {
      RlPlaceReport t = rl_report_beat(rl_controller_view(host.controller), beat);
      t.rolling       = false;
      rl_controller_hear_place(host.controller, &t, host.now);
      nothing_is_drawn_for_a_while(what);
    }
    tell((RlPlaceReport){.part = RL_PART_NOWHERE, .rolling = true, .tempo = 100});
    nothing_is_drawn_for_a_while(what);
    close_controller();
  }
  open_controller(NULL);
  click(RL_ACTION_BAR_EDIT, 3);
  nothing_is_drawn_for_a_while("a bar being typed");
  key(RL_KEY_ESCAPE);
  click(RL_ACTION_FIELD_OPEN, RL_FIELD_TUNING);
  nothing_is_drawn_for_a_while("a list");
  close_controller();
}

static void
stopped_there_is_nothing_to_draw(void **state)
{
  RlRect        damage[RL_DAMAGE_MAX];
  RlPlaceReport t;
  (void)state;
  open_controller(NULL);
  t         = told_at(RL_PART_CHORUS, 1, 2, 1, 1);
  t.rolling = false;
  tell(t);
  for (int i = 0; i < 300; ++i) {
    host.now += 1.0 / 30;
    assert_int_equal(rl_controller_changed(host.controller, host.now, 1280, 720, damage), 0);
  }
  close_controller();
}

/* ---- what is drawn ---- */

static const char *const songs[] = {
  twelve,
  "key: Dm\nmeter: 12/8\nlead-in: 2 from 3\nchoruses: 2\n[A]\n| i7 / iv7 V7b9 | iv7 | i7 |\n[B]\n| "
  "bVI7 | V7 | N.C. | i7 |\n[ending]\n| V7 | i6 |\n",
  "key: C\nmeter: 3/4\n|: I | ii7 | 2/4 V7 | 3/4 I :| IV | V7 |\n",
};

static void
part_by_part_it_looks_as_drawn_whole(void **state)
{
  static const int sizes[][2] = {{1280, 720}, {480, 320}, {360, 740}, {1366, 768}, {961, 541}};
  (void)state;
  srand(11);
  for (size_t s = 0; s < sizeof(sizes) / sizeof(sizes[0]); ++s) {
    for (size_t song = 0; song < sizeof(songs) / sizeof(songs[0]); ++song) {
      open_controller(NULL);
      host.width  = sizes[s][0];
      host.height = sizes[s][1];
      rl_controller_hear_text(host.controller, RL_CHART, songs[song]);
      pictures_make();
      parts_draw();
      for (int beat = 0; beat < 230; beat += 1 + rand() % 7) { /* some beats are missed */
        RlPlaceReport t = rl_report_beat(rl_controller_view(host.controller), beat);
        t.rolling       = rand() % 12 > 0;
        t.lit           = rand() % 30 > 0;
        t.part          = rand() % 40 ? t.part : RL_PART_NOWHERE;
        rl_controller_hear_place(host.controller, &t, host.now);
        for (int frame = 0; frame < 8; ++frame) {
          char what[64];
          if (rand() % (beat < 90 ? 400 : 8) == 0) {
            something();
          }
          const int n = parts_draw();
          host.now += 1.0 / 30;
          snprintf(what, sizeof(what), "%dx%d, song %zu, beat %d, frame %d", host.width,
                   host.height, song, beat, frame);
          if (n && (frame == 0 || rand() % 4 == 0)) {
            same_as_whole(what);
          }
        }
      }
      pictures_drop();
      close_controller();
    }
  }
}

/* ---- how near the next chord is ---- */

/* WINDOW.md: hollow fills over four felt beats, or while the present chord lasts if that is
   shorter, however the music got there: stopped, after a locate, a reopening or an edit. */
static void
the_next_chord_fills_wherever_the_music_is_first_heard(void **state)
{
  static const struct {
    int    bar, beat;
    double fill;
  } places[] = {{1, 0, 0},    {1, 1, 0.25}, {1, 2, 0.5}, {1, 3, 0.75},  /* | I7 | before IV7 */
                {2, 3, 0.75}, {3, 1, 0},                                /* | I7 | I7 |: far */
                {4, 2, 0.5},  {12, 1, 0.5}, {12, 2, 0},  {12, 3, 0.5}}; /* | ii7 V7 | */
  (void)state;
  for (size_t i = 0; i < sizeof(places) / sizeof(places[0]); ++i) {
    for (int told_before = 0; told_before < 2; ++told_before) {
      open_controller(NULL);
      if (told_before) {
        tell(told_at(RL_PART_CHORUS, 1, 7, 6, 2));
      }
      RlPlaceReport t =
        told_at(RL_PART_CHORUS, 1, places[i].bar, places[i].bar - 1, places[i].beat);
      t.rolling = false;
      tell(t);
      const double fill = rl_view_fill(rl_controller_view(host.controller));
      if (fabs(fill - places[i].fill) > 1e-9) {
        fail_msg("bar %d, beat %d: filled %g, not %g", places[i].bar, places[i].beat + 1, fill,
                 places[i].fill);
      }
      close_controller();
    }
  }
}

static void
a_chord_edited_while_stopped_says_how_near_the_next_one_is(void **state)
{
  (void)state;
  open_controller(NULL);
  RlPlaceReport t = told_at(RL_PART_CHORUS, 1, 1, 0, 3);
  t.rolling       = false;
  tell(t);
  rl_controller_hear_text(host.controller, RL_CHART, "key: G\n| I7 IV7 | V7 | I7 | I7 |\n");
  t         = told_at(RL_PART_CHORUS, 1, 1, 0, 3);
  t.rolling = false;
  tell(t);
  assert_true(fabs(rl_view_fill(rl_controller_view(host.controller)) - 0.5) < 1e-9);
  close_controller();
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(in_every_meter_a_beat_that_was_not_told_is_not_entered),
    cmocka_unit_test(stopped_nothing_is_drawn_on_any_screen),
    cmocka_unit_test(between_two_beats_the_beat_runs_on_and_never_into_the_next),
    cmocka_unit_test(stopped_there_is_nothing_to_draw),
    cmocka_unit_test(part_by_part_it_looks_as_drawn_whole),
    cmocka_unit_test(the_next_chord_fills_wherever_the_music_is_first_heard),
    cmocka_unit_test(a_chord_edited_while_stopped_says_how_near_the_next_one_is),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
