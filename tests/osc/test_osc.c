/* SPDX-License-Identifier: ISC */
/* What OSC receivers hear of the plugin, and when. Sources: plugin/OSC.md; OSC 1.0 (ear.c).
 */
#include "listening.h"

#include "tests/plugin/reed_sound.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

/* The parts of a text as they came, in order, put together; returns how many there are. */
static int
text_heard(const Ear *const ear, const char *const path, const size_t length, char *const joined)
{
  size_t at    = 0;
  int    n     = 0;
  int    parts = 1;
  for (size_t i = 0; i < ear->count && n < parts; ++i) {
    int part, head = 0;
    if (strcmp(ear->heard[i].path, path) != 0) {
      continue;
    }
    assert_int_equal(sscanf(ear->heard[i].words, "%d %d \"%n", &part, &parts, &head), 2);
    assert_int_equal(part, ++n);
    const char *const text = ear->heard[i].words + head;
    assert_true(at + strlen(text) <= length + 1);
    memcpy(joined + at, text, strlen(text) - 1);
    at += strlen(text) - 1;
  }
  joined[at] = '\0';
  return parts;
}

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
  HAS(ear_last(&s.ear, "/reedlamp/target"), "3 \"draw1\" \"b7\" 70 15.9");
  TEXT(ear_last(&s.ear, "/reedlamp/harp"), "\"C\" \"Richter\" 2 \"G\"");
  HAS(ear_last(&s.ear, "/reedlamp/chart"), "1 1 \"title: Twelve-bar\n");
  TEXT(ear_last(&s.ear, "/reedlamp/plan"), "1 1 \"\"");
  TEXT(ear_last(&s.ear, "/reedlamp/phrase"), "0 0 0 0 \"\" \"\" 0 \"\"");
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

/* ---- phrases ---- */

/* On a C harp over G7: two notes at once, a rest, an off-beat note; in bar 2 a quick one. */
static const char plan[] = "bar 1: Gulls on the Roof, as it is\n"
                           "bar 2 beat 4: Ticket, as it is\n\n"
                           "X:1\nT:Gulls on the Roof\nM:4/4\nL:1/8\nK:G\n\"G7\"[GB]2 z GB4|\n\n"
                           "X:2\nT:Ticket\nM:4/4\nL:1/8\nK:G\n\"G7\"dd z2 z4|\n";

#define REST "0 0 0 0 \"\" \"\" 0 \"\""

/* The notes and rests as they were told; `seconds` since the first of the bar's place. */
typedef struct {
  double      at;
  const char *words;
} Note;

static void
check_notes(const Ear *const ear, const Note *const want, const size_t count)
{
  uint64_t began = 0;
  size_t   n     = 0;
  for (size_t i = 0; i < ear->count; ++i) {
    const Heard *const h = &ear->heard[i];
    began                = !began && !strcmp(h->path, "/reedlamp/place") ? h->when : began;
    if (!strcmp(h->path, "/reedlamp/phrase")) {
      assert_true(n < count);
      TEXT(h->words, want[n].words);
      NEAR((double)(int64_t)(h->when - began) / 4294967296.0, want[n].at, 2.0 / RATE);
      ++n;
    }
  }
  assert_int_equal(n, count);
}

/* In one block, where all tags lie on one line however fast it is played; before all comes again.
 */
static void
notes_of_phrases_are_told_at_the_moment_they_begin(void **state)
{
  static const Note one[] = {
    {0, "1 1 1 2 \"draw\" \"R\" 67 \"Gulls on the Roof\""},
    {0, "1 1 1 3 \"draw\" \"3\" 71 \"Gulls on the Roof\""},
    {0.5, REST},
    {0.75, "1 2.5 0.5 2 \"draw\" \"R\" 67 \"Gulls on the Roof\""},
    {1, "1 3 2 3 \"draw\" \"3\" 71 \"Gulls on the Roof\""},
  };
  static const Note two[] = {
    {1.5, "2 4 0.5 4 \"draw\" \"5\" 74 \"Ticket\""},
    {1.75, "2 4.5 0.5 4 \"draw\" \"5\" 74 \"Ticket\""},
  };
  static const struct {
    const Note *notes;
    size_t      count;
  } bars[] = {{one, 5}, {two, 2}};
  (void)state;
  for (int bar = 0; bar < 2; ++bar) {
    const Report report = rolling_at(bar, 0);
    Show         s;
    show_open(&s);
    scene_send(&s.scene, 0, "plan", plan);
    play(&s, 4 * BLOCK);
    assert_null(ear_last(&s.ear, "/reedlamp/phrase")); /* none has begun since */
    scene_report(&s.scene, 0, &report);
    ear_forget(&s.ear);
    scene_run(&s.scene, 4 * BEAT - BEAT / 4);
    ear_hear(&s.ear);
    check_notes(&s.ear, bars[bar].notes, bars[bar].count);
    show_end(&s);
  }
}

/* Both of a pair come in the packet of the beat that they fall on. */
static void
what_sounds_at_once_is_told_in_one_bundle_and_again_to_who_joins_late(void **state)
{
  const Report report = rolling_at(0, 0);
  Show         s;
  (void)state;
  show_open(&s);
  scene_send(&s.scene, 0, "plan", plan);
  play(&s, 4 * BLOCK);
  scene_report(&s.scene, 0, &report);
  ear_forget(&s.ear);
  play(&s, BLOCK);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/phrase"), 2);
  assert_int_equal(s.ear.packets, 1);
  ear_forget(&s.ear);
  rl_host_deactivate(s.scene.host);
  ear_hear(&s.ear);
  TEXT(ear_last(&s.ear, "/reedlamp/phrase"), REST);
  rl_host_activate(s.scene.host);
  const Report third = rolling_at(0, 1.99);
  scene_report(&s.scene, 0, &third);
  play(&s, 2 * BLOCK);
  rl_host_set(s.scene.host, "send_osc", 0);
  play(&s, BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/phrase"), REST);
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/phrase"), "1 3 2 3 \"draw\" \"3\" 71 \"Gulls on the Roof\"");
  show_end(&s);
}

static void
stops_jumps_and_the_end_of_the_plan_cut_a_phrase(void **state)
{
  const Report report = rolling_at(0, 0);
  const Report cuts[] = {parked_at(0, 0.5), rolling_at(4, 0), rolling_at(0, 0.5)};
  Show         s;
  (void)state;
  show_open(&s);
  for (int i = 0; i < 3; ++i) {
    scene_send(&s.scene, 0, "plan", plan);
    play(&s, 4 * BLOCK);
    scene_report(&s.scene, 0, &report);
    play(&s, BLOCK);
    HAS(ear_last(&s.ear, "/reedlamp/phrase"), "Gulls");
    ear_forget(&s.ear);
    if (i == 2) {
      scene_send(&s.scene, 0, "plan", "");
      play(&s, 2 * BLOCK);
      TEXT(ear_last(&s.ear, "/reedlamp/plan"), "1 1 \"\"");
    } else {
      scene_report(&s.scene, 0, &cuts[i]);
      play(&s, BLOCK);
    }
    assert_int_equal(ear_count(&s.ear, "/reedlamp/phrase"), 1);
    TEXT(ear_last(&s.ear, "/reedlamp/phrase"), REST);
    ear_forget(&s.ear);
  }
  show_end(&s);
}

static void
the_plan_is_told_when_it_changes(void **state)
{
  char joined[sizeof(plan)];
  Show s;
  (void)state;
  show_open(&s);
  scene_send(&s.scene, 0, "plan", plan);
  play(&s, 4 * BLOCK);
  assert_int_equal(text_heard(&s.ear, "/reedlamp/plan", sizeof(plan) - 1, joined), 1);
  assert_string_equal(joined, plan);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/plan"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 0);
  show_end(&s);
}

/* ---- on and off ---- */

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

/* ---- large and many ---- */

static void
the_largest_things_fit_into_bundles_of_1400_bytes(void **state)
{
  static char chart[16385], phrases[16385], joined[16385];
  Show        s;
  int         used = snprintf(chart, sizeof(chart),
                              "key: Gm\nmeter: 8/4\n"
                                      "| Db9sus4/Ab Gbm7b5/Db AbmMaj7/Eb Ebmaj13/Bb F#7alt/C# Dbm7b5/Ab "
                                      "Bb9sus4/F C#mMaj7/G# |\n# ");
  int noted = snprintf(phrases, sizeof(phrases), "bar 1: x, as it is\n\nX:1\nT:x\nK:C\nC|\n%%");
  (void)state;
  while (used < 16382) { /* in characters of two bytes */
    used += snprintf(chart + used, sizeof(chart) - (size_t)used, "\xc3\xb8");
  }
  while (noted < 16382) {
    noted += snprintf(phrases + noted, sizeof(phrases) - (size_t)noted, "\xc3\xb8");
  }
  show_open(&s);
  scene_chart(&s.scene, chart);
  scene_send(&s.scene, 0, "plan", phrases);
  rl_host_set(s.scene.host, "overblows", 1);
  ear_forget(&s.ear);
  play(&s, 2 * (int64_t)REPEAT);
  assert_true(s.ear.largest > 1300 && s.ear.largest <= 1400);
  assert_in_range(text_heard(&s.ear, "/reedlamp/chart", strlen(chart), joined), 12, 13);
  assert_string_equal(joined, chart);
  assert_in_range(text_heard(&s.ear, "/reedlamp/plan", strlen(phrases), joined), 12, 13);
  assert_string_equal(joined, phrases);
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

/* plugin/OSC.md: while `clock` is 2, and once after. */
static void
how_following_by_ear_goes_is_told_while_it_does(void **const state)
{
  static const char *const told[] = {"/reedlamp/sure", "/reedlamp/tuning", "/reedlamp/key_heard"};
  Show                     s;
  (void)state;
  show_open(&s);
  play(&s, 3 * RATE);
  for (size_t i = 0; i < sizeof(told) / sizeof(told[0]); ++i) {
    assert_int_equal(ear_count(&s.ear, told[i]), 0);
  }
  rl_host_set(s.scene.host, "clock", 2);
  play(&s, 3 * RATE);
  TEXT(ear_last(&s.ear, "/reedlamp/sure"), "0 \"no sound\"");
  TEXT(ear_last(&s.ear, "/reedlamp/tuning"), "0 0");
  TEXT(ear_last(&s.ear, "/reedlamp/key_heard"), "\"\" 0");
  ear_forget(&s.ear);
  rl_host_set(s.scene.host, "clock", 0);
  play(&s, RATE);
  TEXT(ear_last(&s.ear, "/reedlamp/sure"), "1 \"off\"");
  ear_forget(&s.ear);
  play(&s, 3 * RATE);
  for (size_t i = 0; i < sizeof(told) / sizeof(told[0]); ++i) {
    assert_int_equal(ear_count(&s.ear, told[i]), 0);
  }
  show_end(&s);
}

/* The lamps that are lit, with their roles in one text: `3 draw third, `. */
static int
lit_heard(const Ear *const ear, char *const words, const size_t size)
{
  int    lit = 0;
  size_t at  = 0;
  words[0]   = '\0';
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlTechnique how  = (RlTechnique)(i % RL_TECHNIQUES);
    const char *const said = lamp_heard(ear, i / RL_TECHNIQUES + 1, how);
    float             brightness;
    char              role[16];
    if (said && sscanf(said, "%f \"%15[a-z]", &brightness, role) == 2 && brightness > 0) {
      at += (size_t)snprintf(words + at, size - at, "%d %s %s, ", i / RL_TECHNIQUES + 1,
                             rl_technique_name(how), role);
      ++lit;
    }
  }
  return lit;
}

static void
lamps_beyond_show_are_out(void **state)
{
  Show s;
  char words[4096];
  (void)state;
  show_begin(&s);
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/show"), "4");
  assert_in_range(lit_heard(&s.ear, words, sizeof(words)), 25, 60);
  rl_host_set(s.scene.host, "show", 3);
  play(&s, BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/show"), "3");
  lit_heard(&s.ear, words, sizeof(words));
  HAS(words, " blue, ");
  assert_null(strstr(words, " pass, "));
  rl_host_set(s.scene.host, "show", 2);
  play(&s, BLOCK);
  lit_heard(&s.ear, words, sizeof(words));
  HAS(words, " root, ");
  assert_null(strstr(words, " blue, "));
  assert_null(strstr(words, " safe, "));
  rl_host_set(s.scene.host, "show", 1);
  play(&s, BLOCK);
  assert_int_equal(lit_heard(&s.ear, words, sizeof(words)), 1);
  TEXT(words, "3 draw third, "); /* the target of the first chord; the next one's is told as ever */
  HAS(ear_last(&s.ear, "/reedlamp/target"), "3 \"draw1\" \"b7\" 70");
  rl_host_set(s.scene.host, "show", 4);
  play(&s, BLOCK);
  check_lamps(&s.ear, (RlHarpChoice){0}, (RlPlayer){3, 3, false}, "I7", rl_key_named(7, false));
  show_end(&s);
}

/* plugin/OSC.md: `/reedlamp/loop`; what the loop brings, by hand from the twelve-bar's last two
 * bars: G7 | D7 | and back. */
static void
a_loop_of_the_host_is_told_until_it_is_left(void **const state)
{
  Show s;
  (void)state;
  show_open(&s);
  for (int round = 0; round < 2; ++round) {
    const Report report = rolling_at(10, 0);
    scene_report(&s.scene, 0, &report);
    play(&s, 8 * BEAT);
    TEXT(ear_last(&s.ear, "/reedlamp/loop"), "0 0");
  }
  const Report report = rolling_at(10, 0);
  scene_report(&s.scene, 0, &report);
  play(&s, BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/loop"), "10 12");
  play(&s, 5 * BEAT);
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"D7\" \"G7\" \"V7\" \"I7\" ");
  TEXT(ear_last(&s.ear, "/reedlamp/loop"), "10 12");
  play(&s, 4 * BEAT); /* on and on: it is left */
  TEXT(ear_last(&s.ear, "/reedlamp/loop"), "0 0");
  show_end(&s);
}

/* plugin/OSC.md: while `harp_from` is not 0, and once after; both notes of a chord in one bundle.
 */
static void
what_the_player_plays_is_told_while_it_is_heard(void **const state)
{
  static float sound[2 * RATE];
  const RlHarp harp = rl_harp_make((RlHarpChoice){0});
  Show         s;
  (void)state;
  reed_add(sound, 2 * RATE, RATE, 0.2, 0.5, harp.note[3][RL_DRAW]);
  reed_add(sound, 2 * RATE, RATE, 0.8, 1.5, harp.note[4][RL_BLOW] + 0.02);
  reed_add(sound, 2 * RATE, RATE, 0.8, 1.5, harp.note[5][RL_BLOW] - 0.02);
  show_open(&s);
  play(&s, 3 * RATE);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/heard"), 0);
  rl_host_set(s.scene.host, "harp_from", 1);
  play(&s, BLOCK);
  for (int at = 0; at + BLOCK <= 2 * RATE; at += BLOCK) {
    memcpy(rl_host_audio(s.scene.host, "harp_in"), sound + at, BLOCK * sizeof(float));
    play(&s, BLOCK);
    if (at / BLOCK == RATE * 4 / 10 / BLOCK) {
      HAS(ear_last(&s.ear, "/reedlamp/heard"), "4 \"draw\" 74 ");
      ear_forget(&s.ear);
    } else if (at / BLOCK == RATE * 6 / 10 / BLOCK) {
      TEXT(ear_last(&s.ear, "/reedlamp/heard"), "0 \"\" 0 0 0 0");
    } else if (at / BLOCK == RATE * 13 / 10 / BLOCK) {
      const Heard *const h = s.ear.heard;
      size_t             n = s.ear.count - 1;
      while (strcmp(h[n].path, "/reedlamp/heard") != 0) {
        --n;
      }
      HAS(h[n].words, "6 \"blow\" 79 ");
      HAS(h[n - 1].words, "5 \"blow\" 76 ");
      assert_true(h[n].when == h[n - 1].when && h[n].packet == h[n - 1].packet);
    }
  }
  ear_forget(&s.ear);
  rl_host_set(s.scene.host, "harp_from", 0);
  play(&s, BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/heard"), "0 \"\" 0 0 0 0");
  ear_forget(&s.ear);
  play(&s, 3 * RATE);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/heard"), 0);
  show_end(&s);
}

/* plugin/OSC.md: `/reedlamp/hit`, once. The plain twelve-bar in G: B lies over its first bar. */
static void
a_hit_is_told_once(void **const state)
{
  static float      sound[RATE];
  static const char bollard[] =
    "bar 1: Bollard\n\nX:1\nT:Bollard\nM:4/4\nL:1/4\nK:G\n\"G7\"z B z2|\n";
  const Report report = rolling_at(0, 0);
  Show         s;
  (void)state;
  reed_add(sound, RATE, RATE, 0.52, 0.9, 71);
  show_open(&s);
  scene_send(&s.scene, 0, "plan", bollard);
  rl_host_set(s.scene.host, "harp_from", 1);
  play(&s, BLOCK);
  scene_report(&s.scene, 0, &report);
  ear_forget(&s.ear);
  for (int at = 0; at + BLOCK <= RATE; at += BLOCK) {
    memcpy(rl_host_audio(s.scene.host, "harp_in"), sound + at, BLOCK * sizeof(float));
    play(&s, BLOCK);
  }
  assert_int_equal(ear_count(&s.ear, "/reedlamp/hit"), 1);
  TEXT(ear_last(&s.ear, "/reedlamp/hit"), "\"planned\" 1 1 2 3 \"draw\" 71");
  ear_forget(&s.ear);
  play(&s, 3 * RATE); /* all is sent again meanwhile, but for this */
  assert_int_equal(ear_count(&s.ear, "/reedlamp/hit"), 0);
  show_end(&s);
}

/* Of the newest chorus that was practised: when it is over, to who joins late, and not before one
 * was. */
static void
the_last_chorus_is_told(void **state)
{
  static const char lines[] =
    "2026-11-30T14:05:12Z chorus=1 bars=12 tempo=72 key=7 harp=0 show=4 notes=9 targets=1/9 "
    "strong=0/0 planned=0/0 bends=0 cents=0 spread=0 timed=0 behind_ms=0 behind_beats=0 "
    "song=Heron\n"
    "2026-11-30T14:06:12Z chorus=2 bars=12 tempo=72 key=7 harp=0 show=4 notes=41 targets=6/9 "
    "strong=14/20 planned=8/10 bends=5 cents=-12 spread=9 timed=30 behind_ms=18 behind_beats=0.02 "
    "song=Heron\n";
  static const char said[] = "2 6 9 14 20 8 10 \"chorus 2: landed on 6 of 9 chords; 14 of 20 chord "
                             "tones on strong beats; 8 of 10 planned notes; bends 12 cents low; 18 "
                             "ms behind the beat\"";
  Show              s;
  (void)state;
  show_begin(&s);
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, 3 * RATE);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chorus"), 0);
  scene_send(&s.scene, 0, "practice", lines);
  play(&s, RATE);
  TEXT(ear_last(&s.ear, "/reedlamp/chorus"), said);
  assert_in_range(ear_count(&s.ear, "/reedlamp/chorus"), 1, 2);
  play(&s, 2 * RATE);
  assert_in_range(ear_count(&s.ear, "/reedlamp/chorus"), 2, 3);
  show_end(&s);
}

/* Choruses of two songs: those of the one that is open are told, the newest, in the order in which
   they were played; another song has none. */
static void
the_choruses_of_this_song_are_told(void **state)
{
  static char lines[16384], want[16384], joined[16384];
  size_t      used = 0, wanted = 0;
  Show        s;
  (void)state;
  for (int i = 0; i < 52; ++i) {
    char      line[512];
    const int length =
      snprintf(line, sizeof(line),
               "2026-11-30T14:%02d:12Z chorus=%d bars=12 tempo=72 key=7 harp=0 show=4 notes=9 "
               "targets=1/9 strong=0/0 planned=0/0 bends=0 cents=0 spread=0 timed=0 behind_ms=0 "
               "behind_beats=0 roles=third:9 song=%s\n",
               i, i / 2 + 1, i % 2 ? "Twelve-bar" : "Heron");
    memcpy(lines + used, line, (size_t)length + 1);
    used += (size_t)length;
    if (i % 2 && i / 2 >= 26 - 24) {
      memcpy(want + wanted, line, (size_t)length + 1);
      wanted += (size_t)length;
    }
  }
  show_open(&s);
  scene_send(&s.scene, 0, "practice", lines);
  play(&s, RATE);
  assert_in_range(text_heard(&s.ear, "/reedlamp/practice", wanted, joined), 2, 8);
  assert_string_equal(joined, want);
  assert_in_range(ear_count(&s.ear, "/reedlamp/chart"), 0, 1); /* the repeat alone brings it */
  scene_send(&s.scene, 0, "chart", "title: Tern\n| I7 |\n");
  play(&s, RATE);
  TEXT(ear_last(&s.ear, "/reedlamp/practice"), "1 1 \"\"");
  show_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_hit_is_told_once),
    cmocka_unit_test(what_the_player_plays_is_told_while_it_is_heard),
    cmocka_unit_test(everything_is_sent_when_it_is_switched_on),
    cmocka_unit_test(only_what_changed_is_sent),
    cmocka_unit_test(a_jump_within_one_chord_tells_the_new_countdown),
    cmocka_unit_test(everything_comes_again_every_two_seconds_stopped_or_not),
    cmocka_unit_test(another_harp_is_told_and_what_it_does_not_have_goes_off_once),
    cmocka_unit_test(notes_of_phrases_are_told_at_the_moment_they_begin),
    cmocka_unit_test(a_loop_of_the_host_is_told_until_it_is_left),
    cmocka_unit_test(what_sounds_at_once_is_told_in_one_bundle_and_again_to_who_joins_late),
    cmocka_unit_test(stops_jumps_and_the_end_of_the_plan_cut_a_phrase),
    cmocka_unit_test(the_plan_is_told_when_it_changes),
    cmocka_unit_test(switched_off_or_disabled_the_lamps_go_out_and_then_there_is_silence),
    cmocka_unit_test(the_end_of_the_plugin_puts_the_lamps_out),
    cmocka_unit_test(nothing_is_sent_while_freewheeling),
    cmocka_unit_test(the_largest_things_fit_into_bundles_of_1400_bytes),
    cmocka_unit_test(time_tags_never_run_backwards_and_all_is_in_order),
    cmocka_unit_test(the_last_chorus_is_told),
    cmocka_unit_test(the_choruses_of_this_song_are_told),
    cmocka_unit_test(lamps_beyond_show_are_out),
    cmocka_unit_test(how_following_by_ear_goes_is_told_while_it_does),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
