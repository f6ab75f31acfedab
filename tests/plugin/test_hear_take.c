/* SPDX-License-Identifier: ISC */
/* Listened to on request, through the embedded host: sound comes on the outputs while the music
   stands, at the right pitch, and none while it rolls, after a stop, or disabled; the track and the
   player's ear are left alone. Source: plugin/PORTS.md; pitch by equal temperament at A = 440 Hz
   (ISO 16). */
#include "scene.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 256, SECONDS = 12 };

static Scene s;
static float sound[SECONDS * RATE];

static const char tune[]  = "X:1\nT:Night Ferry\nM:4/4\nL:1/4\nQ:1/4=120\nK:C\nCEGc|\n";
static const int  pitch[] = {60, 64, 67, 72};

static void
open_parked(const char *const uri)
{
  const RlHostChoice choice = scene_choice(uri);
  scene_open(&s, &choice);
  rl_host_activate(s.host);
  scene_settle(&s);
}

static void
hear(const char *const head)
{
  char text[1024];
  snprintf(text, sizeof(text), "%s\n\n%s", head, tune);
  scene_send(&s, 0, "hear_take", text);
}

/* Plays on in silence; what comes out on the left is kept, and the right has the same. */
static void
listen_for(const double seconds)
{
  const int blocks = (int)(seconds * RATE / BLOCK);
  assert_true(blocks * BLOCK <= SECONDS * RATE);
  memset(sound, 0, sizeof(sound));
  for (int i = 0; i < blocks; ++i) {
    scene_run(&s, BLOCK);
    const float *const left = rl_host_audio(s.host, "out_left");
    memcpy(sound + i * BLOCK, left, BLOCK * sizeof(float));
    for (int k = 0; !s.mono && k < BLOCK; ++k) {
      assert_true(left[k] == rl_host_audio(s.host, "out_right")[k]);
    }
  }
}

static float
peak(const double from, const double to)
{
  float most = 0;
  for (int i = (int)(from * RATE); i < (int)(to * RATE); ++i) {
    most = fmaxf(most, fabsf(sound[i]));
  }
  return most;
}

static double
begins(void)
{
  int i = 0;
  while (i < SECONDS * RATE && fabsf(sound[i]) < 1e-4F) {
    ++i;
  }
  return (double)i / RATE;
}

/* The strongest pitch of 200 ms, in MIDI numbers, by autocorrelation: the first lag that comes
   near to the best, refined by a parabola. */
static double
heard_pitch(const double at)
{
  enum { WIDE = RATE / 5, LONGEST = RATE / 100, SHORTEST = RATE / 2500 };
  static double like[LONGEST + 2];
  const float  *x    = sound + (int)(at * RATE);
  double        best = 0;
  for (int lag = SHORTEST - 1; lag <= LONGEST + 1; ++lag) {
    double sum = 0;
    for (int i = 0; i < WIDE - LONGEST - 1; ++i) {
      sum += (double)x[i] * (double)x[i + lag];
    }
    like[lag] = sum;
    best      = fmax(best, sum);
  }
  int lag = SHORTEST;
  while (lag < LONGEST && !(like[lag] > 0.95 * best && like[lag] >= like[lag + 1])) {
    ++lag;
  }
  const double a = like[lag - 1], b = like[lag], c = like[lag + 1];
  const double exact = lag + 0.5 * (a - c) / (a - 2 * b + c);
  return 69 + 12 * log2(RATE / exact / 440);
}

static void
notes_are_heard(const double speed)
{
  const double from = begins();
  for (size_t i = 0; i < sizeof(pitch) / sizeof(pitch[0]); ++i) {
    NEAR(heard_pitch(from + ((double)i + 0.35) * 0.5 / speed), pitch[i], 0.05); /* 5 cents */
  }
  const double ends = from + 4 * 0.5 / speed;
  assert_true(peak(ends - 0.05, ends) > 0.02F);
  assert_true(peak(ends + 0.08, ends + 0.5) == 0);
}

static void
a_tune_is_heard_at_every_speed_at_its_pitch(void **const state)
{
  static const struct {
    const char *head;
    double      speed;
  } ways[] = {{"play: Night Ferry", 1},
              {"play: Night Ferry\nspeed: 3/4", 0.75},
              {"play: Night Ferry\nspeed: 1/2\n", 0.5}};
  for (size_t i = 0; i < sizeof(ways) / sizeof(ways[0]); ++i) {
    open_parked(*state);
    hear(ways[i].head);
    listen_for(5.5);
    assert_true(begins() < 0.05);
    notes_are_heard(ways[i].speed);
    assert_true(peak(0, 5.5) < 0.5F);
    TEXT(scene_told(&s, "problem"), "");
    scene_end(&s);
  }
}

static void
while_it_sounds_the_place_says_so(void **const state)
{
  (void)state;
  open_parked(STEREO);
  hear("play: Night Ferry");
  listen_for(1);
  assert_int_equal(scene_last(&s)->sounds, 1);
  listen_for(2);
  assert_int_equal(scene_last(&s)->sounds, 0);
  scene_end(&s);
}

/* Silent within 10 ms and a block; it does not come again. */
static void
falls_silent(void)
{
  listen_for(4);
  const double fade = 0.01 + 2.0 * BLOCK / RATE;
  for (int i = 0; i < (int)(fade * RATE); ++i) {
    assert_true(fabsf(sound[i + 1] - sound[i]) < 0.05F); /* no click */
  }
  assert_true(peak(fade, 4) == 0);
  assert_int_equal(scene_last(&s)->sounds, 0);
}

static void
it_falls_silent_when_the_music_rolls_and_stays_so(void **const state)
{
  const Report rolls = rolling_at(0, 0), stands = parked_at(0, 0);
  open_parked(*state);
  hear("play: Night Ferry");
  listen_for(0.7);
  assert_true(peak(0.5, 0.7) > 0.02F);
  scene_report(&s, 0, &rolls);
  falls_silent();
  scene_report(&s, 0, &stands);
  listen_for(1);
  assert_true(peak(0, 1) == 0);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

static void
it_falls_silent_when_told_to_stop_or_disabled(void **const state)
{
  for (int way = 0; way < 4; ++way) {
    open_parked(*state);
    hear("play: Night Ferry");
    listen_for(0.7);
    assert_true(peak(0.5, 0.7) > 0.02F);
    if (way == 0) {
      scene_send(&s, 0, "hear_take", "stop:");
    } else if (way == 1) {
      rl_host_set(s.host, "enabled", 0);
    } else if (way == 2) {
      rl_host_set(s.host, "freewheel", 1);
    } else {
      rl_host_deactivate(s.host);
      rl_host_activate(s.host);
    }
    falls_silent();
    scene_end(&s);
  }
}

static void
while_the_music_rolls_none_comes_and_that_is_said(void **const state)
{
  const Report rolls = rolling_at(0, 0);
  open_parked(*state);
  scene_report(&s, 0, &rolls);
  listen_for(0.1);
  hear("play: Night Ferry");
  listen_for(3);
  assert_true(peak(0, 3) == 0);
  HAS(scene_ask(&s, "problem"), "hear_take: not while the music rolls; stop it and ask again");
  scene_end(&s);
}

/* Tapped, the music rolls by the foot; the host stands. */
static void
nor_while_it_rolls_by_taps(void **const state)
{
  (void)state;
  open_parked(STEREO);
  rl_host_set(s.host, "clock", 1);
  scene_run(&s, BLOCK);
  for (int i = 0; i < 4; ++i) {
    scene_press(&s, "tap", RATE / 4);
  }
  hear("play: Night Ferry");
  listen_for(1);
  assert_true(peak(0, 1) == 0);
  HAS(scene_ask(&s, "problem"), "not while the music rolls");
  scene_end(&s);
}

static void
the_next_one_takes_the_place_of_the_last(void **const state)
{
  (void)state;
  open_parked(STEREO);
  hear("play: Night Ferry\nspeed: 1/2");
  listen_for(1.3);
  hear("play: Night Ferry");
  listen_for(4);
  /* The old one has 10 ms and its block, then the new one begins in the next. */
  for (int i = 0; i < 4; ++i) {
    NEAR(heard_pitch(0.03 + (i + 0.35) * 0.5), pitch[i], 0.05);
  }
  assert_true(peak(2.2, 4) == 0);
  scene_end(&s);
}

/* A stereo track that sounds passes, and what is listened to lies on top; afterwards bit by bit. */
static void
the_track_passes_below_it(void **const state)
{
  (void)state;
  open_parked(STEREO);
  float *const in[] = {rl_host_audio(s.host, "in_left"), rl_host_audio(s.host, "in_right")};
  for (int i = 0; i < BLOCK; ++i) {
    in[0][i] = 0.25F;
    in[1][i] = -0.5F;
  }
  hear("play: Night Ferry");
  float added = 0;
  for (int b = 0; b < 4 * RATE / BLOCK; ++b) {
    scene_run(&s, BLOCK);
    const float *const left  = rl_host_audio(s.host, "out_left");
    const float *const right = rl_host_audio(s.host, "out_right");
    for (int i = 0; i < BLOCK; ++i) {
      assert_true(fabsf((left[i] - 0.25F) - (right[i] + 0.5F)) < 1e-6F);
      added = fmaxf(added, fabsf(left[i] - 0.25F));
      assert_true(b < 3 * RATE / BLOCK || (left[i] == 0.25F && right[i] == -0.5F));
    }
  }
  assert_true(added > 0.02F);
  scene_end(&s);
}

/* With harp_from 2 the ear hears what comes in, not the voice. */
static void
the_players_ear_does_not_hear_it(void **const state)
{
  open_parked(*state);
  rl_host_set(s.host, "harp_from", 2);
  listen_for(0.2);
  hear("play: Night Ferry");
  listen_for(3);
  assert_true(peak(0, 3) > 0.02F);
  for (size_t i = 0; i < s.playeds; ++i) {
    assert_int_equal(s.played[i].count, 0);
  }
  SAME(s.heard_hole, 0);
  scene_end(&s);
}

static void
what_is_wrong_is_said_with_its_line(void **const state)
{
  static const struct {
    const char *text, *said;
  } wrong[] = {
    {"", "hear_take: line 1: write play:, record:, both: or stop:"},
    {"sing: it", "hear_take: line 1: write play:, record:, both: or stop:"},
    {"play: it", "hear_take: line 2: write the tune in ABC below, from X: on"},
    {"play: it\nspeed: 2", "hear_take: line 2: write speed: 1, 3/4 or 1/2"},
    {"play: it\nspeed: 1\ntempo: 9",
     "hear_take: line 3: write tempo: and a whole number from 20 to 400"},
    {"play: it\n\nhum", "hear_take: line 3: write speed:, tempo: or a tune that begins with X:"},
    {"play: it\n\nX:1\nT:it\nK:C\nCD/11", "hear_take: line 6, column 2: "},
    {"play: it\x01", "hear_take: no text in UTF-8; send it as one"},
  };
  (void)state;
  open_parked(STEREO);
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    scene_send(&s, 0, "hear_take", wrong[i].text);
    listen_for(0.05);
    HAS(scene_ask(&s, "problem"), wrong[i].said);
  }
  hear("play: Night Ferry");
  listen_for(0.05);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

/* Its tempo is the tune's, else the one that is said, else 120. */
static void
the_tempo_is_the_tunes_or_the_one_said(void **const state)
{
  static const struct {
    const char *text;
    double      lasts;
  } ways[] = {{"play:\ntempo: 60\n\nX:1\nT:a\nM:4/4\nL:1/4\nQ:1/4=240\nK:C\nCEGc\n", 1},
              {"play:\ntempo: 80\n\nX:1\nT:a\nM:4/4\nL:1/4\nK:C\nCEGc\n", 3},
              {"play:\n\nX:1\nT:a\nM:4/4\nL:1/4\nK:C\nCEGc\n", 2}};
  (void)state;
  for (size_t i = 0; i < sizeof(ways) / sizeof(ways[0]); ++i) {
    open_parked(STEREO);
    scene_send(&s, 0, "hear_take", ways[i].text);
    listen_for(4);
    const double ends = begins() + ways[i].lasts;
    assert_true(peak(ends - 0.02, ends) > 0.02F && peak(ends + 0.08, 4) == 0);
    scene_end(&s);
  }
}

/* Sessions do not hold it. */
static void
a_session_does_not_hold_it(void **const state)
{
  (void)state;
  open_parked(STEREO);
  hear("play: Night Ferry");
  listen_for(0.1);
  char *const saved = rl_host_save(s.host);
  assert_non_null(saved);
  assert_null(strstr(saved, "hear_take"));
  free(saved);
  scene_end(&s);
}

int
main(void)
{
  static char             stereo[] = STEREO, mono[] = MONO;
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_prestate(a_tune_is_heard_at_every_speed_at_its_pitch, stereo),
    cmocka_unit_test_prestate(a_tune_is_heard_at_every_speed_at_its_pitch, mono),
    cmocka_unit_test(while_it_sounds_the_place_says_so),
    cmocka_unit_test_prestate(it_falls_silent_when_the_music_rolls_and_stays_so, stereo),
    cmocka_unit_test_prestate(it_falls_silent_when_the_music_rolls_and_stays_so, mono),
    cmocka_unit_test_prestate(it_falls_silent_when_told_to_stop_or_disabled, stereo),
    cmocka_unit_test_prestate(it_falls_silent_when_told_to_stop_or_disabled, mono),
    cmocka_unit_test_prestate(while_the_music_rolls_none_comes_and_that_is_said, stereo),
    cmocka_unit_test(nor_while_it_rolls_by_taps),
    cmocka_unit_test(the_next_one_takes_the_place_of_the_last),
    cmocka_unit_test(the_track_passes_below_it),
    cmocka_unit_test_prestate(the_players_ear_does_not_hear_it, stereo),
    cmocka_unit_test_prestate(the_players_ear_does_not_hear_it, mono),
    cmocka_unit_test(what_is_wrong_is_said_with_its_line),
    cmocka_unit_test(the_tempo_is_the_tunes_or_the_one_said),
    cmocka_unit_test(a_session_does_not_hold_it),
  };
  return cmocka_run_group_tests_name("plugin/hear_take", tests, NULL, NULL);
}
