/* SPDX-License-Identifier: ISC */
/* The ring between the audio thread and the worker: what is put in comes out, whole and in order,
   or is refused whole. Meant for a thread sanitizer too. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/shared/ring.h"

#include <pthread.h>
#include <string.h>

static RlRing ring;
static char   body[RL_RING_SIZE + 1], got[RL_RING_SIZE + 1];

/* Empty, and so many bytes have gone through it already. */
static void
ring_begin(const uint32_t at)
{
  memset(&ring, 0, sizeof(ring));
  atomic_store(&ring.written, at);
  atomic_store(&ring.read, at);
}

static void
body_fill(const uint32_t size, const unsigned seed)
{
  for (uint32_t i = 0; i < size; ++i) {
    body[i] = (char)(i * 31 + seed);
  }
}

static void
messages_of_any_size_come_out_as_they_went_in(void **state)
{
  static const uint32_t sizes[] = {0, 1, 3, 4, 5, 255, 4096, RL_RING_SIZE / 2, RL_RING_SIZE - 4};
  (void)state;
  ring_begin(0);
  for (unsigned round = 0; round < 50; ++round) {
    for (size_t s = 0; s < sizeof(sizes) / sizeof(sizes[0]); ++s) {
      uint32_t head = 0;
      body_fill(sizes[s], round);
      assert_true(rl_ring_write(&ring, &sizes[s], sizeof(sizes[s]), body, sizes[s]));
      assert_true(rl_ring_read(&ring, &head, sizeof(head)));
      assert_int_equal(head, sizes[s]);
      assert_true(rl_ring_read(&ring, got, head));
      assert_memory_equal(got, body, head);
      assert_false(rl_ring_read(&ring, got, 1));
    }
  }
}

/* Wherever a message begins, and where the counters overflow. */
static void
a_message_that_wraps_round_is_whole(void **state)
{
  static const uint32_t begins[] = {RL_RING_SIZE - 9, UINT32_MAX - 9,
                                    UINT32_MAX - RL_RING_SIZE - 9};
  (void)state;
  for (size_t b = 0; b < sizeof(begins) / sizeof(begins[0]); ++b) {
    for (uint32_t by = 0; by < 20; ++by) {
      uint64_t head = 0x0123456789ABCDEFU, head_got = 0;
      ring_begin(begins[b] + by);
      body_fill(13, by);
      assert_true(rl_ring_write(&ring, &head, sizeof(head), body, 13));
      assert_true(rl_ring_read(&ring, &head_got, sizeof(head_got)));
      assert_true(rl_ring_read(&ring, got, 13));
      assert_true(head_got == head);
      assert_memory_equal(got, body, 13);
    }
  }
}

static void
what_does_not_fit_is_refused_and_nothing_of_it_is_written(void **state)
{
  const uint32_t head = 7;
  uint32_t       head_got;
  (void)state;
  ring_begin(UINT32_MAX - 100);
  assert_false(rl_ring_write(&ring, &head, sizeof(head), body, RL_RING_SIZE - 3));
  assert_false(rl_ring_read(&ring, got, 1));
  assert_true(rl_ring_write(&ring, &head, sizeof(head), body, RL_RING_SIZE - 4)); /* to the brim */
  assert_false(rl_ring_write(&ring, body, 1, NULL, 0));
  assert_true(rl_ring_write(&ring, body, 0, NULL, 0));
  assert_true(rl_ring_read(&ring, &head_got, sizeof(head_got)));
  assert_false(rl_ring_write(&ring, body, 5, NULL, 0));
  assert_true(rl_ring_write(&ring, &head, sizeof(head), NULL, 0));
  assert_true(rl_ring_read(&ring, got, RL_RING_SIZE - 4));
  assert_true(rl_ring_read(&ring, &head_got, sizeof(head_got)));
  assert_int_equal(head_got, head);
  assert_false(rl_ring_read(&ring, &head_got, 1));
}

static void
less_than_was_asked_for_is_not_read(void **state)
{
  (void)state;
  ring_begin(0);
  body_fill(8, 1);
  assert_true(rl_ring_write(&ring, body, 8, NULL, 0));
  assert_false(rl_ring_read(&ring, got, 9));
  assert_true(rl_ring_read(&ring, got, 8));
  assert_memory_equal(got, body, 8);
}

/* ---- two threads ---- */

enum { MESSAGES = 200000 };

static void *
write_all(void *const data)
{
  static char text[600];
  (void)data;
  for (uint32_t i = 0; i < MESSAGES; ++i) {
    const uint32_t head[2] = {i, i * 7919 % sizeof(text)};
    memset(text, (int)(i & 0xFFU), head[1]);
    while (!rl_ring_write(&ring, head, sizeof(head), text, head[1])) {
    }
  }
  return NULL;
}

static void
two_threads_never_see_half_a_message(void **state)
{
  pthread_t thread;
  uint32_t  head[2];
  (void)state;
  ring_begin(UINT32_MAX - 12345);
  assert_int_equal(pthread_create(&thread, NULL, write_all, NULL), 0);
  for (uint32_t i = 0; i < MESSAGES; ++i) {
    while (!rl_ring_read(&ring, head, sizeof(head))) {
    }
    assert_int_equal(head[0], i);
    assert_true(rl_ring_read(&ring, got, head[1])); /* committed whole: there without waiting */
    for (uint32_t k = 0; k < head[1]; ++k) {
      if ((unsigned char)got[k] != (i & 0xFFU)) {
        fail_msg("message %u, byte %u", i, k);
      }
    }
  }
  pthread_join(thread, NULL);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(messages_of_any_size_come_out_as_they_went_in),
    cmocka_unit_test(a_message_that_wraps_round_is_whole),
    cmocka_unit_test(what_does_not_fit_is_refused_and_nothing_of_it_is_written),
    cmocka_unit_test(less_than_was_asked_for_is_not_read),
    cmocka_unit_test(two_threads_never_see_half_a_message),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
