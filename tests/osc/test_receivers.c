/* SPDX-License-Identifier: ISC */
/* Receivers that are there, are not, come late, take long. Source: plugin/OSC.md. Names are
   looked up by a stand-in here (getaddrinfo() below): no test needs a network but loopback. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include "listening.h"

#include <dirent.h>
#include <dlfcn.h>
#include <malloc.h>
#include <netdb.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* ---- names ---- */

static atomic_int  names_asked;
static atomic_int  slow_takes = 3; /* seconds */
static atomic_int  slow_found;     /* how often the wait for a slow one has ended */
static atomic_bool come_back;      /* now `later.invalid` is known */

#define SAME_NAME(a, b) (!strcmp((a), (b)))

int __attribute__((visibility("default")))
getaddrinfo(const char *const node, const char *const service, const struct addrinfo *const hints,
            struct addrinfo **const found)
{
  int (*real)(const char *, const char *, const struct addrinfo *, struct addrinfo **);
  *(void **)&real = dlsym(RTLD_NEXT, "getaddrinfo");
  if (hints->ai_flags & AI_NUMERICHOST) {
    return real(node, service, hints, found);
  }
  ++names_asked;
  if (SAME_NAME(node, "slow.invalid") || SAME_NAME(node, "never.invalid")) {
    sleep(SAME_NAME(node, "slow.invalid") ? (unsigned)slow_takes : 20);
    ++slow_found;
  }
  const bool known = SAME_NAME(node, "slow.invalid") || SAME_NAME(node, "good.invalid") ||
                     (SAME_NAME(node, "later.invalid") && come_back);
  return known ? real("127.0.0.1", service, hints, found) : EAI_NONAME;
}

/* ---- receivers ---- */

/* The problem as it stands, after real time enough for what happens in the background. */
static void
wait_for_problem(Show *const s, const char *const part, const bool there)
{
  const struct timespec pause = {0, 20000000};
  for (int i = 0; i < 600; ++i) {
    rl_host_send_get(s->scene.host, 0, "urn:reedlamp:problem");
    play(s, RATE / 50);
    const char *const told = scene_told(&s->scene, "problem");
    if (told && (strstr(told, part) != NULL) == there) {
      return;
    }
    nanosleep(&pause, NULL);
  }
  fail_msg("the problem: %s", scene_told(&s->scene, "problem"));
}

static void
one_receiver_s_troubles_are_told_and_are_none_of_the_others_(void **state)
{
  Show s;
  Ear  deaf;
  char list[256];
  (void)state;
  show_open(&s);
  ear_open(&deaf, "127.0.0.1");
  const unsigned port = deaf.port;
  ear_close(&deaf);
  snprintf(list, sizeof(list),
           "127.0.0.1:%u gone.invalid:9911 240.0.0.1:9 [::ffff:0:1]:9 later.invalid:%u 127.0.0.1",
           port, s.ear.port);
  osc_to(&s.scene, list, s.ear.port);
  play(&s, 4 * BLOCK);
  check_full(&s.ear, (RlHarpChoice){0});
  snprintf(
    list, sizeof(list),
    "osc_to: 127.0.0.1:%u: nothing is listening there; start reedlamp-page, or switch phones off",
    port);
  wait_for_problem(&s, list, true);
  wait_for_problem(&s, "osc_to: gone.invalid:9911: no such host name", true);
  assert_true(ear_count(&s.ear, "/reedlamp/place") > 0);
  come_back          = true; /* the name is known now: within some seconds it is sent to as well */
  const time_t start = time(NULL);
  do {
    ear_forget(&s.ear);
    play(&s, RATE);
    nanosleep(&(struct timespec){0, 50000000}, NULL);
  } while (ear_count(&s.ear, "/reedlamp/place") < 4 && time(NULL) < start + 10);
  assert_true(ear_count(&s.ear, "/reedlamp/place") >= 4);
  osc_to(&s.scene, "127.0.0.1", s.ear.port);
  wait_for_problem(&s, "osc_to", false);
  TEXT(scene_ask(&s.scene, "problem"), "");
  show_end(&s);
}

static void
a_receiver_that_comes_up_is_a_problem_no_more(void **state)
{
  Show s;
  Ear  late;
  (void)state;
  show_open(&s);
  ear_close(&s.ear);
  wait_for_problem(&s, "nothing is listening there", true);
  ear_open(&late, "127.0.0.1");
  osc_to(&s.scene, "127.0.0.1", late.port);
  s.ear = late;
  wait_for_problem(&s, "nothing is listening there", false);
  show_end(&s);
}

static double
seconds(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void
a_name_that_takes_long_holds_nobody_up(void **state)
{
  Show s;
  (void)state;
  slow_takes = 20;
  show_open(&s);
  osc_to(&s.scene, "never.invalid:9 slow.invalid", s.ear.port);
  play(&s, BLOCK);
  osc_to(&s.scene, "never.invalid:9 127.0.0.1", s.ear.port);
  play(&s, 4 * BLOCK);
  assert_true(ear_count(&s.ear, "/reedlamp/chart") >= 1);
  free(rl_host_save(s.scene.host));
  scene_chart(&s.scene, "| I7 | IV7 |");
  TEXT(scene_ask(&s.scene, "problem"), "");
  show_end(&s);
  assert_int_equal(slow_found, 0); /* not even the end waits */
  slow_takes         = 3;
  const double start = seconds();
  show_open(&s);
  osc_to(&s.scene, "slow.invalid", s.ear.port);
  while (!ear_count(&s.ear, "/reedlamp/chart") && seconds() < start + 10) {
    play(&s, RATE / 50);
    nanosleep(&(struct timespec){0, 20000000}, NULL);
  }
  assert_true(ear_count(&s.ear, "/reedlamp/chart") >= 1); /* and at last it is sent to */
  show_end(&s);
}

static void
another_address_is_told_everything_and_the_old_one_that_it_is_over(void **state)
{
  Show s;
  Ear  other;
  (void)state;
  show_open(&s);
  ear_open(&other, "127.0.0.1");
  osc_to(&s.scene, "127.0.0.1", other.port);
  play(&s, 2 * BLOCK);
  ear_hear(&other);
  check_last(&s);
  check_full(&other, (RlHarpChoice){0});
  play(&s, REPEAT);
  assert_int_equal(s.ear.packets, 0);
  ear_close(&other);
  show_end(&s);
}

static void
a_restored_session_is_told_to_its_own_receivers(void **state)
{
  Show s;
  Ear  other;
  char address[32];
  (void)state;
  show_open(&s);
  char *const session = rl_host_save(s.scene.host);
  ear_open(&other, "127.0.0.1");
  snprintf(address, sizeof(address), "127.0.0.1:%u", other.port);
  scene_send(&s.scene, 0, "osc_to", address);
  scene_send(&s.scene, 0, "chart", "| I7 | ii7 |");
  play(&s, 2 * BLOCK);
  ear_forget(&s.ear);
  assert_true(rl_host_restore(s.scene.host, session));
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, 3 * BLOCK);
  HAS(ear_last(&s.ear, "/reedlamp/chart"), "title: Twelve-bar");
  assert_true(ear_count(&s.ear, "/reedlamp/lamp/") > 20);
  free(session);
  ear_close(&other);
  show_end(&s);
}

static void
a_broadcast_address_works(void **state)
{
  Show s;
  (void)state;
  scene_begin(&s.scene);
  ear_open(&s.ear, "127.255.255.255"); /* of the loopback network: nothing leaves the machine */
  osc_to(&s.scene, "127.255.255.255", s.ear.port);
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, 4 * BLOCK);
  assert_true(ear_count(&s.ear, "/reedlamp/chart") >= 1);
  TEXT(scene_ask(&s.scene, "problem"), "");
  show_end(&s);
}

static void
more_receivers_than_there_is_room_for_is_said(void **state)
{
  Show s;
  char list[1024];
  int  used = 0;
  (void)state;
  show_open(&s);
  for (int i = 0; i < 33; ++i) {
    used += snprintf(list + used, sizeof(list) - (size_t)used, "127.0.0.1:%u ",
                     i ? 20000U + (unsigned)i : s.ear.port);
  }
  scene_send(&s.scene, 0, "osc_to", list);
  play(&s, 4 * BLOCK);
  check_full(&s.ear, (RlHarpChoice){0});
  HAS(scene_ask(&s.scene, "problem"), "more than 32 addresses");
  show_end(&s);
}

/* ---- many ---- */

static int
open_files(void)
{
  DIR *const folder = opendir("/proc/self/fd");
  int        files  = 0;
  assert_non_null(folder);
  while (readdir(folder)) {
    ++files;
  }
  closedir(folder);
  return files;
}

static void
a_thousand_instances_leave_nothing_behind(void **state)
{
  const int some  = getenv("REEDLAMP_FEW") ? 20 : 1000;
  size_t    held  = 0;
  int       files = 0;
  (void)state;
  for (int i = 0; i < some; ++i) {
    Show s;
    if (i == some / 2) { /* the system has its own rooms by then, a heap for each thread too */
      held  = mallinfo2().uordblks;
      files = open_files();
    }
    show_open(&s);
    osc_to(&s.scene, "good.invalid", s.ear.port);
    play(&s, 2 * BLOCK);
    show_end(&s);
  }
  nanosleep(&(struct timespec){0, 300000000}, NULL);
  assert_in_range(open_files(), files - 1, files);
  const size_t now = mallinfo2().uordblks;
  print_message("%d instances: %zu bytes held after half of them, %zu after all\n", some, held,
                now);
  assert_true(now < held + 64 * 1024);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(one_receiver_s_troubles_are_told_and_are_none_of_the_others_),
    cmocka_unit_test(a_receiver_that_comes_up_is_a_problem_no_more),
    cmocka_unit_test(a_name_that_takes_long_holds_nobody_up),
    cmocka_unit_test(another_address_is_told_everything_and_the_old_one_that_it_is_over),
    cmocka_unit_test(a_restored_session_is_told_to_its_own_receivers),
    cmocka_unit_test(a_broadcast_address_works),
    cmocka_unit_test(more_receivers_than_there_is_room_for_is_said),
    cmocka_unit_test(a_thousand_instances_leave_nothing_behind),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
