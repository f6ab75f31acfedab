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
#include "plugin/rt/audition.h"
#include "plugin/worker/auditioner.h"
#include "plugin/worker/setting.h"

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
  dice ^= dice << 13U; /* xorshift64, Marsaglia 2003 */
  dice ^= dice >> 7U;
  dice ^= dice << 17U;
  return (unsigned)(dice >> 33U) % sides;
}

static void
open_both(void)
{
  memset(&auditioner, 0, sizeof(auditioner));
  memset(&audition, 0, sizeof(audition));
  dice = 0x9E3779B97F4A7C15U;
  failing_memory_at(-1);
  assert_true(rl_document_open(&document));
  rl_auditioner_open(&auditioner, RATE);
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
    assert_in_range(failing_memory_live(), without, without + 1);
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
    cmocka_unit_test(two_threads_hand_sounds_over_whole),
  };
  return cmocka_run_group_tests_name("plugin/audition", tests, NULL, NULL);
}
