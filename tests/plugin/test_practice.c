/* SPDX-License-Identifier: ISC */
/* Practice from microphone to file: reeds are played, the chorus is counted, kept in the session
   and in the player's data folder, and what is shown grows. Sources: core/practice/README.md,
   plugin/PORTS.md. */
#include "scene.h"

#include "core/harmony/harp.h"
#include "core/practice/line.h"
#include "tests/core/practice/lesson.h"
#include "tests/plugin/reed_sound.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { BEAT = RATE / 2 /* frames at 120 */, BLOCK = 480 };

/* Four chords to the chorus; their notes to land on with a C harp (tests/core/arrange). */
static const char four_bars[] = "title: Rope Walk\nkey: G\nmeter: 4/4\n| I7 | IV7 | V7 | IV7 |\n";

static char home[64], file[128];

static void
home_make(void)
{
  snprintf(home, sizeof(home), "/tmp/reedlamp-practice-XXXXXX");
  assert_non_null(mkdtemp(home));
  setenv("XDG_DATA_HOME", home, 1);
  snprintf(file, sizeof(file), "%s/reedlamp/practice.txt", home);
}

static void
home_remove(void)
{
  char folder[128];
  snprintf(folder, sizeof(folder), "%s/reedlamp", home);
  unlink(file);
  rmdir(folder);
  rmdir(home);
}

static const char *
file_read(void)
{
  static char text[8192];
  FILE *const from = fopen(file, "r");
  text[0]          = '\0';
  if (from) {
    text[fread(text, 1, sizeof(text) - 1, from)] = '\0';
    fclose(from);
  }
  return text;
}

static void
begin(Scene *const s, const char *const chart)
{
  home_make();
  scene_begin(s);
  scene_chart(s, chart);
  rl_host_set(s->host, "harp_from", 1);
  scene_settle(s);
}

static void
end(Scene *const s)
{
  scene_end(s);
  home_remove();
}

/* ---- a player ---- */

typedef struct {
  float *sound;
  size_t frames, at;
} Player;

static void
player_open(Player *const p, const double beats)
{
  p->frames = (size_t)(beats * BEAT) + RATE;
  p->at     = 0;
  p->sound  = calloc(p->frames, sizeof(float));
  assert_non_null(p->sound);
}

static void
player_note(const Player *const p, const double beat, const double lasts, const int midi)
{
  reed_add(p->sound, p->frames, RATE, beat / 2, (beat + lasts) / 2, midi);
}

static void
player_play(Scene *const s, Player *const p, const double to_beat)
{
  float *const in = rl_host_audio(s->host, "harp_in");
  while (p->at < (size_t)(to_beat * BEAT)) {
    memcpy(in, p->sound + p->at, BLOCK * sizeof(float));
    scene_run(s, BLOCK);
    p->at += BLOCK;
  }
}

static void
roll(Scene *const s)
{
  const Report report = rolling_at(0, 0);
  scene_report(s, 0, &report);
}

/* Draw 3, draw 3 bent a half and a whole step down for the sevenths of C7 and D7 …: the notes to
   land on as /reedlamp/target tells them at each chord. */
static void
targets_find(int midi[4])
{
  static RlForm                form;
  static RlTargetLine          line;
  static RlTargetLineWorkspace scratch;
  RlChartError                 error;
  const RlHarp                 harp = rl_harp_make((RlHarpChoice){0});
  assert_true(rl_chart_read(rl_slice(four_bars), &form, &error));
  rl_target_line_find(&form, form.key, &harp, (RlPlayer){3, 3, false}, &scratch, &line);
  assert_int_equal(form.changes, 4);
  for (int i = 0; i < 4; ++i) {
    midi[i] = line.target[i].note;
  }
}

/* Choruses of four chords: on which of them the player lands, a letter each. */
static void
choruses_play(Scene *const s, const char *const hits)
{
  const size_t chords = strlen(hits);
  Player       p;
  int          midi[4];
  targets_find(midi);
  player_open(&p, 4.0 * (double)chords + 4);
  for (size_t i = 0; i < chords; ++i) {
    if (hits[i] == 'x') {
      player_note(&p, 4.0 * (double)i + 0.03, 1.5, midi[i % 4]);
    } else {
      player_note(&p, 4.0 * (double)i + 2.03, 0.8, midi[i % 4]); /* too late */
    }
  }
  roll(s);
  player_play(s, &p, 4.0 * (double)chords + 1.5);
  free(p.sound);
}

/* Line `n` (from 0) of the property. */
static RlPracticeLine
told(Scene *const s, const int n)
{
  RlPracticeLine l;
  RlSlice        text = rl_slice(scene_ask(s, "practice")), line = {NULL, 0};
  for (int i = 0; i <= n; ++i) {
    assert_true(rl_practice_line_next(&text, &line));
  }
  assert_true(rl_practice_line_read(line, &l));
  return l;
}

static int
lines(const char *const text)
{
  int n = 0;
  for (const char *at = text; *at; ++at) {
    n += *at == '\n';
  }
  return n;
}

/* ---- tests ---- */

static void
a_chorus_is_counted_and_kept(void **const state)
{
  Scene s;
  (void)state;
  begin(&s, four_bars);
  choruses_play(&s, "xx.xx.x.");
  assert_int_equal(lines(scene_ask(&s, "practice")), 2);
  const RlPracticeLine first = told(&s, 0), second = told(&s, 1);
  assert_int_equal(first.chorus, 1);
  assert_int_equal(first.tally.bars, 4);
  assert_int_equal(first.tally.targets, 4);
  assert_int_equal(first.tally.targets_hit, 3);
  assert_int_equal(first.tally.notes, 4);
  assert_int_equal(first.tempo, 120);
  assert_int_equal(first.song_key, 7);
  assert_string_equal(first.title, "Rope Walk");
  assert_int_equal(second.chorus, 2);
  assert_int_equal(second.tally.targets_hit, 2);
  NEAR(first.tally.behind_ms, 0.03 * 500, 12);
  assert_string_equal(file_read(), scene_ask(&s, "practice"));
  TEXT(scene_ask(&s, "problem"), "");
  end(&s);
}

static void
what_was_played_until_a_stop_counts_and_silence_does_not(void **const state)
{
  Scene  s;
  Player p;
  int    midi[4];
  (void)state;
  begin(&s, four_bars);
  targets_find(midi);
  roll(&s);
  scene_play(&s, 20 * BEAT, BLOCK); /* a chorus and more without a note */
  TEXT(scene_ask(&s, "practice"), "");
  TEXT(file_read(), "");
  player_open(&p, 12);
  player_note(&p, 0.03, 1.5, midi[0]);
  roll(&s);
  player_play(&s, &p, 8.5);
  const Report stop = parked_at(2, 0.5);
  scene_report(&s, 0, &stop);
  scene_run(&s, BLOCK);
  assert_int_equal(told(&s, 0).tally.bars, 2);
  assert_int_equal(told(&s, 0).tally.targets, 3); /* the third chord had come */
  assert_int_equal(told(&s, 0).tally.targets_hit, 1);
  free(p.sound);
  end(&s);
}

/* Another session of the same song knows the choruses of the file, and says what in it is damaged.
 */
static void
the_file_is_remembered_and_its_damaged_lines_are_passed_over(void **const state)
{
  Scene s;
  (void)state;
  begin(&s, four_bars);
  choruses_play(&s, "xxxx");
  scene_end(&s);
  FILE *const more = fopen(file, "a");
  assert_non_null(more);
  fputs("2026-11-30T14:05:12Z chorus=3 ba", more); /* torn off */
  fclose(more);
  scene_begin(&s);
  scene_chart(&s, four_bars);
  rl_host_set(s.host, "harp_from", 1);
  scene_settle(&s);
  choruses_play(&s, "x..x");
  assert_int_equal(lines(scene_ask(&s, "practice")), 2);
  assert_int_equal(told(&s, 0).tally.targets_hit, 4);
  assert_int_equal(told(&s, 1).tally.targets_hit, 2);
  HAS(scene_ask(&s, "problem"), "practice: line 2 of practice.txt is damaged and was left out");
  assert_int_equal(lines(file_read()), 3); /* the torn line stands alone */
  end(&s);
}

static void
a_session_keeps_it(void **const state)
{
  Scene s, t;
  (void)state;
  begin(&s, four_bars);
  choruses_play(&s, "xxx.");
  char *const saved = rl_host_save(s.host);
  char *const was   = strdup(scene_ask(&s, "practice"));
  scene_begin(&t);
  assert_true(rl_host_restore(t.host, saved));
  TEXT(scene_ask(&t, "practice"), was);
  scene_send(&t, 0, "practice", "what is this\n");
  scene_run(&t, 16);
  TEXT(scene_ask(&t, "practice"), "");
  HAS(scene_ask(&t, "problem"), "practice: line 1 is damaged and was left out");
  free(was);
  free(saved);
  scene_end(&t);
  end(&s);
}

static void
where_the_file_cannot_be_written_the_session_keeps_it_and_that_is_said(void **const state)
{
  Scene s;
  char  folder[128];
  (void)state;
  begin(&s, four_bars);
  snprintf(folder, sizeof(folder), "%s/reedlamp", home);
  assert_int_equal(mkdir(folder, 0777), 0);
  assert_int_equal(mkdir(file, 0777), 0); /* a folder in its place */
  choruses_play(&s, "xxxx");
  assert_int_equal(told(&s, 0).tally.targets_hit, 4);
  HAS(scene_ask(&s, "problem"), "practice.txt: cannot be written; the session keeps it");
  rmdir(file);
  end(&s);
}

static int
shown(const Scene *const s)
{
  return scene_last(s)->show;
}

static void
two_choruses_that_went_well_show_more(void **const state)
{
  Scene s;
  (void)state;
  begin(&s, four_bars);
  rl_host_set(s.host, "show", 1);
  rl_host_set(s.host, "show_grows", 1);
  choruses_play(&s, "xxx.x..."); /* one that went well, one that did not */
  assert_int_equal(shown(&s), 1);
  const Report stop = parked_at(0, 0);
  scene_report(&s, 0, &stop);
  scene_run(&s, BLOCK);
  choruses_play(&s, "xxx.xx.x");
  assert_int_equal(shown(&s), 2);
  scene_report(&s, 0, &stop);
  scene_run(&s, BLOCK);
  choruses_play(&s, "........"); /* never down by itself */
  assert_int_equal(shown(&s), 2);
  rl_host_set(s.host, "show", 3); /* set anew it is as it is set */
  scene_run(&s, BLOCK);
  assert_int_equal(shown(&s), 3);
  rl_host_set(s.host, "show_grows", 0);
  rl_host_set(s.host, "show", 1);
  scene_run(&s, BLOCK);
  assert_int_equal(shown(&s), 1);
  end(&s);
}

/* ---- a lesson, rendered ---- */

static int
apart(const int a, const int b)
{
  return abs(a - b);
}

/* 201 targets in three choruses: the counts of the tally against the truth the lesson was made
 * from. */
static void
a_rendered_lesson_comes_out_as_it_was_played(void **const state)
{
  static Lesson lesson;
  Scene         s;
  Player        p;
  int           wrong = 0, all = 0;
  (void)state;
  lesson_make(&lesson, 5, 120);
  const double length = LESSON_CHORUSES * lesson_chorus(&lesson);
  begin(&s, lesson.form.text);
  scene_send(&s, 0, "plan", lesson.plan.text);
  scene_settle(&s);
  player_open(&p, length + 4);
  for (int i = 0; i < lesson.notes; ++i) {
    const RlHeardNote *const n    = &lesson.note[i];
    const double             from = fmax(0, n->at);
    reed_add(p.sound, p.frames, RATE, from / 2, (n->ends - 0.02) / 2,
             n->note + (double)n->cents / 100);
  }
  roll(&s);
  player_play(&s, &p, length + 1.5);
  for (int chorus = 0; chorus < LESSON_CHORUSES; ++chorus) {
    const RlTally got = told(&s, chorus).tally, want = lesson.truth[chorus];
    const int     pairs[][2] = {{got.targets, want.targets}, {got.targets_hit, want.targets_hit},
                                {got.strong, want.strong},   {got.strong_chord, want.strong_chord},
                                {got.planned, want.planned}, {got.planned_hit, want.planned_hit},
                                {got.notes, want.notes},     {got.bends, want.bends},
                                {got.timed, want.timed}};
    for (size_t i = 0; i < sizeof(pairs) / sizeof(pairs[0]); ++i) {
      wrong += apart(pairs[i][0], pairs[i][1]);
      all += pairs[i][1];
    }
    for (int role = 0; role < RL_ROLES; ++role) {
      wrong += apart(got.role[role], want.role[role]);
      all += want.role[role];
    }
    print_message("behind %.1f ms, truth %.1f; bends %.1f cents, truth %.1f\n", got.behind_ms,
                  want.behind_ms, got.bend_cents, want.bend_cents);
    NEAR(got.behind_ms, want.behind_ms, 8);
    NEAR(got.bend_cents, want.bend_cents, 4);
  }
  print_message("%d of %d counts wrong: %.2f %% right\n", wrong, all, 100 - 100.0 * wrong / all);
  assert_true(wrong * 50 <= all);
  free(p.sound);
  end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_chorus_is_counted_and_kept),
    cmocka_unit_test(what_was_played_until_a_stop_counts_and_silence_does_not),
    cmocka_unit_test(the_file_is_remembered_and_its_damaged_lines_are_passed_over),
    cmocka_unit_test(a_session_keeps_it),
    cmocka_unit_test(where_the_file_cannot_be_written_the_session_keeps_it_and_that_is_said),
    cmocka_unit_test(two_choruses_that_went_well_show_more),
    cmocka_unit_test(a_rendered_lesson_comes_out_as_it_was_played),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
