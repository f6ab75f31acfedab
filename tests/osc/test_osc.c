/* What OSC receivers hear of the plugin. Sources: CONTRACT.md section 8; OSC 1.0 (ear.c). Names are
   looked up by a stand-in here (getaddrinfo() below): no test needs a network but loopback. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include "../plugin/scene.h"
#include "ear.h"
#include "lamps.h"

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

enum { BLOCK = 256, REPEAT = 2 * RATE };

/* ---- names ---- */

static atomic_int  names_asked;
static atomic_bool come_back; /* now `later.invalid` is known */

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
  if (SAME_NAME(node, "slow.invalid")) {
    sleep(3);
  }
  if (SAME_NAME(node, "never.invalid")) {
    sleep(20);
  }
  const bool known = SAME_NAME(node, "slow.invalid") || SAME_NAME(node, "good.invalid") ||
                     (SAME_NAME(node, "later.invalid") && come_back);
  return known ? real("127.0.0.1", service, hints, found) : EAI_NONAME;
}

/* ---- a scene with an ear ---- */

typedef struct {
  Scene scene;
  Ear   ear;
} Show;

static void
osc_to(Scene *const s, const char *const before, const unsigned port)
{
  char text[1024];
  snprintf(text, sizeof(text), "%s:%u", before, port);
  scene_send(s, 0, "osc_to", text);
}

static void
play(Show *const s, const int64_t frames)
{
  for (int64_t left = frames; left > 0; left -= BLOCK) {
    scene_run(&s->scene, left < BLOCK ? (uint32_t)left : BLOCK);
    ear_hear(&s->ear);
  }
}

/* Rolling from bar 1 at 120, 4/4; nothing is sent yet. */
static void
show_begin(Show *const s)
{
  scene_begin(&s->scene);
  ear_open(&s->ear, "127.0.0.1");
  osc_to(&s->scene, "127.0.0.1", s->ear.port);
  const Report report = rolling_at(0, 0);
  scene_report(&s->scene, 0, &report);
  play(s, BLOCK);
  assert_int_equal(s->ear.packets, 0);
}

/* Goes on the air. */
static void
show_open(Show *const s)
{
  show_begin(s);
  rl_host_set(s->scene.host, "send_osc", 1);
  play(s, 2 * BLOCK);
  assert_true(ear_count(&s->ear, "/reedlamp/lamp/") > 0);
  ear_forget(&s->ear);
}

static void
show_end(Show *const s)
{
  scene_end(&s->scene);
  ear_close(&s->ear);
}

static int
notes_of(const RlHarp *const harp)
{
  int notes = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    notes += harp->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES] > 0;
  }
  return notes;
}

static size_t
different_tags(const Ear *const ear)
{
  size_t tags = 0;
  for (size_t i = 0; i < ear->count; ++i) {
    tags += i == 0 || ear->heard[i].when != ear->heard[i - 1].when;
  }
  return tags;
}

/* Everything there is, once, at one instant. */
static void
check_full(const Ear *const ear, const RlHarpChoice choice)
{
  static const char *const once[] = {"/reedlamp/transport", "/reedlamp/place", "/reedlamp/chord",
                                     "/reedlamp/target",    "/reedlamp/harp",  "/reedlamp/chart"};
  const RlHarp             harp   = rl_harp_make(choice);
  for (size_t i = 0; i < sizeof(once) / sizeof(once[0]); ++i) {
    assert_int_equal(ear_count(ear, once[i]), 1);
  }
  assert_int_equal(ear_count(ear, "/reedlamp/lamp/"), notes_of(&harp));
  assert_int_equal(different_tags(ear), 1);
}

static const char *
lamp_heard(const Ear *const ear, const int hole, const RlTechnique technique)
{
  char path[64];
  snprintf(path, sizeof(path), "/reedlamp/lamp/%d/%s", hole, rl_technique_name(technique));
  return ear_last(ear, path);
}

/* The lamps heard are those of core, all of them. */
static void
check_lamps(const Ear *const ear, const RlHarpChoice choice, const RlPlayer player,
            const char *const symbol, const RlKey key)
{
  const RlHarp harp = rl_harp_make(choice);
  RlChord      chord;
  char         want[128];
  assert_int_equal(rl_chord_read(rl_slice(symbol), &chord), RL_CHORD_OK);
  const RlHarmony now   = rl_harmony_of(chord, key);
  const RlLamps   lamps = rl_lamps_light(&harp, player, &now, key);
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlLamp *const l = &lamps.lamp[hole][how];
      if (l->note) {
        snprintf(want, sizeof(want), "%.6g \"%s\" \"%s\" %d %d", (double)l->worth.brightness,
                 rl_role_name(l->worth.role), rl_degree_name(l->worth.degree), l->note,
                 l->worth.blue);
        TEXT(lamp_heard(ear, hole + 1, (RlTechnique)how), want);
      }
    }
  }
}

/* ---- what is sent ---- */

static void
everything_is_sent_when_it_is_switched_on(void **state)
{
  Show s;
  (void)state;
  show_begin(&s);
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, BLOCK);
  check_full(&s.ear, (RlHarpChoice){0});
  TEXT(ear_last(&s.ear, "/reedlamp/transport"), "1 120 4 4");
  HAS(ear_last(&s.ear, "/reedlamp/place"), "1 1 12 1.0");
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"G7\" \"C7\" \"I7\" \"IV7\" 15.9");
  HAS(ear_last(&s.ear, "/reedlamp/target"), "7 \"blow\" \"R\" 84 15.9");
  TEXT(ear_last(&s.ear, "/reedlamp/harp"), "\"C\" \"Richter\" 2 \"G\"");
  HAS(ear_last(&s.ear, "/reedlamp/chart"), "1 1 \"title: Twelve-bar\n");
  check_lamps(&s.ear, (RlHarpChoice){0}, (RlPlayer){3, 3, false}, "I7", rl_key_named(7, false));
  show_end(&s);
}

static void
only_what_changed_is_sent(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  play(&s, RATE / 2 - 3 * BLOCK - BLOCK); /* up to a block before the second beat */
  assert_int_equal(s.ear.packets, 0);
  play(&s, 2 * BLOCK);
  assert_int_equal(s.ear.count, 1); /* the beat */
  TEXT(ear_last(&s.ear, "/reedlamp/place"), "1 1 12 2 1");
  const Report report = rolling_at(3, 3.5); /* half a beat before the next chord */
  scene_report(&s.scene, 0, &report);
  play(&s, BLOCK);
  ear_forget(&s.ear);
  play(&s, RATE / 2); /* well before the repeat */
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chord"), 1);
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"C7\" \"G7\" \"IV7\" \"I7\" 8");
  assert_int_equal(ear_count(&s.ear, "/reedlamp/target"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 0);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/harp"), 0);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/transport"), 0);
  assert_in_range(ear_count(&s.ear, "/reedlamp/lamp/"), 10, 42); /* their degrees are others now */
  assert_int_equal(different_tags(&s.ear), 1);
  show_end(&s);
}

static void
a_jump_within_one_chord_tells_the_new_countdown(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  const Report report = rolling_at(2, 0);
  scene_report(&s.scene, 0, &report);
  play(&s, BLOCK);
  HAS(ear_last(&s.ear, "/reedlamp/place"), "1 3 12 1");
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"G7\" \"C7\" \"I7\" \"IV7\" 8");
  show_end(&s);
}

static void
everything_comes_again_every_two_seconds_stopped_or_not(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  for (int stopped = 0; stopped < 2; ++stopped) {
    const Report report = parked_at(1, 0);
    if (stopped) {
      scene_report(&s.scene, 0, &report);
      play(&s, BLOCK);
      TEXT(ear_last(&s.ear, "/reedlamp/transport"), "0 120 4 4");
      TEXT(ear_last(&s.ear, "/reedlamp/place"), "1 2 12 1 1");
    }
    ear_forget(&s.ear);
    play(&s, 5 * (int64_t)REPEAT);
    assert_in_range(ear_count(&s.ear, "/reedlamp/chart"), 4, 5);
    assert_int_equal(ear_count(&s.ear, "/reedlamp/harp"), ear_count(&s.ear, "/reedlamp/chart"));
  }
  assert_int_equal(ear_count(&s.ear, "/reedlamp/place"), ear_count(&s.ear, "/reedlamp/chart"));
  show_end(&s);
}

static void
another_harp_is_told_and_what_it_does_not_have_goes_off_once(void **state)
{
  const RlHarpChoice richter = {0}, solo = {5, 1, RL_SOLO};
  const RlHarp       had = rl_harp_make(richter), has = rl_harp_make(solo);
  Show               s;
  (void)state;
  show_open(&s);
  rl_host_set(s.scene.host, "harp_key", 5);
  rl_host_set(s.scene.host, "harp_register", 1);
  rl_host_set(s.scene.host, "tuning", RL_SOLO);
  play(&s, 4 * BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/harp"), "\"F\" \"solo\" 3 \"G\"");
  check_lamps(&s.ear, solo, (RlPlayer){3, 3, false}, "I7", rl_key_named(7, false));
  int gone = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const int hole = i / RL_TECHNIQUES;
    const int how  = i % RL_TECHNIQUES;
    if (had.note[hole][how] && !has.note[hole][how]) {
      TEXT(lamp_heard(&s.ear, hole + 1, (RlTechnique)how), "0 \"off\" \"\" 0 0");
      ++gone;
    }
  }
  assert_true(gone > 3);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/place"), 0); /* nobody moved */
  ear_forget(&s.ear);
  play(&s, REPEAT);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/lamp/"), notes_of(&has)); /* once is enough */
  show_end(&s);
}

/* ---- on and off ---- */

static void
check_last(Show *const s)
{
  const RlHarp harp = rl_harp_make((RlHarpChoice){0});
  assert_int_equal(ear_count(&s->ear, "/reedlamp/transport"), 1);
  TEXT(ear_last(&s->ear, "/reedlamp/transport"), "0 120 4 4");
  assert_int_equal(ear_count(&s->ear, "/reedlamp/lamp/"), notes_of(&harp));
  assert_int_equal(s->ear.count, 1 + (size_t)notes_of(&harp));
  assert_int_equal(different_tags(&s->ear), 1);
  for (size_t i = 1; i < s->ear.count; ++i) {
    assert_int_equal(strncmp(s->ear.heard[i].words, "0 \"off\" \"\" ", 11), 0);
  }
  ear_forget(&s->ear);
}

static void
switched_off_or_disabled_the_lamps_go_out_and_then_there_is_silence(void **state)
{
  static const char *const ports[] = {"send_osc", "enabled"};
  Show                     s;
  (void)state;
  show_open(&s);
  for (int i = 0; i < 2; ++i) {
    rl_host_set(s.scene.host, ports[i], 0);
    play(&s, BLOCK);
    check_last(&s);
    play(&s, 2 * (int64_t)REPEAT);
    assert_int_equal(s.ear.packets, 0);
    rl_host_set(s.scene.host, ports[i], 1);
    play(&s, BLOCK);
    check_full(&s.ear, (RlHarpChoice){0});
    ear_forget(&s.ear);
  }
  show_end(&s);
}

static void
the_end_of_the_plugin_puts_the_lamps_out(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  rl_host_deactivate(s.scene.host);
  ear_hear(&s.ear);
  check_last(&s);
  rl_host_activate(s.scene.host);
  play(&s, BLOCK);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 1);
  ear_forget(&s.ear);
  scene_end(&s.scene);
  ear_hear(&s.ear);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/transport"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/lamp/1/blow"), 1);
  ear_close(&s.ear);
}

static void
nothing_is_sent_while_freewheeling(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  rl_host_set(s.scene.host, "freewheel", 1);
  play(&s, 2 * (int64_t)REPEAT);
  assert_int_equal(s.ear.packets, 0);
  rl_host_set(s.scene.host, "freewheel", 0);
  play(&s, BLOCK);
  check_full(&s.ear, (RlHarpChoice){0});
  ear_forget(&s.ear);
  rl_host_set(s.scene.host, "freewheel", 1);
  rl_host_set(s.scene.host, "enabled", 0);
  play(&s, REPEAT);
  assert_int_equal(s.ear.packets, 0);
  rl_host_set(s.scene.host, "freewheel", 0);
  play(&s, BLOCK);
  check_last(&s);
  show_end(&s);
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
  snprintf(list, sizeof(list), "osc_to: 127.0.0.1:%u: nobody listens there", port);
  wait_for_problem(&s, list, true);
  wait_for_problem(&s, "osc_to: gone.invalid:9911: no such name", true);
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
  wait_for_problem(&s, "nobody listens there", true);
  ear_open(&late, "127.0.0.1");
  osc_to(&s.scene, "127.0.0.1", late.port);
  s.ear = late;
  wait_for_problem(&s, "nobody listens there", false);
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
  Show   s;
  double start = seconds();
  (void)state;
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
  assert_true(seconds() - start < 2); /* not even the end waits */
  start = seconds();
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

/* ---- large and many ---- */

static void
the_largest_things_fit_into_bundles_of_1400_bytes(void **state)
{
  static char chart[16385], joined[16385];
  Show        s;
  int         used = snprintf(chart, sizeof(chart),
                              "key: Gm\nmeter: 8/4\n"
                                      "| Db9sus4/Ab Gbm7b5/Db AbmMaj7/Eb Ebmaj13/Bb F#7alt/C# Dbm7b5/Ab "
                                      "Bb9sus4/F C#mMaj7/G# |\n# ");
  (void)state;
  while (used < 16382) { /* in characters of two bytes */
    used += snprintf(chart + used, sizeof(chart) - (size_t)used, "\xc3\xb8");
  }
  show_open(&s);
  scene_chart(&s.scene, chart);
  rl_host_set(s.scene.host, "overblows", 1);
  ear_forget(&s.ear);
  play(&s, 2 * (int64_t)REPEAT);
  assert_true(s.ear.largest > 1300 && s.ear.largest <= 1400);
  size_t at = 0;
  int    n  = 1;
  for (size_t i = 0; i < s.ear.count && at < strlen(chart); ++i) {
    int part, parts, head = 0;
    if (strcmp(s.ear.heard[i].path, "/reedlamp/chart")) {
      continue;
    }
    assert_int_equal(sscanf(s.ear.heard[i].words, "%d %d \"%n", &part, &parts, &head), 2);
    assert_int_equal(part, n++);
    assert_in_range(parts, 12, 13);
    const char *const text = s.ear.heard[i].words + head;
    memcpy(joined + at, text, strlen(text) - 1);
    at += strlen(text) - 1;
  }
  assert_string_equal(joined, chart);
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "/");
  show_end(&s);
}

/* As a class has it: hours of beats, harps and charts; each packet is checked by the ear. */
static void
time_tags_never_run_backwards_and_all_is_in_order(void **state)
{
  Show     s;
  uint64_t before = 0;
  (void)state;
  show_open(&s);
  for (int i = 0; i < 60; ++i) {
    rl_host_set(s.scene.host, "harp_key", (float)(i % 12));
    rl_host_set(s.scene.host, "tuning", (float)(i % 6));
    rl_host_set(s.scene.host, "song_key", (float)(i % 13));
    play(&s, RATE);
    for (size_t n = 1; n < s.ear.count; ++n) { /* within a packet one, over packets ordered */
      assert_true(s.ear.heard[n].packet != s.ear.heard[n - 1].packet ||
                  s.ear.heard[n].when == s.ear.heard[n - 1].when);
    }
    assert_true(s.ear.heard[s.ear.count - 1].when > before);
    before = s.ear.heard[s.ear.count - 1].when - (UINT64_C(1) << 31); /* faster than real time */
    ear_forget(&s.ear);
  }
  show_end(&s);
}

static int
open_files(void)
{
  DIR *const folder = opendir("/proc/self/fd");
  int        files  = 0;
  while (folder && readdir(folder)) {
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
    if (i == some / 10) {
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
  assert_true(mallinfo2().uordblks < held + 64 * 1024);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(everything_is_sent_when_it_is_switched_on),
    cmocka_unit_test(only_what_changed_is_sent),
    cmocka_unit_test(a_jump_within_one_chord_tells_the_new_countdown),
    cmocka_unit_test(everything_comes_again_every_two_seconds_stopped_or_not),
    cmocka_unit_test(another_harp_is_told_and_what_it_does_not_have_goes_off_once),
    cmocka_unit_test(switched_off_or_disabled_the_lamps_go_out_and_then_there_is_silence),
    cmocka_unit_test(the_end_of_the_plugin_puts_the_lamps_out),
    cmocka_unit_test(nothing_is_sent_while_freewheeling),
    cmocka_unit_test(one_receiver_s_troubles_are_told_and_are_none_of_the_others_),
    cmocka_unit_test(a_receiver_that_comes_up_is_a_problem_no_more),
    cmocka_unit_test(a_name_that_takes_long_holds_nobody_up),
    cmocka_unit_test(another_address_is_told_everything_and_the_old_one_that_it_is_over),
    cmocka_unit_test(a_restored_session_is_told_to_its_own_receivers),
    cmocka_unit_test(a_broadcast_address_works),
    cmocka_unit_test(more_receivers_than_there_is_room_for_is_said),
    cmocka_unit_test(the_largest_things_fit_into_bundles_of_1400_bytes),
    cmocka_unit_test(time_tags_never_run_backwards_and_all_is_in_order),
    cmocka_unit_test(a_thousand_instances_leave_nothing_behind),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
