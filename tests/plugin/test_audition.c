/* SPDX-License-Identifier: ISC */
/* Sound to be listened to between worker and audio thread, in any order of what both do and in two
   threads at once: no sound is lost or held twice, none is left when nothing is wanted. Meant for a
   thread sanitizer too. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../failing_memory.h"
#include "core/voice/voice.h"
#include "plugin/rt/audition.h"
#include "plugin/worker/auditioner.h"
#include "plugin/worker/setting.h"
#include "plugin/worker/slower.h"
#include "tests/dice.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BLOCK = 64 };

static const char tune[] = "play: Swell\n\nX:1\nT:Swell\nM:4/4\nL:1/16\nQ:1/4=200\nK:C\nC\n";
static const char longer[] =
  "play: Swell\nspeed: 1/2\n\nX:1\nT:Swell\nM:4/4\nL:1/4\nQ:1/4=120\nK:C\nCEGc\n";

static RlAuditioner auditioner;
static RlAudition   audition;
static RlDocument   document;
static float        out[2][BLOCK];
static int          without; /* blocks of memory that are there without any sound */
static uint64_t     dice;

static unsigned
chance(const unsigned sides)
{
  return dice_of(&dice, sides);
}

/* ---- a record ---- */

enum { LIFT_RATE = 22050, RECORDED = 2 * LIFT_RATE };

static double loudness = 0.02; /* of its sine */

/* "Take 1": two seconds, 440 Hz, then 660. */
static const char *
record_fetch(void *const data, const RlSlice title, RlRecord *const record)
{
  (void)data;
  if (!rl_slice_is(title, "Take 1")) {
    return "no record of that take is kept";
  }
  record->sound = (float *)malloc(RECORDED * sizeof(float));
  if (!record->sound) {
    return "not enough memory";
  }
  for (int i = 0; i < RECORDED; ++i) {
    const double turns = (i < LIFT_RATE ? 440.0 : 660.0) * i / LIFT_RATE;
    record->sound[i]   = (float)(loudness * sin(6.283185307179586 * turns));
  }
  record->samples = RECORDED;
  record->rate    = LIFT_RATE;
  return NULL;
}

/* Whole periods in a tenth of a second of what is lent. */
static double
lent_hertz(const double at)
{
  const RlAuditionLoan *const loan = atomic_load(&auditioner.desk.offered);
  const int                   from = (int)(at * RATE), wide = RATE / 10;
  double                      first = -1, last = 0;
  int                         count = -1;
  assert_true((uint32_t)(from + wide) < loan->frames);
  for (int i = from; i < from + wide; ++i) {
    const double a = (double)loan->sound[i], b = (double)loan->sound[i + 1];
    if (a <= 0 && b > 0) {
      last  = i + a / (a - b);
      first = first < 0 ? last : first;
      ++count;
    }
  }
  return count > 0 ? count * RATE / (last - first) : 0;
}

static double
lent_level(const double from, const double to)
{
  const RlAuditionLoan *const loan = atomic_load(&auditioner.desk.offered);
  double                      sum  = 0;
  for (int i = (int)(from * RATE); i < (int)(to * RATE); ++i) {
    sum += (double)loan->sound[i] * (double)loan->sound[i];
  }
  return sqrt(sum / ((to - from) * RATE));
}

static double
lent_seconds(void)
{
  const RlAuditionLoan *const loan = atomic_load(&auditioner.desk.offered);
  return loan ? (double)loan->frames / RATE : 0;
}

static void
open_both(void)
{
  memset(&auditioner, 0, sizeof(auditioner));
  memset(&audition, 0, sizeof(audition));
  dice = 0x9E3779B97F4A7C15U;
  failing_memory_at(-1);
  assert_true(rl_document_open(&document));
  rl_auditioner_open(&auditioner, RATE, (RlRecordSource){NULL, record_fetch});
  rl_audition_init(&audition, &auditioner.desk, RATE);
  without = failing_memory_live();
}

static void
close_both(void)
{
  rl_auditioner_close(&auditioner, audition.loan);
  rl_document_close(&document);
  assert_int_equal(failing_memory_live(), 0);
}

static void
ask(const char *const text)
{
  rl_document_set(&document, RL_HEAR_TAKE, rl_slice(text));
}

/* As the audio thread does: it looks when a snapshot has come. */
static float
block(const bool allowed)
{
  float most = 0;
  memset(out, 0, sizeof(out));
  audition.busy = true;
  rl_audition_play(&audition, out[0], out[1], BLOCK, allowed);
  for (int i = 0; i < BLOCK; ++i) {
    most = fmaxf(most, fabsf(out[0][i]));
    assert_true(out[0][i] == out[1][i]);
  }
  return most;
}

static void
settle(const bool allowed)
{
  for (int i = 0; i < 20; ++i) { /* ten milliseconds are eight blocks */
    rl_auditioner_work(&auditioner, &document);
    block(allowed);
  }
  rl_auditioner_work(&auditioner, &document);
}

static void
in_any_order_no_sound_is_lost_and_one_is_held_at_most(void **const state)
{
  int heard = 0;
  (void)state;
  open_both();
  for (int step = 0; step < 4000; ++step) {
    const unsigned what = chance(12);
    if (what < 2) {
      ask(what ? tune : longer);
    } else if (what == 2) {
      ask("stop:");
    } else if (what == 3) {
      rl_audition_drop(&audition);
    } else if (what < 7) {
      rl_auditioner_work(&auditioner, &document);
    } else {
      heard += block(chance(10) > 0) > 0;
    }
    const int asked = document.hear_take != NULL; /* what is asked for waits */
    assert_in_range(failing_memory_live() - asked, without, without + 1);
    if (step % 100 == 99) {
      ask("stop:");
      settle(true);
      assert_int_equal(failing_memory_live(), without);
      assert_false(audition.busy);
      assert_true(block(true) == 0);
    }
  }
  assert_in_range(heard, 300, 3000);
  close_both();
}

static void
what_was_asked_last_sounds_to_its_end(void **const state)
{
  int sounds = 0;
  (void)state;
  open_both();
  ask(longer);
  settle(true);
  ask(tune); /* while that sounds */
  settle(true);
  for (int i = 0; i < RATE / BLOCK; ++i) {
    sounds += block(true) > 0;
    rl_auditioner_work(&auditioner, &document);
  }
  /* A sixteenth at 200 and 60 ms, without what has sounded in settle(): 135 ms are 101 blocks. */
  assert_in_range(sounds, 75, 101);
  assert_int_equal(failing_memory_live(), without);
  close_both();
}

static void
while_music_rolls_it_is_given_back_unheard_and_that_is_said(void **const state)
{
  (void)state;
  open_both();
  ask(tune);
  settle(false);
  assert_int_equal(failing_memory_live(), without);
  assert_non_null(strstr(document.master.problem, "hear_take: not while the music rolls"));
  ask(tune);
  rl_auditioner_work(&auditioner, &document);
  assert_string_equal(document.master.problem, "");
  close_both();
}

static void
where_there_is_no_memory_it_is_said(void **const state)
{
  (void)state;
  open_both();
  for (int nth = 0; nth < 2; ++nth) { /* to read it, to play it */
    ask(tune);
    failing_memory_at(nth);
    rl_auditioner_work(&auditioner, &document);
    failing_memory_at(-1);
    assert_non_null(strstr(document.master.problem, "hear_take: not enough memory"));
    settle(true);
    assert_int_equal(failing_memory_live(), without);
  }
  close_both();
}

static void
what_is_too_long_is_cut_and_that_is_said(void **const state)
{
  static const char slow[] = "play:\nspeed: 1/2\n\nX:1\nT:a\nM:4/4\nL:1/1\nQ:1/4=20\nK:C\nCDEFGA\n";
  (void)state;
  open_both();
  ask(slow);
  rl_auditioner_work(&auditioner, &document);
  assert_non_null(strstr(document.master.problem, "only the first 87 seconds"));
  const RlAuditionLoan *const loan = atomic_load(&auditioner.desk.offered);
  assert_int_equal(loan->frames, RL_AUDITION_FRAMES);
  assert_true(loan->sound[loan->frames - 1] == 0 && fabsf(loan->sound[loan->frames - 400]) > 0);
  close_both();
}

static void
near(const double got, const double want, const double most)
{
  if (!(fabs(got - want) <= most)) {
    fail_msg("%.4f is not %.4f within %.4f", got, want, most);
  }
}

static void
a_record_is_played_at_each_speed_at_its_pitch(void **const state)
{
  static const struct {
    const char *text;
    double      speed;
  } ways[] = {{"record: Take 1", 1},
              {"record: Take 1\nspeed: 3/4", 0.75},
              {"record: Take 1\nspeed: 1/2\n", 0.5}};
  (void)state;
  open_both();
  for (size_t i = 0; i < (rl_slower_can() ? 3 : 1); ++i) {
    const double speed = ways[i].speed;
    ask(ways[i].text);
    rl_auditioner_work(&auditioner, &document);
    assert_string_equal(document.master.problem, "");
    near(lent_seconds(), 2 / speed, 0.001);
    near(lent_hertz(0.4 / speed), 440, 1.5); /* 6 cents */
    near(lent_hertz(1.5 / speed), 660, 2.5);
    near(20 * log10(lent_level(0, 2 / speed) / RL_VOICE_LEVEL), 0, 0.6);
  }
  close_both();
}

/* At 9.9 times what it was; ten times are the most. */
static void
a_quiet_record_is_made_louder_within_reason(void **const state)
{
  (void)state;
  open_both();
  loudness = 1e-4;
  ask("record: Take 1");
  rl_auditioner_work(&auditioner, &document);
  near(lent_level(0.2, 1.8), 1e-3 / sqrt(2), 1e-5);
  loudness = 0.9;
  ask("record: Take 1");
  rl_auditioner_work(&auditioner, &document);
  near(lent_level(0.2, 1.8), RL_VOICE_LEVEL, 0.002);
  loudness = 0.02;
  close_both();
}

/* The tune, a pause, the record. */
static void
both_are_played_one_after_the_other(void **const state)
{
  (void)state;
  open_both();
  ask("both: Take 1\n\nX:1\nT:Take 1\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nA\n");
  rl_auditioner_work(&auditioner, &document);
  near(lent_seconds(), 1.06 + 0.4 + 2, 0.01);
  near(lent_hertz(0.5), 440, 0.5);
  assert_true(lent_level(1.1, 1.45) == 0);
  near(lent_hertz(1.46 + 1.5), 660, 2.5);
  close_both();
}

static void
a_record_that_is_not_there_is_said(void **const state)
{
  (void)state;
  open_both();
  ask("record: Take 7");
  rl_auditioner_work(&auditioner, &document);
  assert_string_equal(document.master.problem, "hear_take: no record of that take is kept");
  assert_true(lent_seconds() == 0);
  for (int nth = 0; nth < (rl_slower_can() ? 4 : 3); ++nth) {
    ask(rl_slower_can() ? "record: Take 1\nspeed: 1/2" : "record: Take 1");
    failing_memory_at(nth); /* to read it, for the record, slower, to play it */
    rl_auditioner_work(&auditioner, &document);
    failing_memory_at(-1);
    assert_non_null(strstr(document.master.problem, "hear_take: not enough memory"));
    assert_int_equal(failing_memory_live(), without);
  }
  close_both();
}

/* ---- two threads ---- */

static atomic_bool over;

static void *
play_on(void *const data)
{
  float most = 0;
  (void)data;
  while (!atomic_load(&over)) {
    most = fmaxf(most, block(true));
  }
  assert_true(most > 0.01F);
  return NULL;
}

static void
two_threads_hand_sounds_over_whole(void **const state)
{
  pthread_t thread;
  (void)state;
  open_both();
  atomic_store(&over, false);
  assert_int_equal(pthread_create(&thread, NULL, play_on, NULL), 0);
  for (int i = 0; i < 3000; ++i) {
    if (i % 10 == 0) {
      ask(i % 30 ? tune : longer);
    }
    rl_auditioner_work(&auditioner, &document);
  }
  atomic_store(&over, true);
  pthread_join(thread, NULL);
  ask("stop:");
  settle(true);
  assert_int_equal(failing_memory_live(), without);
  close_both();
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(in_any_order_no_sound_is_lost_and_one_is_held_at_most),
    cmocka_unit_test(what_was_asked_last_sounds_to_its_end),
    cmocka_unit_test(while_music_rolls_it_is_given_back_unheard_and_that_is_said),
    cmocka_unit_test(where_there_is_no_memory_it_is_said),
    cmocka_unit_test(what_is_too_long_is_cut_and_that_is_said),
    cmocka_unit_test(a_record_is_played_at_each_speed_at_its_pitch),
    cmocka_unit_test(a_quiet_record_is_made_louder_within_reason),
    cmocka_unit_test(both_are_played_one_after_the_other),
    cmocka_unit_test(a_record_that_is_not_there_is_said),
    cmocka_unit_test(two_threads_hand_sounds_over_whole),
  };
  return cmocka_run_group_tests_name("plugin/audition", tests, NULL, NULL);
}
