/* SPDX-License-Identifier: ISC */
/* Following by ear while the host's transport does as it likes: a locate, a loop, a stop and a
   start are heeded. */
#include "ear_scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void
a_locate_to_where_nothing_was_heard_is_no_place_at_once(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  ear_play(&e, 2);
  e.at += (int64_t)(11.3 * e.rate);
  ear_block(&e, BLOCK);
  assert_false(ear_placed(&e));
  ear_play(&e, 0.2);
  assert_false(ear_placed(&e));
  assert_int_equal(ear_hearing(&e), RL_HEARING_LISTENS);
  assert_true(ear_find(&e, 15) < 12);
  assert_true(ear_error(&e) < 0.25);
  ear_end(&e);
}

static void
a_loops_second_pass_is_known_in_its_first_block(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  const int64_t start = e.at;
  for (int pass = 0; pass < 3; ++pass) {
    ear_play(&e, 5.3);
    assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
    const double chorus = e.s.chorus;
    e.at                = start + (int64_t)(e.rate / 3);
    ear_block(&e, BLOCK);
    assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
    assert_true(e.s.chorus <= chorus);
    ear_play(&e, 0.3);
    assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  }
  ear_end(&e);
}

static void
the_songs_start_is_known_once_it_is_found(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  const double took = ear_find(&e, 20);
  assert_true(took > 1); /* nothing was claimed at the start */
  ear_play(&e, 2);
  e.at = 0;
  ear_block(&e, BLOCK);
  for (int i = 0; i < 16; ++i) {
    assert_true(ear_placed(&e) && ear_error(&e) < 0.25);
    ear_play(&e, 0.5);
  }
  assert_float_equal(e.s.chorus, 1, 0);
  ear_end(&e);
}

static void
before_what_was_heard_it_waits_for_the_known_place(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  e.at = (int64_t)(6 * e.rate);
  ear_find(&e, 20);
  ear_play(&e, 2);
  e.at = (int64_t)(4 * e.rate);
  ear_block(&e, BLOCK);
  assert_false(ear_placed(&e));
  ear_play(&e, 3);
  for (int i = 0; i < 6; ++i) {
    assert_true(ear_placed(&e) && ear_error(&e) < 0.25);
    ear_play(&e, 0.5);
  }
  ear_end(&e);
}

static void
a_stop_parks_it_and_a_start_goes_on(void **const state)
{
  for (int frames = 0; frames < 2; ++frames) {
    Ear e;
    (void)state;
    ear_begin(&e);
    e.says_frames = frames;
    ear_find(&e, 20);
    ear_play(&e, 2);
    e.rolls = false;
    ear_play(&e, 1);
    assert_true(ear_placed(&e) && ear_error(&e) < 0.3);
    assert_false(scene_last(&e.s)->rolling);
    const double parked = ear_shown(&e);
    ear_play(&e, 12);
    NEAR(ear_shown(&e), parked, 1e-6);
    e.rolls = true;
    ear_play(&e, 1);
    assert_true(ear_placed(&e) && ear_error(&e) < 0.3);
    ear_play(&e, 3);
    assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
    assert_true(scene_last(&e.s)->rolling);
    ear_end(&e);
  }
}

static void
parked_at_a_place_heard_before_it_is_shown(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  const int64_t there = e.at + (int64_t)e.rate;
  ear_play(&e, 6);
  e.rolls = false;
  ear_play(&e, 0.5);
  e.at = there;
  ear_block(&e, BLOCK);
  assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  ear_play(&e, 0.5);
  assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  assert_false(scene_last(&e.s)->rolling);
  ear_end(&e);
}

/* How loud the plugin's output gets in so many seconds. */
static double
loudest(Ear *const e, const double seconds)
{
  double most = 0;
  for (int left = (int)(seconds * e->rate); left > 0; left -= BLOCK) {
    ear_block(e, BLOCK);
    const float *const out = rl_host_audio(e->s.host, "out_left");
    for (int i = 0; i < BLOCK; ++i) {
      most = fmax(most, fabs((double)out[i]));
    }
  }
  return most;
}

/* Parked, the music stands by this clock too: nothing sounds until a take is listened to, and the
   place stays. Once the host rolls there is the track alone again. */
static void
parked_a_take_is_listened_to(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  ear_play(&e, 2);
  e.rolls = false;
  ear_play(&e, 1);
  const double parked = ear_shown(&e);
  assert_true(ear_placed(&e) && loudest(&e, 0.5) == 0);
  scene_send(&e.s, 0, "hear_take",
             "play: Ferry\n\nX:1\nT:Ferry\nM:4/4\nL:1/1\nQ:1/4=60\nK:C\nc|\n");
  assert_true(loudest(&e, 1) > 0.02);
  NEAR(ear_shown(&e), parked, 1e-6);
  e.rolls = e.silent = true;
  loudest(&e, 0.1);
  assert_true(loudest(&e, 0.5) == 0);
  ear_end(&e);
}

static void
a_host_that_stands_while_sound_comes_in_is_no_stop(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  const Report stands = {SAY_SPEED, 0, 0, 0, 0, 0, 0, 4, 4};
  for (int i = 0; i < 8 * RATE / BLOCK; ++i) { /* live */
    float *const left = rl_host_audio(e.s.host, "in_left");
    memcpy(left, e.sound + e.at, BLOCK * sizeof(float));
    memcpy(rl_host_audio(e.s.host, "in_right"), left, BLOCK * sizeof(float));
    scene_report(&e.s, 0, &stands);
    scene_run(&e.s, BLOCK);
    e.at += BLOCK;
    if (i % 20 == 0) {
      rl_host_rest(1);
    }
  }
  assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  assert_true(scene_last(&e.s)->rolling);
  ear_end(&e);
}

/* With REEDLAMP_FEW what has to do with threads and memory must do, where every step is watched and
   takes its time. */
int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_loops_second_pass_is_known_in_its_first_block),
    cmocka_unit_test(a_locate_to_where_nothing_was_heard_is_no_place_at_once),
    cmocka_unit_test(the_songs_start_is_known_once_it_is_found),
    cmocka_unit_test(before_what_was_heard_it_waits_for_the_known_place),
    cmocka_unit_test(a_stop_parks_it_and_a_start_goes_on),
    cmocka_unit_test(parked_at_a_place_heard_before_it_is_shown),
    cmocka_unit_test(parked_a_take_is_listened_to),
    cmocka_unit_test(a_host_that_stands_while_sound_comes_in_is_no_stop),
  };
  enum { ALL = sizeof(tests) / sizeof(tests[0]), FEW = 1 };
  const bool few = getenv("REEDLAMP_FEW");
  return few ? _cmocka_run_group_tests("by ear along the transport, few", tests, FEW, NULL, NULL)
             : _cmocka_run_group_tests("by ear along the transport", tests, ALL, NULL, NULL);
}
