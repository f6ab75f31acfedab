/* SPDX-License-Identifier: ISC */
/* Following by ear in a host: the place comes, stays, and is right; key and tuning are heard, the
   player is believed; nothing is claimed where there is no song, and nothing is there while the
   clock is another one. */
#include "ear_scene.h"

#include <dirent.h>
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static int
threads(void)
{
  DIR *const dir   = opendir("/proc/self/task");
  int        count = 0;
  assert_non_null(dir);
  while (readdir(dir)) {
    ++count;
  }
  closedir(dir);
  return count;
}

static void *
nothing(void *const data)
{
  return data;
}

/* A sanitizer begins a thread of its own with the first of ours. */
static void
first_thread_pass(void)
{
  pthread_t first;
  assert_int_equal(pthread_create(&first, NULL, nothing, NULL), 0);
  assert_int_equal(pthread_join(first, NULL), 0);
}

/* The fewest threads within a fifth of a second: without those that look a name up. */
static int
threads_fewest(void)
{
  int fewest = threads();
  for (int i = 0; i < 200; ++i) {
    nanosleep(&(struct timespec){0, 1000000}, NULL);
    const int count = threads();
    fewest          = count < fewest ? count : fewest;
  }
  return fewest;
}

/* So many threads, soon: one that has ended is listed for a moment more, and one that looks a name
 * up ends by itself. */
static void
threads_become(const int count)
{
  for (int i = 0; i < 2000 && threads() != count; ++i) {
    nanosleep(&(struct timespec){0, 1000000}, NULL);
  }
  assert_int_equal(threads(), count);
}

static void
a_song_at_an_unknown_tempo_is_followed(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_play(&e, 0.5);
  assert_int_equal(ear_hearing(&e), RL_HEARING_LISTENS);
  assert_false(ear_placed(&e));
  ear_find(&e, 20);
  for (int i = 0; i < 20; ++i) {
    ear_play(&e, 1);
    assert_true(ear_placed(&e));
    assert_true(ear_error(&e) < 0.2);
    assert_int_equal(ear_hearing(&e), RL_HEARING_FOUND);
    NEAR(scene_last(&e.s)->tempo, TEMPO, 3);
    assert_true(scene_last(&e.s)->rolling);
  }
  NEAR(e.s.chorus, 1 + floor(ear_true_beat(&e) / BEATS), 0);
  ear_end(&e);
}

static void
the_mono_plugin_and_a_worker_of_its_own_do_the_same(void **const state)
{
  const RlBand band = {RATE, TEMPO, 0, KEY_A, 0};
  Ear          e;
  (void)state;
  ear_begin_at(&e, &band, MONO, RL_HOST_THREADED);
  ear_find(&e, 25);
  ear_play(&e, 4);
  assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  ear_end(&e);
}

static void
blocks_and_rates_of_any_size(void **const state)
{
  static const struct {
    double   rate;
    uint32_t block;
  } cases[] = {{22050, 64}, {44100, 8192}, {96000, 333}, {192000, 4096}, {48000, 1}};
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const RlBand band = {cases[i].rate, TEMPO, 0, KEY_A, 0};
    Ear          e;
    ear_begin_at(&e, &band, STEREO, RL_HOST_AFTER);
    for (int second = 0; second < (cases[i].block == 1 ? 1 : 40) && !ear_placed(&e); ++second) {
      ear_play_blocks(&e, 1, cases[i].block);
    }
    if (cases[i].block == 1) {
      assert_int_equal(ear_hearing(&e), RL_HEARING_LISTENS);
    } else {
      assert_true(ear_placed(&e) && ear_error(&e) < 0.25);
    }
    ear_end(&e);
  }
}

static void
silence_waits(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  e.silent = true;
  ear_play(&e, 3);
  assert_int_equal(ear_hearing(&e), RL_HEARING_WAITS);
  assert_false(ear_placed(&e));
  e.silent = false;
  e.at     = 0;
  ear_find(&e, 20);
  ear_play(&e, 2);
  e.silent = true; /* the recording is over, the host rolls on */
  ear_play(&e, 5);
  assert_false(ear_placed(&e));
  assert_int_equal(ear_hearing(&e), RL_HEARING_WAITS);
  ear_end(&e);
}

static void
noise_is_no_song(void **const state)
{
  Ear      e;
  uint32_t seed = 5;
  (void)state;
  ear_begin(&e);
  for (int64_t i = 0; i < e.frames; ++i) {
    e.sound[i] = 0.3F * (rl_band_random(&seed) - 0.5F);
  }
  for (int i = 0; i < 20; ++i) {
    ear_play(&e, 1);
    assert_false(ear_placed(&e));
    assert_int_equal(ear_hearing(&e), RL_HEARING_LISTENS);
  }
  ear_end(&e);
}

static void
key_and_tuning_are_heard(void **const state)
{
  const RlBand band = {RATE, TEMPO, -23, 4, 0}; /* in E; the chart is in A */
  Ear          e;
  (void)state;
  ear_begin_at(&e, &band, STEREO, RL_HOST_AFTER);
  SAME(rl_host_get(e.s.host, "key_heard"), -1);
  rl_host_set(e.s.host, "song_key", 13);
  ear_play(&e, 36);
  SAME(rl_host_get(e.s.host, "key_heard"), 4);
  assert_true(rl_host_get(e.s.host, "key_sure") > 0.9F);
  NEAR(rl_host_get(e.s.host, "cents"), -23, 5);
  SAME(scene_last(&e.s)->song_key, 4);
  SAME(e.s.hearing[HEARING_STATE], RL_HEARING_FOUND);
  SAME(e.s.hearing[HEARING_KEY], 4);
  assert_true(e.s.tuned);
  NEAR(e.s.hearing[HEARING_CENTS], -23, 5);
  SAME(rl_host_get(e.s.host, "position"), 5); /* of a C harp */
  assert_true(ear_placed(&e) && ear_error(&e) < 0.25);
  TEXT(scene_last(&e.s)->now_degree[0] == '\0' ? "nothing" : "a chord", "a chord");
  rl_host_set(e.s.host, "song_key", 12);
  ear_play(&e, 0.2);
  SAME(scene_last(&e.s)->song_key, KEY_A);
  SAME(rl_host_get(e.s.host, "key_heard"), -1);
  ear_end(&e);
}

static void
the_player_is_believed(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  ear_play(&e, 2);
  ear_press(&e, "bar_one"); /* wrongly: it shows bar 1 all the same */
  ear_play(&e, 0.3);
  SAME(e.s.chorus, 1);
  SAME(e.s.bar, 1);
  assert_int_equal(ear_hearing(&e), RL_HEARING_FOUND);
  ear_press(&e, "stop"); /* forgets it all */
  ear_play(&e, 0.3);
  assert_false(ear_placed(&e));
  assert_int_equal(ear_hearing(&e), RL_HEARING_LISTENS);
  ear_find(&e, 25);
  assert_true(ear_error(&e) < 0.25);
  ear_press(&e, "half_time");
  ear_play(&e, 0.3);
  assert_false(ear_placed(&e));
  scene_controller(&e.s, "midi_in", 0, 0, 86, 127); /* double time */
  ear_play(&e, 0.3);
  ear_find(&e, 20);
  NEAR(scene_last(&e.s)->tempo, TEMPO, 4);
  ear_end(&e);
}

static void
taps_say_the_tempo_to_start_from(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  for (int i = 0; i < 4; ++i) {
    ear_press(&e, "tap");
    ear_play(&e, 60.0 / TEMPO - (double)(BLOCK + 1) / RATE);
  }
  ear_find(&e, 20);
  assert_true(ear_error(&e) < 0.25);
  NEAR(scene_last(&e.s)->tempo, TEMPO, 3);
  ear_end(&e);
}

static void
a_chord_edited_keeps_the_place_another_form_does_not(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  ear_play(&e, 3);
  scene_send(&e.s, 0, "chart",
             "key: A\nmeter: 4/4\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI9 |\n"
             "| ii7 | V7 | I7 | V7 |\n");
  ear_play(&e, 0.3);
  assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  ear_play(&e, 4);
  assert_true(ear_placed(&e) && ear_error(&e) < 0.2);
  scene_send(&e.s, 0, "chart", "key: A\nmeter: 4/4\n| I7 | IV7 | ii7 |\n");
  ear_play(&e, 0.3);
  assert_false(ear_placed(&e));
  scene_send(&e.s, 0, "chart", "key: A\n| I7 | 7/8 IV7 | 4/4 I7 |\n");
  ear_play(&e, 0.3);
  assert_int_equal(ear_hearing(&e), RL_HEARING_CHART);
  scene_send(&e.s, 0, "chart", ear_blues);
  ear_play(&e, 0.3);
  assert_int_equal(ear_hearing(&e), RL_HEARING_LISTENS);
  ear_end(&e);
}

static void
nothing_of_it_is_there_with_another_clock(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  rl_host_set(e.s.host, "clock", 0);
  ear_play(&e, 0.1);
  first_thread_pass();
  const int before = threads_fewest();
  assert_int_equal(ear_hearing(&e), RL_HEARING_OFF);
  for (int i = 0; i < 5; ++i) {
    rl_host_set(e.s.host, "clock", 2);
    ear_play(&e, 0.1);
    threads_become(before + 1);
    rl_host_deactivate(e.s.host);
    threads_become(before);
    rl_host_activate(e.s.host);
    ear_play(&e, 0.1);
    threads_become(before + 1);
    rl_host_set(e.s.host, "clock", (float)(i % 2));
    ear_play(&e, 0.1);
    threads_become(before);
    assert_int_equal(ear_hearing(&e), RL_HEARING_OFF);
    assert_false(ear_placed(&e));
  }
  for (int i = 0; i < 300; ++i) { /* faster than anybody can follow */
    rl_host_set(e.s.host, "clock", (float)(i % 3));
    ear_block(&e, 64);
  }
  rl_host_set(e.s.host, "clock", 2);
  ear_play(&e, 0.2);
  threads_become(before + 1);
  ear_end(&e);
}

static void
activated_anew_it_knows_what_it_knew(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  ear_play(&e, 3);
  rl_host_deactivate(e.s.host);
  rl_host_activate(e.s.host);
  ear_play(&e, 0.5);
  assert_true(ear_placed(&e) && ear_error(&e) < 0.25);
  ear_end(&e);
}

static void
a_session_opens_again_and_listens(void **const state)
{
  Ear e;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  char *const saved = rl_host_save(e.s.host);
  assert_non_null(saved);
  assert_true(rl_host_restore(e.s.host, saved));
  free(saved);
  ear_play(&e, 1);
  SAME(rl_host_get(e.s.host, "clock"), 2);
  ear_find(&e, 20);
  assert_true(ear_error(&e) < 0.25);
  ear_end(&e);
}

/* A machine too slow, or a host faster than it: sound is left out, and it is said; then it goes
   on where the song is by then. */
static void
sound_left_out_is_said_and_made_good(void **const state)
{
  Ear  e;
  bool late = false;
  (void)state;
  ear_begin(&e);
  ear_find(&e, 20);
  ear_play(&e, 4);
  for (int i = 0; i < 25 * RATE / 8192 && (i < 14 * RATE / 8192 || !late); ++i) {
    ear_block(&e, 8192);
    late = late || ear_hearing(&e) == RL_HEARING_LATE;
  }
  rl_host_rest(1);
  ear_block(&e, BLOCK);
  ear_play(&e, 0.3);
  assert_true(late || ear_hearing(&e) == RL_HEARING_LATE);
  ear_play(&e, 6);
  ear_find(&e, 20);
  assert_true(ear_error(&e) < 0.25);
  assert_int_equal(ear_hearing(&e), RL_HEARING_FOUND);
  ear_end(&e);
}

/* An export: as fast as it goes, and nothing of the song is left out, whatever the block. */
static void
a_freewheeling_host_hears_it_all(void **const state)
{
  static const uint32_t blocks[] = {64, 1024, 8192};
  (void)state;
  for (size_t b = 0; b < sizeof(blocks) / sizeof(blocks[0]); ++b) {
    Ear  e;
    bool found = false;
    ear_begin(&e);
    rl_host_set(e.s.host, "freewheel", 1);
    while (e.at < 50 * RATE) {
      ear_block(&e, blocks[b]);
      assert_int_not_equal(ear_hearing(&e), RL_HEARING_LATE);
      found = found || ear_placed(&e);
      assert_true(!found || ear_placed(&e));
      assert_true(!found || ear_error(&e) < 0.25);
      assert_true(found || e.at < 20 * RATE);
    }
    ear_end(&e);
  }
}

/* With REEDLAMP_FEW what has to do with threads and memory must do, where every step is watched and
   takes its time. */
int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(nothing_of_it_is_there_with_another_clock),
    cmocka_unit_test(a_chord_edited_keeps_the_place_another_form_does_not),
    cmocka_unit_test(a_session_opens_again_and_listens),
    cmocka_unit_test(a_song_at_an_unknown_tempo_is_followed),
    cmocka_unit_test(the_mono_plugin_and_a_worker_of_its_own_do_the_same),
    cmocka_unit_test(blocks_and_rates_of_any_size),
    cmocka_unit_test(silence_waits),
    cmocka_unit_test(noise_is_no_song),
    cmocka_unit_test(key_and_tuning_are_heard),
    cmocka_unit_test(the_player_is_believed),
    cmocka_unit_test(taps_say_the_tempo_to_start_from),
    cmocka_unit_test(activated_anew_it_knows_what_it_knew),
    cmocka_unit_test(sound_left_out_is_said_and_made_good),
    cmocka_unit_test(a_freewheeling_host_hears_it_all),
  };
  enum { ALL = sizeof(tests) / sizeof(tests[0]), FEW = 3 };
  const bool few = getenv("REEDLAMP_FEW");
  return few ? _cmocka_run_group_tests("following by ear, few", tests, FEW, NULL, NULL)
             : _cmocka_run_group_tests("following by ear", tests, ALL, NULL, NULL);
}
