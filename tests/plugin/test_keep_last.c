/* SPDX-License-Identifier: ISC */
/* What was just played becomes a take though nothing was armed, by MIDI or as the harp was heard;
   and a take is written down from the harp. Source: core/capture/TAKES.md. */
#include "scene.h"

#include "core/arrange/plan.h"
#include "core/harmony/harp.h"
#include "tests/plugin/reed_sound.h"

#include <stdlib.h>
#include <string.h>

enum { BEAT = RATE / 2 /* frames at 120 */, BLOCK = 480 };

static RlPlan   takes;
static RlPhrase phrase;

static void
begin(Scene *const s)
{
  scene_begin(s);
  scene_chart(s, "key: G\nmeter: 4/4\n| I7 | % | % | % |\n| IV7 | % | I7 | % |\n"
                 "| V7 | IV7 | I7 | V7 |\n");
}

static void
midi(Scene *const s, const int status, const int note, const int value)
{
  const uint8_t bytes[3] = {(uint8_t)status, (uint8_t)note, (uint8_t)value};
  rl_host_send_midi(s->host, "midi_in", 0, bytes);
}

/* A note on each beat: that of beat n is 60 + n % 24. */
static void
play_beats(Scene *const s, const int from, const int to)
{
  for (int beat = from; beat < to; ++beat) {
    midi(s, 0x90, 60 + beat % 24, 80);
    scene_play(s, BEAT - 2400, BLOCK);
    midi(s, 0x80, 60 + beat % 24, 0);
    scene_play(s, 2400, BLOCK);
  }
}

static void
keep(Scene *const s)
{
  RlPlanError error;
  scene_press(s, "keep_last", 48);
  scene_play(s, 64, 16);
  assert_true(rl_plan_read(rl_slice(scene_ask(s, "take")), &phrase, &takes, &error));
}

/* The newest of so many takes stands on that bar and has the notes of beats `from` up to `to`. */
static void
kept(const int count, const int bar, const int from, const int to)
{
  assert_int_equal(takes.phrase_count, count);
  const RlPlanned *const p = &takes.planned[takes.planned_count - 1];
  assert_int_equal(p->bar, bar);
  rl_plan_phrase(&takes, p->phrase, &phrase);
  assert_int_equal(phrase.notes, to - from);
  for (int i = 0; i < phrase.notes; ++i) {
    assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[i]), 60 + (from + i) % 24);
  }
}

static void
the_last_four_bars_become_a_take(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "keep_last_length", 1);
  scene_roll(&s, 0);
  play_beats(&s, 0, 32); /* to the end of bar 8 */
  keep(&s);
  kept(1, 5, 16, 32);
  play_beats(&s, 32, 39); /* pressed in the second half of bar 10: bar 10 is the last of the four */
  keep(&s);
  kept(2, 7, 24, 39);
  play_beats(&s, 39, 41); /* early in bar 11: what of it was played comes too */
  keep(&s);
  kept(3, 7, 24, 41);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

static void
the_last_chorus_becomes_a_take_by_foot(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  play_beats(&s, 0, 96); /* two choruses */
  scene_controller(&s, "midi_in", 0, 3, 84, 127);
  scene_play(&s, 64, 16);
  RlPlanError error;
  assert_true(rl_plan_read(rl_slice(scene_ask(&s, "take")), &phrase, &takes, &error));
  kept(1, 1, 48, 96);
  scene_end(&s);
}

static void
after_a_stop_it_is_still_there(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "keep_last_length", 1);
  scene_roll(&s, 16);
  play_beats(&s, 16, 24);
  scene_stop(&s, 24);
  scene_play(&s, 5 * RATE, 4800);
  keep(&s);
  kept(1, 5, 16, 24);
  scene_end(&s);
}

/* In the first bar of a loop's pass what came before is meant, then what is played. */
static void
a_loop_gives_the_pass_that_was_played(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "keep_last_length", 1);
  scene_roll(&s, 16);
  play_beats(&s, 16, 32);
  scene_roll(&s, 16);
  play_beats(&s, 16, 18);
  keep(&s);
  kept(1, 5, 16, 32);
  play_beats(&s, 18, 24);
  keep(&s);
  kept(2, 5, 16, 24);
  scene_end(&s);
}

static void
where_nothing_was_played_that_is_said(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_stop(&s, 0);
  midi(&s, 0x90, 60, 80); /* nothing rolls */
  scene_play(&s, BEAT, BLOCK);
  keep(&s);
  TEXT(scene_ask(&s, "take"), "");
  HAS(scene_ask(&s, "problem"), "nothing was played in the last chorus");
  scene_roll(&s, 0);
  play_beats(&s, 0, 4);
  rl_host_set(s.host, "keep_last_length", 1);
  scene_play(&s, 40 * BEAT, BLOCK);
  keep(&s);
  HAS(scene_ask(&s, "problem"), "nothing was played in the last four bars");
  rl_host_set(s.host, "keep_last_length", 0);
  keep(&s);
  kept(1, 1, 0, 4);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

static void
another_chart_forgets_it(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  play_beats(&s, 0, 8);
  scene_send(&s, 0, "chart", "key: D\nmeter: 3/4\n| I7 | V7 |\n");
  scene_play(&s, BEAT, BLOCK);
  keep(&s);
  HAS(scene_ask(&s, "problem"), "nothing was played");
  scene_end(&s);
}

/* A bender's range said long before, and a take that is being played as well. */
static void
it_takes_nothing_from_a_take_being_played(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "keep_last_length", 1);
  scene_roll(&s, 0);
  play_beats(&s, 0, 8);
  scene_press(&s, "capture", 48);
  play_beats(&s, 8, 14);
  keep(&s);
  kept(1, 1, 0, 14);
  play_beats(&s, 14, 16);
  scene_press(&s, "capture", 48);
  RlPlanError error;
  scene_play(&s, 64, 16);
  assert_true(rl_plan_read(rl_slice(scene_ask(&s, "take")), &phrase, &takes, &error));
  kept(2, 3, 8, 16);
  scene_end(&s);
}

/* ---- the harp ---- */

/* Draw 4, draw 4 bent, blow 4, 3 draw bent twice: a note a beat. */
static const struct {
  int         hole;
  RlTechnique how;
} lick[] = {{4, RL_DRAW}, {4, RL_DRAW_1}, {4, RL_BLOW}, {3, RL_DRAW_2}, {2, RL_DRAW}, {2, RL_DRAW}};

enum { LICK = sizeof(lick) / sizeof(lick[0]) };

static void
lick_play(Scene *const s, const char *const arm)
{
  const RlHarp harp   = rl_harp_make((RlHarpChoice){0});
  const size_t frames = (size_t)(LICK + 2) * BEAT;
  float *const sound  = calloc(frames, sizeof(float));
  float *const in     = rl_host_audio(s->host, "harp_in");
  assert_non_null(sound);
  rl_host_set(s->host, "harp_from", 1);
  rl_host_set(s->host, "capture_from", 1);
  scene_settle(s);
  for (int i = 0; i < LICK; ++i) {
    reed_add(sound, frames, RATE, 0.5 * i + 0.02, 0.5 * i + 0.4,
             harp.note[lick[i].hole - 1][lick[i].how]);
  }
  scene_roll(s, 4);
  if (arm) {
    scene_press(s, arm, 48);
  }
  for (size_t at = 0; at < frames; at += BLOCK) {
    memcpy(in, sound + at, BLOCK * sizeof(float));
    scene_run(s, BLOCK);
  }
  free(sound);
}

static void
lick_is_taken(void)
{
  const RlHarp harp = rl_harp_make((RlHarpChoice){0});
  assert_int_equal(takes.phrase_count, 1);
  assert_int_equal(takes.planned[0].bar, 2);
  rl_plan_phrase(&takes, takes.planned[0].phrase, &phrase);
  assert_int_equal(phrase.notes, LICK);
  for (int i = 0; i < LICK; ++i) {
    assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[i]),
                     harp.note[lick[i].hole - 1][lick[i].how]);
    assert_int_equal(phrase.note[i].at, i * RL_TICKS);
  }
  HAS(phrase.fields, "N:played -4 -4' 4 -3'' -2 -2\n");
}

static void
a_lick_on_the_harp_is_kept_with_its_holes(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  midi(&s, 0x90, 61, 80); /* by MIDI: not of it */
  lick_play(&s, NULL);
  midi(&s, 0x90, 61, 80);
  keep(&s);
  lick_is_taken();
  scene_end(&s);
}

static void
a_take_is_written_down_from_the_harp(void **const state)
{
  Scene       s;
  RlPlanError error;
  (void)state;
  begin(&s);
  lick_play(&s, "capture");
  midi(&s, 0x90, 61, 80);
  scene_press(&s, "capture", 48);
  scene_play(&s, 64, 16);
  assert_true(rl_plan_read(rl_slice(scene_ask(&s, "take")), &phrase, &takes, &error));
  lick_is_taken();
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_last_four_bars_become_a_take),
    cmocka_unit_test(the_last_chorus_becomes_a_take_by_foot),
    cmocka_unit_test(after_a_stop_it_is_still_there),
    cmocka_unit_test(a_loop_gives_the_pass_that_was_played),
    cmocka_unit_test(where_nothing_was_played_that_is_said),
    cmocka_unit_test(another_chart_forgets_it),
    cmocka_unit_test(it_takes_nothing_from_a_take_being_played),
    cmocka_unit_test(a_lick_on_the_harp_is_kept_with_its_holes),
    cmocka_unit_test(a_take_is_written_down_from_the_harp),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
