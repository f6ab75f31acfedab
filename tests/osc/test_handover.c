/* SPDX-License-Identifier: ISC */
/* The hand-over from the audio thread to the sender, without a plugin around it: the mailbox and
   the time of day of frames. Meant for a thread sanitizer too. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/rt/osc_publisher.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BLOCK = 256, NEWS = 200000 };

static void
the_mailbox_takes_sixteen_and_gives_them_back_in_order(void **state)
{
  static RlMailbox box;
  RlOscSnapshot    snapshot = {0};
  (void)state;
  for (int round = 0; round < 5; ++round) {
    for (int i = 0; i < RL_MAILBOX_SLOTS; ++i) {
      snapshot.chorus = i;
      assert_true(rl_mailbox_put(&box, &snapshot));
    }
    assert_false(rl_mailbox_put(&box, &snapshot));
    for (int i = 0; i < RL_MAILBOX_SLOTS; ++i) {
      assert_true(rl_mailbox_pop(&box, &snapshot));
      assert_int_equal(snapshot.chorus, i);
    }
    assert_false(rl_mailbox_pop(&box, &snapshot));
  }
}

static void *
put_all(void *const data)
{
  RlMailbox *const box      = (RlMailbox *)data;
  RlOscSnapshot    snapshot = {0};
  for (int i = 1; i <= NEWS; ++i) {
    snapshot.chorus = snapshot.bar = snapshot.bars = i;
    snapshot.frame                                 = i;
    while (!rl_mailbox_put(box, &snapshot)) {
    }
  }
  return NULL;
}

static void
two_threads_never_see_half_a_piece_of_news(void **state)
{
  static RlMailbox box;
  pthread_t        thread;
  RlOscSnapshot    snapshot;
  int              last = 0;
  (void)state;
  assert_int_equal(pthread_create(&thread, NULL, put_all, &box), 0);
  while (last < NEWS) {
    if (rl_mailbox_pop(&box, &snapshot)) {
      assert_int_equal(snapshot.chorus, last + 1);
      assert_true(snapshot.bar == snapshot.chorus && snapshot.bars == snapshot.chorus &&
                  snapshot.frame == snapshot.chorus);
      last = snapshot.chorus;
    }
  }
  pthread_join(thread, NULL);
}

/* A form to lead along. */
static RlSnapshot *
snapshot_make(void)
{
  static const char text[] = "key: G\n| I7 | IV7 |\n";
  RlChartError      error;
  RlSnapshot *const snapshot = (RlSnapshot *)calloc(1, sizeof(RlSnapshot));
  assert_non_null(snapshot);
  assert_true(rl_chart_read(rl_slice(text), &snapshot->form, &error));
  return snapshot;
}

static void
block(RlOscPublisher *const a, RlFollower *const l, const unsigned changes)
{
  if (a->busy) {
    rl_osc_publisher_begin(a, l, BLOCK);
    rl_osc_publisher_tell(a, l, changes, 0);
    rl_osc_publisher_end(a, l, changes, BLOCK - 1);
  }
}

/* A follower, and what the publisher tells of it. */
typedef struct {
  RlMailbox      box;
  RlSnapshot    *snapshot;
  RlFollower     follower;
  RlMidiOut      phrases;
  RlOscPublisher publisher;
} Told;

static void
told_begin(Told *const t)
{
  memset(&t->box, 0, sizeof(t->box));
  t->phrases   = (RlMidiOut){0};
  t->publisher = (RlOscPublisher){0};
  t->snapshot  = snapshot_make();
  rl_follower_init(&t->follower, RATE, t->snapshot);
  rl_osc_publisher_init(&t->publisher, RATE, &t->phrases, &t->box);
  rl_osc_publisher_tune(&t->publisher, true, false);
}

static void
when_the_mailbox_is_full_the_latest_waits_and_forgets_nothing_that_was_wanted(void **state)
{
  Told          told;
  RlOscSnapshot snapshot = {0};
  (void)state;
  told_begin(&told);
  for (unsigned i = 1; i <= 40; ++i) { /* nobody takes anything */
    if (i == 30) {
      rl_osc_publisher_refresh(&told.publisher);
    }
    told.follower.settings.hand.harp.key = (uint8_t)(i % 12);
    block(&told.publisher, &told.follower, i);
  }
  assert_true(told.publisher.waits);
  for (int i = 0; i < RL_MAILBOX_SLOTS; ++i) {
    assert_true(rl_mailbox_pop(&told.box, &snapshot));
    assert_int_equal(snapshot.full, i == 0);
  }
  block(&told.publisher, &told.follower, 40);
  assert_true(rl_mailbox_pop(&told.box, &snapshot));
  assert_true(snapshot.full); /* of the thirtieth */
  assert_int_equal(snapshot.hand.harp.key, 40 % 12);
  assert_false(rl_mailbox_pop(&told.box, &snapshot));
  rl_osc_publisher_tune(&told.publisher, false, false);
  block(&told.publisher, &told.follower, 40);
  assert_true(rl_mailbox_pop(&told.box, &snapshot));
  assert_true(snapshot.last && !snapshot.full);
  assert_false(told.publisher.busy);
  free(told.snapshot);
}

/* Blocks one right after the other run ahead of the time of day until the line is set
 * back; tags are not. */
static void
time_tags_never_step_back(void **state)
{
  enum { LONG = 9600 };
  Told          told;
  RlOscSnapshot snapshot = {0};
  int64_t       last = 0, lines = 0, line = 0;
  (void)state;
  told_begin(&told);
  for (unsigned i = 1; i <= 40; ++i) {
    rl_osc_publisher_begin(&told.publisher, &told.follower, LONG);
    rl_osc_publisher_tell(&told.publisher, &told.follower, i, LONG - 1);
    rl_osc_publisher_end(&told.publisher, &told.follower, i, LONG - 1);
    lines += rl_frame_clock_at(&told.publisher.frame_clock, 0) < line;
    line = rl_frame_clock_at(&told.publisher.frame_clock, 0);
    while (rl_mailbox_pop(&told.box, &snapshot)) {
      assert_true(snapshot.when >= last);
      last = snapshot.when;
    }
  }
  assert_true(lines > 0); /* it was set back, or nothing was tested */
  free(told.snapshot);
}

/* A time from -0.5 to 0.5, always the same ones. */
static double
jitter(void)
{
  static uint32_t seed = 1;
  seed                 = seed * 1664525U + 1013904223U;
  return (double)(seed >> 8) / (1 << 24) - 0.5;
}

static void
frames_become_wall_clock_time_steadily(void **state)
{
  static const int64_t begin   = INT64_C(1700000000) * 1000000000;
  static const double  drift[] = {0, 1e-4, -1e-4}; /* of a sound card's clock */
  (void)state;
  for (int d = 0; d < 3; ++d) {
    RlFrameClock frame_clock = {.rate = RATE};
    int64_t      frame = 0, before = 0;
    double       worst = 0, step = 0;
    for (int i = 0; i < 20000; ++i) { /* 107 s; run() comes up to 4 ms late, evenly spread */
      const double real = (double)frame / RATE * (1 + drift[d]);
      rl_frame_clock_block(&frame_clock, BLOCK,
                           begin + llround((real + 0.002 + 0.004 * jitter()) * 1e9));
      const int64_t tag = rl_frame_clock_at(&frame_clock, 0);
      if (i > 2000) {
        worst = fmax(worst, fabs((double)(tag - begin) / 1e9 - real - 0.002));
        step  = fmax(step, fabs((double)(tag - before) / 1e9 - (double)BLOCK / RATE));
      }
      assert_true(tag > before);
      before = tag;
      frame += BLOCK;
    }
    assert_true(worst < 0.0006); /* of jitter of 2 ms either way */
    assert_true(step < 0.00003); /* from block to block */
  }
}

static void
the_line_begins_anew_where_the_system_s_clock_is_set(void **state)
{
  RlFrameClock frame_clock = {.rate = RATE};
  (void)state;
  rl_frame_clock_block(&frame_clock, BLOCK, 1000000000);
  rl_frame_clock_block(&frame_clock, BLOCK, 1005000000);
  assert_in_range(rl_frame_clock_at(&frame_clock, 0), 1005000000, 1005400000);
  rl_frame_clock_block(&frame_clock, BLOCK, 9000000000);
  assert_int_equal(rl_frame_clock_at(&frame_clock, 0), 9000000000);
  rl_frame_clock_block(&frame_clock, 0, 9005000000); /* run(0) */
  rl_frame_clock_block(&frame_clock, BLOCK, 9005000000);
  assert_in_range(rl_frame_clock_at(&frame_clock, 0), 9005000000, 9005400000);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_mailbox_takes_sixteen_and_gives_them_back_in_order),
    cmocka_unit_test(two_threads_never_see_half_a_piece_of_news),
    cmocka_unit_test(when_the_mailbox_is_full_the_latest_waits_and_forgets_nothing_that_was_wanted),
    cmocka_unit_test(time_tags_never_step_back),
    cmocka_unit_test(frames_become_wall_clock_time_steadily),
    cmocka_unit_test(the_line_begins_anew_where_the_system_s_clock_is_set),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
