/* SPDX-License-Identifier: ISC */
/* Following by ear in a host: a small band plays a song whose tempo the host does not know. The
   place comes, stays, and is right; a locate, a loop, a stop and a start are heeded; nothing is
   claimed where there is no song, and nothing is there while the clock is another one. */
#include "scene.h"

#include "plugin/shared/hearing.h"
#include "tests/core/ear/band.h"

#include <dirent.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TEMPO = 118, BEATS = 48, SECONDS = 60, BLOCK = 512, KEY_A = 9 };

static const char blues[] = "key: A\nmeter: 4/4\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 |\n"
                            "| ii7 | V7 | I7 | V7 |\n";

typedef struct {
  Scene   s;
  RlForm  form;
  double  rate;
  float  *sound;
  int64_t frames, at; /* of the recording, which lies at frame 0 of the host's song */
  bool    rolls, says_frames, silent;
  int64_t since; /* frames run since the listener was waited for */
} Ear;

/* ---- the host ---- */

static void
transport_say(Ear *const e)
{
  const Report r = {SAY_SPEED | SAY_TEMPO | SAY_METER | (e->says_frames ? SAY_FRAME : 0U),
                    e->at,
                    0,
                    e->rolls,
                    0,
                    0,
                    100,
                    4,
                    4};
  scene_report(&e->s, 0, &r);
}

static void
block_run(Ear *const e, const uint32_t block)
{
  float *const left = rl_host_audio(e->s.host, "in_left");
  for (uint32_t i = 0; i < block; ++i) {
    const int64_t at = e->at + i;
    left[i]          = e->rolls && !e->silent && at >= 0 && at < e->frames ? e->sound[at] : 0;
  }
  if (!e->s.mono) {
    memcpy(rl_host_audio(e->s.host, "in_right"), left, block * sizeof(float));
  }
  transport_say(e);
  scene_run(&e->s, block);
  e->at += e->rolls ? block : 0;
}

/* Plays so many seconds; gives the listener time twice a second of sound. */
static void
play_blocks(Ear *const e, const double seconds, const uint32_t block)
{
  for (int64_t left = (int64_t)(seconds * e->rate); left > 0; left -= block) {
    block_run(e, block);
    e->since += block;
    if ((double)e->since > e->rate / 2) {
      rl_host_rest(1);
      e->since = 0;
    }
  }
  rl_host_rest(3);
  block_run(e, 1);
}

static void
play(Ear *const e, const double seconds)
{
  play_blocks(e, seconds, BLOCK);
}

static void
begin_at(Ear *const e, const RlBand *const band, const char *const uri, const RlHostWorker worker)
{
  RlHostChoice choice = scene_choice(uri);
  memset(e, 0, sizeof(*e));
  choice.rate   = band->rate;
  choice.worker = worker;
  e->rate       = band->rate;
  e->frames     = (int64_t)(SECONDS * band->rate);
  e->sound      = malloc((size_t)e->frames * sizeof(float));
  rl_band_form(blues, &e->form);
  rl_band_play(band, &e->form, e->sound, (size_t)e->frames);
  scene_open(&e->s, &choice);
  rl_host_activate(e->s.host);
  scene_send(&e->s, 0, "chart", blues);
  scene_await(&e->s, "chart", blues);
  rl_host_set(e->s.host, "clock", 2);
  e->rolls = e->says_frames = true;
}

static void
begin(Ear *const e)
{
  const RlBand band = {RATE, TEMPO, 0, KEY_A, 0};
  begin_at(e, &band, STEREO, RL_HOST_AFTER);
}

static void
end(Ear *const e)
{
  scene_end(&e->s);
  free(e->sound);
}

static void
press(Ear *const e, const char *const port)
{
  rl_host_set(e->s.host, port, 1);
  block_run(e, BLOCK);
  rl_host_set(e->s.host, port, 0);
}

/* ---- what it says ---- */

static int
hearing(const Ear *const e)
{
  return (int)rl_host_get(e->s.host, "hearing");
}

/* Felt beats since bar 1, by the outputs. */
static double
shown(const Ear *const e)
{
  return (e->s.chorus - 1) * BEATS + (e->s.bar - 1) * 4 + e->s.beat - 1;
}

static double
true_beat(const Ear *const e)
{
  return (double)e->at / e->rate * TEMPO / 60;
}

/* How far off, in beats, whatever the chorus. */
static double
error(const Ear *const e)
{
  const double off = shown(e) - true_beat(e);
  return fabs(off - BEATS * round(off / BEATS));
}

static bool
placed(const Ear *const e)
{
  return e->s.bar != 0 && e->s.sure > 0;
}

/* Plays until the place is known; returns the seconds that took. */
static double
find(Ear *const e, const double most)
{
  double took = 0;
  while (!placed(e) && took < most) {
    play(e, 1);
    took += 1;
  }
  assert_true(placed(e));
  return took;
}

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

/* ---- tests ---- */

static void
a_song_at_an_unknown_tempo_is_followed(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  play(&e, 0.5);
  assert_int_equal(hearing(&e), RL_HEARING_LISTENS);
  assert_false(placed(&e));
  find(&e, 20);
  for (int i = 0; i < 20; ++i) {
    play(&e, 1);
    assert_true(placed(&e));
    assert_true(error(&e) < 0.2);
    assert_int_equal(hearing(&e), RL_HEARING_FOUND);
    NEAR(scene_last(&e.s)->tempo, TEMPO, 3);
    assert_true(scene_last(&e.s)->rolling);
  }
  NEAR(e.s.chorus, 1 + floor(true_beat(&e) / BEATS), 0);
  end(&e);
}

static void
the_mono_plugin_and_a_worker_of_its_own_do_the_same(void **const state)
{
  const RlBand band = {RATE, TEMPO, 0, KEY_A, 0};
  Ear          e;
  (void)state;
  begin_at(&e, &band, MONO, RL_HOST_THREADED);
  find(&e, 25);
  play(&e, 4);
  assert_true(placed(&e) && error(&e) < 0.2);
  end(&e);
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
    begin_at(&e, &band, STEREO, RL_HOST_AFTER);
    for (int second = 0; second < (cases[i].block == 1 ? 1 : 40) && !placed(&e); ++second) {
      play_blocks(&e, 1, cases[i].block);
    }
    if (cases[i].block == 1) {
      assert_int_equal(hearing(&e), RL_HEARING_LISTENS);
    } else {
      assert_true(placed(&e) && error(&e) < 0.25);
    }
    end(&e);
  }
}

static void
a_locate_to_where_nothing_was_heard_is_no_place_at_once(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  play(&e, 2);
  e.at += (int64_t)(11.3 * e.rate);
  block_run(&e, BLOCK);
  assert_false(placed(&e));
  play(&e, 0.2);
  assert_false(placed(&e));
  assert_int_equal(hearing(&e), RL_HEARING_LISTENS);
  assert_true(find(&e, 15) < 12);
  assert_true(error(&e) < 0.25);
  end(&e);
}

static void
a_loops_second_pass_is_known_in_its_first_block(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  const int64_t start = e.at;
  for (int pass = 0; pass < 3; ++pass) {
    play(&e, 5.3);
    assert_true(placed(&e) && error(&e) < 0.2);
    const double chorus = e.s.chorus;
    e.at                = start + (int64_t)(e.rate / 3);
    block_run(&e, BLOCK);
    assert_true(placed(&e) && error(&e) < 0.2);
    assert_true(e.s.chorus <= chorus);
    play(&e, 0.3);
    assert_true(placed(&e) && error(&e) < 0.2);
  }
  end(&e);
}

static void
a_stop_parks_it_and_a_start_goes_on(void **const state)
{
  for (int frames = 0; frames < 2; ++frames) {
    Ear e;
    (void)state;
    begin(&e);
    e.says_frames = frames;
    find(&e, 20);
    play(&e, 2);
    e.rolls = false;
    play(&e, 1);
    assert_true(placed(&e) && error(&e) < 0.3);
    assert_false(scene_last(&e.s)->rolling);
    const double parked = shown(&e);
    play(&e, 12);
    NEAR(shown(&e), parked, 1e-6);
    e.rolls = true;
    play(&e, 1);
    assert_true(placed(&e) && error(&e) < 0.3);
    play(&e, 3);
    assert_true(placed(&e) && error(&e) < 0.2);
    assert_true(scene_last(&e.s)->rolling);
    end(&e);
  }
}

static void
parked_at_a_place_heard_before_it_is_shown(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  const int64_t there = e.at + (int64_t)e.rate;
  play(&e, 6);
  e.rolls = false;
  play(&e, 0.5);
  e.at = there;
  block_run(&e, BLOCK);
  assert_true(placed(&e) && error(&e) < 0.2);
  play(&e, 0.5);
  assert_true(placed(&e) && error(&e) < 0.2);
  assert_false(scene_last(&e.s)->rolling);
  end(&e);
}

static void
a_host_that_stands_while_sound_comes_in_is_no_stop(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
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
  assert_true(placed(&e) && error(&e) < 0.2);
  assert_true(scene_last(&e.s)->rolling);
  end(&e);
}

static void
silence_waits(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  e.silent = true;
  play(&e, 3);
  assert_int_equal(hearing(&e), RL_HEARING_WAITS);
  assert_false(placed(&e));
  e.silent = false;
  e.at     = 0;
  find(&e, 20);
  play(&e, 2);
  e.silent = true; /* the recording is over, the host rolls on */
  play(&e, 5);
  assert_false(placed(&e));
  assert_int_equal(hearing(&e), RL_HEARING_WAITS);
  end(&e);
}

static void
noise_is_no_song(void **const state)
{
  Ear      e;
  uint32_t seed = 5;
  (void)state;
  begin(&e);
  for (int64_t i = 0; i < e.frames; ++i) {
    e.sound[i] = 0.3F * (rl_band_random(&seed) - 0.5F);
  }
  for (int i = 0; i < 20; ++i) {
    play(&e, 1);
    assert_false(placed(&e));
    assert_int_equal(hearing(&e), RL_HEARING_LISTENS);
  }
  end(&e);
}

static void
key_and_tuning_are_heard(void **const state)
{
  const RlBand band = {RATE, TEMPO, -23, 4, 0}; /* in E; the chart is in A */
  Ear          e;
  (void)state;
  begin_at(&e, &band, STEREO, RL_HOST_AFTER);
  SAME(rl_host_get(e.s.host, "key_heard"), -1);
  rl_host_set(e.s.host, "song_key", 13);
  play(&e, 36);
  SAME(rl_host_get(e.s.host, "key_heard"), 4);
  assert_true(rl_host_get(e.s.host, "key_sure") > 0.9F);
  NEAR(rl_host_get(e.s.host, "cents"), -23, 5);
  SAME(scene_last(&e.s)->song_key, 4);
  SAME(e.s.hearing[HEARING_STATE], RL_HEARING_FOUND);
  SAME(e.s.hearing[HEARING_KEY], 4);
  assert_true(e.s.tuned);
  NEAR(e.s.hearing[HEARING_CENTS], -23, 5);
  SAME(rl_host_get(e.s.host, "position"), 5); /* of a C harp */
  assert_true(placed(&e) && error(&e) < 0.25);
  TEXT(scene_last(&e.s)->now_degree[0] == '\0' ? "nothing" : "a chord", "a chord");
  rl_host_set(e.s.host, "song_key", 12);
  play(&e, 0.2);
  SAME(scene_last(&e.s)->song_key, KEY_A);
  SAME(rl_host_get(e.s.host, "key_heard"), -1);
  end(&e);
}

static void
the_player_is_believed(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  play(&e, 2);
  press(&e, "bar_one"); /* wrongly: it shows bar 1 all the same */
  play(&e, 0.3);
  SAME(e.s.chorus, 1);
  SAME(e.s.bar, 1);
  assert_int_equal(hearing(&e), RL_HEARING_FOUND);
  press(&e, "stop"); /* forgets it all */
  play(&e, 0.3);
  assert_false(placed(&e));
  assert_int_equal(hearing(&e), RL_HEARING_LISTENS);
  find(&e, 25);
  assert_true(error(&e) < 0.25);
  press(&e, "half_time");
  play(&e, 0.3);
  assert_false(placed(&e));
  scene_controller(&e.s, "midi_in", 0, 0, 86, 127); /* double time */
  play(&e, 0.3);
  find(&e, 20);
  NEAR(scene_last(&e.s)->tempo, TEMPO, 4);
  end(&e);
}

static void
taps_say_the_tempo_to_start_from(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  for (int i = 0; i < 4; ++i) {
    press(&e, "tap");
    play(&e, 60.0 / TEMPO - (double)(BLOCK + 1) / RATE);
  }
  find(&e, 20);
  assert_true(error(&e) < 0.25);
  NEAR(scene_last(&e.s)->tempo, TEMPO, 3);
  end(&e);
}

static void
a_chord_edited_keeps_the_place_another_form_does_not(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  play(&e, 3);
  scene_send(&e.s, 0, "chart",
             "key: A\nmeter: 4/4\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI9 |\n"
             "| ii7 | V7 | I7 | V7 |\n");
  play(&e, 0.3);
  assert_true(placed(&e) && error(&e) < 0.2);
  play(&e, 4);
  assert_true(placed(&e) && error(&e) < 0.2);
  scene_send(&e.s, 0, "chart", "key: A\nmeter: 4/4\n| I7 | IV7 | ii7 |\n");
  play(&e, 0.3);
  assert_false(placed(&e));
  scene_send(&e.s, 0, "chart", "key: A\n| I7 | 7/8 IV7 | 4/4 I7 |\n");
  play(&e, 0.3);
  assert_int_equal(hearing(&e), RL_HEARING_CHART);
  scene_send(&e.s, 0, "chart", blues);
  play(&e, 0.3);
  assert_int_equal(hearing(&e), RL_HEARING_LISTENS);
  end(&e);
}

static void
nothing_of_it_is_there_with_another_clock(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  rl_host_set(e.s.host, "clock", 0);
  play(&e, 0.1);
  const int before = threads();
  assert_int_equal(hearing(&e), RL_HEARING_OFF);
  for (int i = 0; i < 5; ++i) {
    rl_host_set(e.s.host, "clock", 2);
    play(&e, 0.1);
    assert_int_equal(threads(), before + 1);
    rl_host_deactivate(e.s.host);
    assert_int_equal(threads(), before);
    rl_host_activate(e.s.host);
    play(&e, 0.1);
    assert_int_equal(threads(), before + 1);
    rl_host_set(e.s.host, "clock", (float)(i % 2));
    play(&e, 0.1);
    assert_int_equal(threads(), before);
    assert_int_equal(hearing(&e), RL_HEARING_OFF);
    assert_false(placed(&e));
  }
  for (int i = 0; i < 300; ++i) { /* faster than anybody can follow */
    rl_host_set(e.s.host, "clock", (float)(i % 3));
    block_run(&e, 64);
  }
  rl_host_set(e.s.host, "clock", 2);
  play(&e, 0.2);
  assert_int_equal(threads(), before + 1);
  end(&e);
}

static void
activated_anew_it_knows_what_it_knew(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  play(&e, 3);
  rl_host_deactivate(e.s.host);
  rl_host_activate(e.s.host);
  play(&e, 0.5);
  assert_true(placed(&e) && error(&e) < 0.25);
  end(&e);
}

static void
a_session_opens_again_and_listens(void **const state)
{
  Ear e;
  (void)state;
  begin(&e);
  find(&e, 20);
  char *const saved = rl_host_save(e.s.host);
  assert_non_null(saved);
  assert_true(rl_host_restore(e.s.host, saved));
  free(saved);
  play(&e, 1);
  SAME(rl_host_get(e.s.host, "clock"), 2);
  find(&e, 20);
  assert_true(error(&e) < 0.25);
  end(&e);
}

/* A machine too slow, or a host faster than it: sound is left out, and it is said; then it goes
   on where the song is by then. While the host freewheels that is as it should be. */
static void
sound_left_out_is_said_and_made_good(void **const state)
{
  for (int freewheel = 0; freewheel < 2; ++freewheel) {
    Ear  e;
    bool late = false;
    (void)state;
    begin(&e);
    find(&e, 20);
    play(&e, 4);
    rl_host_set(e.s.host, "freewheel", (float)freewheel);
    for (int i = 0; i < 14 * RATE / 8192; ++i) {
      block_run(&e, 8192);
      late = late || hearing(&e) == RL_HEARING_LATE;
    }
    rl_host_rest(1);
    block_run(&e, BLOCK);
    play(&e, 0.3);
    late = late || hearing(&e) == RL_HEARING_LATE;
    if (freewheel) {
      assert_false(late);
    }
    play(&e, 6);
    find(&e, 20);
    assert_true(error(&e) < 0.25);
    assert_int_equal(hearing(&e), RL_HEARING_FOUND);
    end(&e);
  }
}

/* With REEDLAMP_FEW what has to do with threads and memory must do, where every step is watched and
   takes its time. */
int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_loops_second_pass_is_known_in_its_first_block),
    cmocka_unit_test(nothing_of_it_is_there_with_another_clock),
    cmocka_unit_test(a_chord_edited_keeps_the_place_another_form_does_not),
    cmocka_unit_test(a_session_opens_again_and_listens),
    cmocka_unit_test(a_song_at_an_unknown_tempo_is_followed),
    cmocka_unit_test(the_mono_plugin_and_a_worker_of_its_own_do_the_same),
    cmocka_unit_test(blocks_and_rates_of_any_size),
    cmocka_unit_test(a_locate_to_where_nothing_was_heard_is_no_place_at_once),
    cmocka_unit_test(a_stop_parks_it_and_a_start_goes_on),
    cmocka_unit_test(parked_at_a_place_heard_before_it_is_shown),
    cmocka_unit_test(a_host_that_stands_while_sound_comes_in_is_no_stop),
    cmocka_unit_test(silence_waits),
    cmocka_unit_test(noise_is_no_song),
    cmocka_unit_test(key_and_tuning_are_heard),
    cmocka_unit_test(the_player_is_believed),
    cmocka_unit_test(taps_say_the_tempo_to_start_from),
    cmocka_unit_test(activated_anew_it_knows_what_it_knew),
    cmocka_unit_test(sound_left_out_is_said_and_made_good),
  };
  enum { ALL = sizeof(tests) / sizeof(tests[0]), FEW = 4 };
  const bool few = getenv("REEDLAMP_FEW");
  return few ? _cmocka_run_group_tests("following by ear, few", tests, FEW, NULL, NULL)
             : _cmocka_run_group_tests("following by ear", tests, ALL, NULL, NULL);
}
