/* SPDX-License-Identifier: ISC */
/* The plan and the phrases on `midi_out`: on their bars, in time, in the choruses they are meant
   for, and no note hangs. Times are held against the exact ones of a transport that is written
   down here. */
#include "scene.h"

#include <lv2/atom/atom.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ON = 0x90, OFF = 0x80, BEAT = RATE / 2 /* frames at 120 */ };

static const char twelve[] = "key: G\nmeter: 4/4\n| I7 | % | % | % |\n| IV7 | % | I7 | % |\n"
                             "| V7 | IV7 | I7 | V7 |\n";

/* A phrase of four notes over D7, a triplet among them, and one with a pickup over G7. */
static const char plan[] = "bar 9: Down the Steps\n"
                           "bar 10: Down the Steps\n"
                           "bar 1: Tide Bell\n"
                           "bar 12 beat 3: Tide Bell, with the key, choruses 2 4\n"
                           "answer: 3 4\n"
                           "\n"
                           "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n"
                           "\n"
                           "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n";

static void
plan_set(Scene *const s, const char *const text)
{
  scene_send(s, 0, "plan", text);
  scene_settle(s);
}

static void
begin(Scene *const s)
{
  scene_begin(s);
  scene_chart(s, twelve);
  plan_set(s, plan);
}

/* ---- what sounds ---- */

typedef struct {
  double at, lasts; /* beats from bar 1 */
  int    note;
} Due;

/* From the plan by hand: the notes as they fall on a C harp (Down the Steps over D7 as it is, a
   tone lower over C7), and where. Tide Bell's pickup lies in the bar before. */
static const Due first[] = {
  {-1, 0.5, 67},
  {-0.5, 0.5, 69},
  {0, 1, 71},
  {1, 1, 74},
  {32, 1, 74},
  {33, 1.0 / 3, 73},
  {33 + 1.0 / 3, 1.0 / 3, 71},
  {33 + 2.0 / 3, 1.0 / 3, 69},
  {34, 1, 66},
  {35, 1, 62},
  {36, 1, 72},
  {37, 1.0 / 3, 71},
  {37 + 1.0 / 3, 1.0 / 3, 69},
  {37 + 2.0 / 3, 1.0 / 3, 67},
  {38, 1, 64},
  {39, 1, 60},
};

enum { FIRST = sizeof(first) / sizeof(first[0]) };

static const Due second[] = {{45, 0.5, 67}, {45.5, 0.5, 69}, {46, 1, 71}, {47, 1, 74}};

static const Midi *
find(const Scene *const s, const int status, const int note, const double frame)
{
  for (size_t i = 0; i < s->midis; ++i) {
    const Midi *const m = &s->midi[i];
    if (m->bytes[0] == status && m->bytes[1] == note && fabs((double)m->frame - frame) <= 1) {
      return m;
    }
  }
  return NULL;
}

static size_t
count(const Scene *const s, const int status)
{
  size_t n = 0;
  for (size_t i = 0; i < s->midis; ++i) {
    n += s->midi[i].bytes[0] == status;
  }
  return n;
}

/* How many notes sound after everything that was heard. */
static int
hanging(const Scene *const s)
{
  int sounding[128] = {0}, all = 0;
  for (size_t i = 0; i < s->midis; ++i) {
    const uint8_t note = s->midi[i].bytes[1];
    const bool    on   = s->midi[i].bytes[0] == ON;
    assert_true(on ? !sounding[note] : sounding[note]); /* on once, off once */
    sounding[note] = on;
  }
  for (int i = 0; i < 128; ++i) {
    all += sounding[i];
  }
  return all;
}

static void
phrases_sound_on_their_bars(void **state)
{
  static const uint32_t blocks[] = {64, 1000, 4096};
  (void)state;
  for (int b = 0; b < 3; ++b) {
    Scene        s;
    const Report report = rolling_at(-1, 0);
    begin(&s);
    scene_report(&s, 0, &report);
    scene_play(&s, (4 + 48 + 1) * (int64_t)BEAT, blocks[b]);
    for (int i = 0; i < FIRST; ++i) {
      const double at = (4 + first[i].at) * BEAT;
      assert_non_null(find(&s, ON, first[i].note, at));
      assert_non_null(find(&s, OFF, first[i].note, at + first[i].lasts * BEAT));
    }
    for (int i = 0; i < 4; ++i) { /* bar 12 beat 3 is of choruses 2 and 4, its pickup with it */
      assert_null(find(&s, ON, second[i].note, (4 + second[i].at) * BEAT));
    }
    assert_int_equal(count(&s, ON), FIRST + 2 + 1); /* and Tide Bell again, at bar 1 of chorus 2 */
    scene_end(&s);
  }
}

static void
some_sound_in_some_choruses(void **state)
{
  (void)state;
  for (int chorus = 1; chorus <= 5; ++chorus) {
    Scene        s;
    const Report report = rolling_at(12 * (chorus - 1) + 10, 0);
    begin(&s);
    scene_report(&s, 0, &report);
    scene_play(&s, 8 * (int64_t)BEAT, 512);
    const bool plays = chorus == 2 || chorus == 4;
    assert_true((find(&s, ON, 71, 6 * BEAT) != NULL) == plays);
    scene_end(&s);
  }
}

/* ---- a hundred choruses ---- */

static uint64_t chance_state = 9;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

/* Another tempo at every few bars, 60 to 240 in steps that a float holds; each told on its bar
   line, in whichever block that is. Every onset is within a frame of the exact time. */
static void
in_time_for_a_hundred_choruses(void **state)
{
  enum { BARS = 1200 };
  static double start[BARS + 1]; /* exact frames */
  static float  tempo[BARS];
  Scene         s;
  double        worst = 0;
  size_t        heard = 0;
  (void)state;
  begin(&s);
  for (int bar = 0; bar < BARS; ++bar) {
    tempo[bar]     = bar && chance(4) ? tempo[bar - 1] : (float)(60 + 4 * chance(46));
    start[bar + 1] = start[bar] + 4.0 * RATE * 60 / (double)tempo[bar];
  }
  int64_t now = 0;
  for (int bar = 0; bar < BARS; ++bar) {
    const int64_t line = (int64_t)ceil(start[bar]);
    const int64_t next = (int64_t)ceil(start[bar + 1]);
    Report report = rolling_at(bar, ((double)line - start[bar]) / 60 / RATE * (double)tempo[bar]);
    report.tempo  = (double)tempo[bar];
    report.frame  = line;
    assert_true(now == line);
    scene_report(&s, 0, &report);
    while (now < next) {
      const int     most  = 1 + chance(6000);
      const int64_t block = next - now < most ? next - now : most;
      scene_run(&s, (uint32_t)block);
      now += block;
    }
  }
  for (int chorus = 1; chorus <= 100; ++chorus) {
    for (int i = chorus == 1 ? 2 : 0; i < FIRST; ++i) {
      const double      beat  = 48.0 * (chorus - 1) + first[i].at;
      const int         bar   = (int)floor(beat / 4);
      const double      exact = start[bar] + (beat - 4 * bar) / 4 * (start[bar + 1] - start[bar]);
      const Midi *const m     = find(&s, ON, first[i].note, exact);
      if (!m) {
        print_error("chorus %d, note %d at beat %g\n", chorus, i, first[i].at);
      }
      assert_non_null(m);
      worst = fmax(worst, fabs((double)m->frame - exact));
      ++heard;
    }
  }
  print_message("%zu onsets, the worst %.2f frames off\n", heard, worst);
  assert_true(worst <= 1);
  scene_end(&s);
}

/* ---- nothing hangs ---- */

static void
stop(Scene *const s, int *const bar)
{
  Report report = rolling_at(*bar, chance(4));
  report.speed  = 0;
  scene_report(s, 0, &report);
}

static void
leap(Scene *const s, int *const bar)
{
  *bar          = chance(30) - 2;
  Report report = rolling_at(*bar, chance(4000) / 1000.0);
  report.tempo  = 60 + chance(200);
  scene_report(s, 0, &report);
}

static void
backwards(Scene *const s, int *const bar)
{
  Report report = rolling_at(*bar, chance(4));
  report.speed  = -1;
  scene_report(s, 0, &report);
}

static void
disable(Scene *const s, int *const bar)
{
  (void)bar;
  rl_host_set(s->host, "enabled", (float)chance(2));
}

static void
other_harp(Scene *const s, int *const bar)
{
  (void)bar;
  rl_host_set(s->host, "harp_key", (float)chance(12));
}

static void
other_plan(Scene *const s, int *const bar)
{
  static const char *const plans[] = {plan, "", "bar 1: none\n", plan};
  (void)bar;
  scene_send(s, 0, "plan", plans[chance(4)]);
}

static void
other_chart(Scene *const s, int *const bar)
{
  static const char *const charts[] = {
    twelve, "key: C\n| I7 | IV7 |\n",
    "meter: 3/4\nlead-in: 2 from 1\nchoruses: 2\n| G7 | C7 | D7 |\n"};
  (void)bar;
  scene_send(s, 0, "chart", charts[chance(3)]);
}

/* Ten thousand of them; now and then everything stops, and then nothing may sound. */
static void
no_note_hangs(void **state)
{
  static void (*const deeds[])(Scene *, int *) = {
    stop, leap, leap, leap, leap, disable, other_harp, other_plan, leap, other_chart, backwards};
  Scene s;
  int   bar = 0;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "enabled", 1);
  for (int i = 0; i < 10000; ++i) {
    deeds[chance((int)(sizeof(deeds) / sizeof(deeds[0])))](&s, &bar);
    scene_play(&s, chance(3) ? chance(2 * RATE) : chance(300), (uint32_t)(1 + chance(5000)));
    if (i % 20 == 19) {
      if (chance(2)) {
        stop(&s, &bar);
      } else {
        rl_host_set(s.host, "enabled", 0);
      }
      scene_run(&s, 64);
      scene_run(&s, 64);
      assert_int_equal(hanging(&s), 0);
      rl_host_set(s.host, "enabled", 1);
      scene_forget(&s);
    }
  }
  scene_end(&s);
}

/* A narrow port: what was begun is ended as soon as there is room. */
static void
without_room_nothing_hangs(void **state)
{
  static union {
    LV2_Atom atom;
    uint8_t  bytes[4096];
  } room;
  Scene s;
  (void)state;
  for (uint32_t bytes = 0; bytes < 160; bytes += 8) {
    const Report report = rolling_at(8, 0);
    Report       stop   = report;
    stop.speed          = 0;
    begin(&s);
    rl_host_connect(s.host, "midi_out", &room, bytes);
    scene_report(&s, 0, &report);
    scene_play(&s, 3 * (int64_t)BEAT, 4096);
    scene_report(&s, 0, &stop);
    for (int i = 0; i < 8; ++i) {
      scene_run(&s, 64);
    }
    assert_int_equal(hanging(&s), 0);
    scene_end(&s);
  }
}

/* ---- the property ---- */

static void
a_wrong_plan_changes_nothing_and_is_named(void **state)
{
  Scene        s;
  const Report report = rolling_at(8, 0);
  (void)state;
  begin(&s);
  scene_send(&s, 0, "plan", "bar 9: Fog Signal\n");
  scene_run(&s, 16);
  scene_run(&s, 16);
  TEXT(scene_ask(&s, "problem"),
       "plan: line 1: no phrase \"Fog Signal\" stands below; put it there in ABC, from X: on; "
       "plan: bar "
       "12 beat 3: Tide Bell is cut short by bar 1: Tide Bell"); /* that of the plan in force */
  TEXT(scene_ask(&s, "plan"), plan);
  scene_forget(&s);
  scene_report(&s, 0, &report);
  scene_play(&s, BEAT, 256);
  assert_non_null(find(&s, ON, 74, 0));
  scene_send(&s, 0, "chart", "key: G\n| I7 | IV7 |\n");
  scene_settle(&s);
  HAS(scene_ask(&s, "problem"), "of its phrases stand on bars");
  scene_end(&s);
}

static void
a_session_brings_plan_and_phrases_back(void **state)
{
  Scene s, t;
  (void)state;
  begin(&s);
  char *const saved = rl_host_save(s.host);
  scene_end(&s);
  scene_begin(&t);
  assert_true(rl_host_restore(t.host, saved));
  scene_settle(&t);
  TEXT(scene_ask(&t, "plan"), plan);
  const Report report = rolling_at(8, 0);
  scene_forget(&t);
  scene_report(&t, 0, &report);
  scene_play(&t, BEAT, 256);
  assert_non_null(find(&t, ON, 74, 0));
  scene_end(&t);
  free(saved);
}

/* ---- what comes in goes out as long as nothing is planned ---- */

static void
send(Scene *const s, const char *const port, const int64_t at, const int status, const int a,
     const int b)
{
  const uint8_t bytes[] = {(uint8_t)status, (uint8_t)a, (uint8_t)b};
  rl_host_send_midi(s->host, port, at, bytes);
}

static bool
went(const Scene *const s, const size_t i, const int64_t frame, const int status, const int a,
     const int b)
{
  const Midi *const m = &s->midi[i];
  return i < s->midis && m->frame == frame && m->bytes[0] == status && m->bytes[1] == a &&
         m->bytes[2] == b;
}

static void
without_a_plan_midi_passes_once_at_its_frame(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_forget(&s);
  send(&s, "midi_in", 3, ON, 60, 101);
  send(&s, "control", 4, ON, 50, 99); /* the transport's port: heard, not passed */
  send(&s, "midi_in", 5, 0xB2, 64, 127);
  send(&s, "midi_in", 5, 0xE0, 1, 2);
  send(&s, "midi_in", 900, OFF, 60, 7); /* past the end: on the last frame */
  scene_run(&s, 256);
  assert_int_equal(s.midis, 4);
  assert_true(went(&s, 0, 3, ON, 60, 101) && went(&s, 1, 5, 0xB2, 64, 127) &&
              went(&s, 2, 5, 0xE0, 1, 2) && went(&s, 3, 255, OFF, 60, 7));
  scene_run(&s, 256);
  assert_int_equal(s.midis, 4);
  scene_end(&s);
}

static void
foot_switches_do_not_pass(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_forget(&s);
  for (int cc = 78; cc < 90; ++cc) {
    send(&s, "midi_in", 0, 0xB0, cc, 127);
    send(&s, "midi_in", 1, 0xB0, cc, 0);
    scene_run(&s, 16);
  }
  assert_true(s.midis >= 8 && s.midis % 2 == 0);
  for (size_t i = 0; i < s.midis; ++i) {
    const int cc = s.midi[i].bytes[1];
    assert_false((cc >= 80 && cc <= 83) || cc == 85 || cc == 86);
  }
  scene_end(&s);
}

/* The plan comes while a key is down, and goes while another is. */
static void
with_a_plan_only_ends_pass(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, twelve);
  scene_forget(&s);
  send(&s, "midi_in", 0, ON, 60, 100);
  send(&s, "midi_in", 0, ON, 64, 100);
  send(&s, "midi_in", 0, 0xB0, 64, 127);
  scene_run(&s, 16);
  assert_int_equal(s.midis, 3);
  scene_send(&s, 0, "plan", plan);
  scene_settle(&s);
  scene_forget(&s);
  send(&s, "midi_in", 1, ON, 72, 100);   /* no */
  send(&s, "midi_in", 2, OFF, 60, 0);    /* the end of what passed */
  send(&s, "midi_in", 3, ON, 64, 0);     /* the same, the other way */
  send(&s, "midi_in", 4, OFF, 64, 0);    /* no: it has ended */
  send(&s, "midi_in", 5, OFF, 72, 0);    /* no: it never began */
  send(&s, "midi_in", 6, 0xB0, 64, 0);   /* the pedal goes up */
  send(&s, "midi_in", 7, 0xB0, 64, 100); /* no */
  send(&s, "midi_in", 8, 0xB0, 123, 0);  /* all notes off */
  scene_run(&s, 16);
  assert_int_equal(s.midis, 4);
  assert_true(went(&s, 0, 2, OFF, 60, 0) && went(&s, 1, 3, ON, 64, 0) &&
              went(&s, 2, 6, 0xB0, 64, 0) && went(&s, 3, 8, 0xB0, 123, 0));
  plan_set(&s, "");
  scene_forget(&s);
  send(&s, "midi_in", 1, ON, 72, 100);
  scene_run(&s, 16);
  assert_int_equal(s.midis, 1);
  scene_end(&s);
}

/* A note whose end finds no room ends as soon as there is some. */
static void
no_passed_note_hangs_in_a_narrow_port(void **state)
{
  Scene               s;
  _Alignas(8) uint8_t narrow[64];
  (void)state;
  scene_begin(&s);
  rl_host_connect(s.host, "midi_out", narrow, sizeof(narrow)); /* room for two events */
  scene_forget(&s);
  for (int note = 60; note < 70; ++note) {
    send(&s, "midi_in", 0, ON, note, 100);
    send(&s, "midi_in", 0, ON, note, 100);
    scene_run(&s, 16);
  }
  for (int i = 0; i < 10; ++i) {
    for (int note = 60; note < 70 && !i; ++note) {
      send(&s, "midi_in", 0, OFF, note, 0);
    }
    scene_run(&s, 16);
  }
  assert_int_equal(count(&s, ON), 20);
  for (int note = 60; note < 70; ++note) {
    bool ended = false;
    for (size_t i = 0; i < s.midis; ++i) {
      ended = ended || (s.midi[i].bytes[0] == OFF && s.midi[i].bytes[1] == note);
    }
    assert_true(ended);
  }
  assert_int_equal(count(&s, OFF), 10);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(phrases_sound_on_their_bars),
    cmocka_unit_test(some_sound_in_some_choruses),
    cmocka_unit_test(in_time_for_a_hundred_choruses),
    cmocka_unit_test(no_note_hangs),
    cmocka_unit_test(without_room_nothing_hangs),
    cmocka_unit_test(a_wrong_plan_changes_nothing_and_is_named),
    cmocka_unit_test(a_session_brings_plan_and_phrases_back),
    cmocka_unit_test(without_a_plan_midi_passes_once_at_its_frame),
    cmocka_unit_test(foot_switches_do_not_pass),
    cmocka_unit_test(with_a_plan_only_ends_pass),
    cmocka_unit_test(no_passed_note_hangs_in_a_narrow_port),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
