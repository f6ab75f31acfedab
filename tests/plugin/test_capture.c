/* SPDX-License-Identifier: ISC */
/* Capture: what is played on MIDI while the music rolls becomes a take, on its bar, in the property
   `take`; whatever the transport does, no note hangs and none is lost. What comes of the times is
   test_notate's business. */
#include "scene.h"

#include "core/abc/abc.h"
#include "core/arrange/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BEAT = RATE / 2 /* frames at 120 */ };

static const char twelve[] = "key: G\nmeter: 4/4\n| I7 | % | % | % |\n| IV7 | % | I7 | % |\n"
                             "| V7 | IV7 | I7 | V7 |\n";

static RlPlan   takes;
static RlPhrase phrase;

static void
begin(Scene *const s)
{
  scene_begin(s);
  scene_chart(s, twelve);
}

static void
press(Scene *const s)
{
  scene_press(s, "capture", 16);
}

/* Rolls from a beat of the song (from 0). */
static void
midi(Scene *const s, const char *const port, const int64_t offset, const int status, const int note,
     const int value)
{
  const uint8_t bytes[3] = {(uint8_t)status, (uint8_t)note, (uint8_t)value};
  rl_host_send_midi(s->host, port, offset, bytes);
}

/* A note of so many beats, then on to the end of them. */
static void
note(Scene *const s, const char *const port, const int key, const double beats)
{
  const int64_t frames = (int64_t)(beats * BEAT);
  midi(s, port, 0, 0x90, key, 80);
  scene_play(s, frames - 200, 500);
  midi(s, port, 0, 0x80, key, 0);
  scene_play(s, 200, 200);
}

/* A take of one note, played on that beat of the song. */
static void
take_one(Scene *const s, const int beat, const int key)
{
  scene_roll(s, beat);
  press(s);
  note(s, "control", key, 1);
  press(s);
}

/* A session opened again in which such a take was saved. */
static void
begin_saved(Scene *const t, const int key)
{
  Scene s;
  begin(&s);
  take_one(&s, 0, key);
  scene_play(&s, 64, 16);
  char *const saved = rl_host_save(s.host);
  scene_end(&s);
  scene_begin(t);
  assert_true(rl_host_restore(t->host, saved));
  free(saved);
}

/* The takes as they are told now. */
static void
takes_read(Scene *const s)
{
  RlPlanError error;
  scene_play(s, 64, 16);
  assert_true(rl_plan_read(rl_slice(scene_ask(s, "take")), &phrase, &takes, &error));
}

/* Take `index` stands on that bar and is so many notes, the pitches in order. */
static void
take_is(const int index, const int bar, const int notes, const int *const pitches)
{
  int at = 0;
  while (at < takes.planned_count && takes.planned[at].phrase != index) {
    ++at;
  }
  assert_true(at < takes.planned_count);
  assert_int_equal(takes.planned[at].bar, bar);
  rl_plan_phrase(&takes, index, &phrase);
  assert_int_equal(phrase.notes, notes);
  for (int i = 0; i < notes; ++i) {
    assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[i]), pitches[i]);
  }
}

static void
what_is_played_stands_on_its_bar(void **state)
{
  static const char *const ports[]   = {"control", "midi_in"};
  static const int         pitches[] = {62, 66, 69, 72};
  (void)state;
  for (int p = 0; p < 2; ++p) {
    Scene s;
    begin(&s);
    scene_roll(&s, 32); /* bar 9 */
    press(&s);
    scene_play(&s, BEAT - 32, 100);
    note(&s, ports[p], 62, 1);
    note(&s, ports[p], 66, 0.5);
    note(&s, ports[p], 69, 0.5);
    note(&s, ports[p], 72, 2);
    press(&s);
    takes_read(&s);
    assert_int_equal(takes.phrase_count, 1);
    take_is(0, 9, 4, pitches);
    assert_int_equal(phrase.note[0].at, RL_TICKS);
    assert_int_equal(phrase.note[1].lasts, RL_TICKS / 2);
    assert_int_equal(phrase.chords, 2); /* D7, C7 */
    assert_string_equal(phrase.title, "Take 1");
    TEXT(scene_ask(&s, "problem"), "");
    scene_end(&s);
  }
}

static void
it_is_told_whether_it_listens(void **state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  scene_run(&s, 64);
  SAME(scene_last(&s)->taking, 0);
  press(&s);
  SAME(scene_last(&s)->taking, 1);
  note(&s, "control", 60, 1);
  SAME(scene_last(&s)->taking, 3);
  note(&s, "control", 60, 1);
  SAME(scene_last(&s)->taking, 4);
  press(&s);
  SAME(scene_last(&s)->taking, 0);
  scene_end(&s);
}

static void
a_foot_switch_does_it_too(void **state)
{
  static const int pitches[] = {60};
  Scene            s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  scene_controller(&s, "midi_in", 0, 0, 83, 127);
  scene_play(&s, 100, 100);
  note(&s, "control", 60, 1);
  scene_controller(&s, "midi_in", 0, 0, 83, 127);
  takes_read(&s);
  take_is(0, 1, 1, pitches);
  scene_end(&s);
}

static void
disarmed_there_is_nothing(void **state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  note(&s, "control", 60, 1); /* not armed */
  press(&s);
  press(&s);
  note(&s, "control", 60, 1);
  TEXT(scene_ask(&s, "take"), "");
  scene_end(&s);
}

static void
while_nothing_rolls_nothing_is_taken(void **state)
{
  static const int pitches[] = {64};
  Scene            s;
  (void)state;
  begin(&s);
  scene_stop(&s, 4);
  press(&s);
  note(&s, "control", 60, 1);
  scene_roll(&s, 4);
  note(&s, "control", 64, 1);
  press(&s);
  takes_read(&s);
  take_is(0, 2, 1, pitches);
  scene_end(&s);
}

/* The form comes round: what is played after it is not of the take, and it listens no more. */
static void
it_ends_when_the_form_comes_round(void **state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_roll(&s, 4);
  press(&s);
  scene_play(&s, BEAT - 32, 500);
  for (int i = 0; i < 50; ++i) {
    note(&s, "control", 60 + i % 5, 1);
  }
  SAME(scene_last(&s)->taking, 0);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 1);
  rl_plan_phrase(&takes, 0, &phrase);
  assert_int_equal(phrase.notes, 47);
  scene_end(&s);
}

/* A pickup, a first note that comes early, one in the lead-in: the chorus behind it is whole. */
static void
a_pickup_costs_no_bar_at_the_end(void **state)
{
  static const struct {
    const char *chart;
    int         beat, early; /* where it rolls from, and how early the first note of two beats on */
  } cases[] = {
    {twelve, 46, 0},
    {twelve, 46, 1000},
    {"key: G\nlead-in: 2\n| I7 | % | % | % | IV7 | % | I7 | % | V7 | IV7 | I7 | V7 |\n", 5, 0}};
  (void)state;
  for (size_t c = 0; c < sizeof(cases) / sizeof(cases[0]); ++c) {
    Scene s;
    scene_begin(&s);
    scene_chart(&s, cases[c].chart);
    scene_roll(&s, cases[c].beat);
    press(&s);
    scene_play(&s, BEAT - 32, 500);
    if (cases[c].early) {
      scene_play(&s, BEAT - cases[c].early, 500);
    }
    const int before = cases[c].beat == 5 ? 2 : !cases[c].early; /* notes before bar 1 */
    for (int i = 0; i < 52; ++i) {
      note(&s, "control", 48 + i % 12, 1);
    }
    SAME(scene_last(&s)->taking, 0);
    takes_read(&s);
    assert_int_equal(takes.phrase_count, 1);
    assert_int_equal(takes.planned[0].bar, 1);
    rl_plan_phrase(&takes, 0, &phrase);
    assert_int_equal(phrase.notes, before + 48 + (cases[c].early ? 1 : 0));
    scene_end(&s);
  }
}

/* A stop, a locate, a loop's end: one take is over, its last note too, and the next note begins
 * another. */
static void
another_pass_is_another_take(void **state)
{
  static const int first[] = {60, 62}, second[] = {64}, third[] = {65, 67};
  Scene            s;
  (void)state;
  begin(&s);
  scene_roll(&s, 32);
  press(&s);
  note(&s, "control", 60, 1);
  midi(&s, "control", 0, 0x90, 62, 80); /* held over the end of the loop */
  scene_play(&s, 3 * BEAT, 500);
  scene_roll(&s, 32);
  midi(&s, "control", 100, 0x80, 62, 0);
  scene_play(&s, BEAT, 500);
  midi(&s, "control", 0, 0x90, 64, 80);
  scene_play(&s, BEAT, 500);
  scene_stop(&s, 34);
  scene_roll(&s, 8);
  note(&s, "control", 65, 1);
  note(&s, "control", 67, 1);
  press(&s);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 3);
  take_is(0, 9, 2, first);
  assert_int_equal(phrase.note[1].lasts, 3 * RL_TICKS);
  take_is(1, 9, 1, second);
  take_is(2, 3, 2, third);
  scene_end(&s);
}

/* A looped bar, its first beat always a little early: every pass is whole, none has a bar too many.
 */
static void
an_early_first_beat_belongs_to_the_next_pass(void **state)
{
  static const int early[] = {300, 1500, 2000}, pitches[] = {60, 62, 64, 65};
  (void)state;
  for (int e = 0; e < 3; ++e) {
    Scene s;
    begin(&s);
    scene_roll(&s, 32);
    press(&s);
    note(&s, "control", 60, 1);
    for (int pass = 0; pass < 3; ++pass) {
      note(&s, "control", 62, 1);
      note(&s, "control", 64, 1);
      midi(&s, "control", 0, 0x90, 65, 80);
      scene_play(&s, BEAT - early[e], 500);
      midi(&s, "control", 0, 0x80, 65, 0);
      midi(&s, "control", 0, 0x90, 60, 80);
      scene_play(&s, early[e], 500);
      scene_roll(&s, 32);
      scene_play(&s, BEAT - 400, 500);
      midi(&s, "control", 0, 0x80, 60, 0);
      scene_play(&s, 400, 500);
    }
    press(&s);
    takes_read(&s);
    assert_int_equal(takes.phrase_count, 4);
    for (int pass = 0; pass < 4; ++pass) {
      take_is(pass, 9, pass < 3 ? 4 : 1, pitches);
      assert_int_equal(phrase.lasts, 4 * RL_TICKS);
      for (int i = 0; i < phrase.notes; ++i) {
        assert_int_equal(phrase.note[i].at, i * RL_TICKS);
      }
    }
    assert_int_equal(phrase.note[0].lasts, RL_TICKS);
    TEXT(scene_ask(&s, "problem"), "");
    scene_end(&s);
  }
}

/* The note to land on when the form comes round comes a little early: it is heard out, a bar at
   most; what follows is not of the take. */
static void
the_note_to_land_on_is_heard_out(void **state)
{
  static const struct {
    double held; /* beats */
    int    lasts;
  } cases[] = {{2, 2}, {0.5, 1}, {9, 4}};
  (void)state;
  for (int c = 0; c < 3; ++c) {
    Scene s;
    begin(&s);
    scene_roll(&s, 0);
    press(&s);
    for (int i = 0; i < 47; ++i) {
      note(&s, "control", 60 + i % 5, 1);
    }
    midi(&s, "control", 0, 0x90, 67, 80);
    scene_play(&s, BEAT - 1200, 500);
    midi(&s, "control", 0, 0x80, 67, 0);
    midi(&s, "control", 0, 0x90, 72, 80);
    scene_play(&s, 1200 + (int64_t)(cases[c].held * BEAT), 500);
    midi(&s, "control", 0, 0x80, 72, 0);
    note(&s, "control", 74, 1);
    SAME(scene_last(&s)->taking, 0);
    takes_read(&s);
    assert_int_equal(takes.phrase_count, 1);
    rl_plan_phrase(&takes, 0, &phrase);
    assert_int_equal(phrase.notes, 49);
    assert_int_equal(phrase.note[48].at, 48 * RL_TICKS);
    assert_int_equal(phrase.note[48].lasts * (cases[c].held < 1 ? 2 : 1),
                     cases[c].lasts * RL_TICKS);
    scene_end(&s);
  }
}

/* How far a bender bends is said once; it holds for every pass. */
static void
a_bend_range_holds_for_every_pass(void **state)
{
  static const int pitches[] = {59, 64};
  Scene            s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  press(&s);
  midi(&s, "control", 0, 0xB0, 101, 0);
  midi(&s, "control", 0, 0xB0, 100, 0);
  midi(&s, "control", 0, 0xB0, 6, 12);
  for (int pass = 0; pass < 3; ++pass) {
    midi(&s, "control", 0, 0xE0, 0, 64 - 5); /* a half step of twelve */
    note(&s, "control", 60, 1);
    midi(&s, "control", 0, 0xE0, 0, 64);
    note(&s, "control", 64, 1);
    scene_roll(&s, 0);
  }
  press(&s);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 3);
  for (int pass = 0; pass < 3; ++pass) {
    take_is(pass, 1, 2, pitches);
  }
  scene_end(&s);
}

/* What shows nothing tells nothing; breath is no part of a take, and takes nobody's room. */
static void
a_flood_of_breath_and_bends_is_quiet(void **state)
{
  static const int pitches[] = {60, 62};
  Scene            s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  press(&s);
  note(&s, "control", 60, 1);
  scene_forget(&s);
  for (int i = 0; i < 1000; ++i) {
    midi(&s, "control", i * 20, 0xB0, 2, i % 128);
    midi(&s, "control", i * 20, 0xE0, i % 128, 64);
  }
  scene_run(&s, BEAT - 32);
  assert_true(s.places < 4);
  for (int i = 0; i < 3000; ++i) {
    midi(&s, "control", 0, 0xB0, 11, i % 128);
  }
  scene_run(&s, 32);
  note(&s, "control", 62, 1);
  press(&s);
  takes_read(&s);
  take_is(0, 1, 2, pitches);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

/* Taps between the beats: the clock waits for the foot, and no note is lost. */
static void
what_waits_for_the_foot_goes_on(void **state)
{
  Scene    s;
  unsigned seed  = 7;
  int      notes = 0;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "clock", 1);
  scene_run(&s, 64);
  for (int i = 0; i < 4; ++i) {
    scene_press(&s, "tap", 16);
    scene_play(&s, BEAT - 32, 128);
  }
  press(&s);
  for (int i = 0; i < 16; ++i) {
    seed           = seed * 1664525U + 1013904223U;
    const int late = (int)(seed >> 16) % 3000 - 1500;
    midi(&s, "control", 0, 0x90, 60 + i, 80);
    scene_play(&s, BEAT / 2 + late, 128);
    midi(&s, "control", 0, 0x80, 60 + i, 80);
    scene_press(&s, "tap", 16);
    scene_play(&s, BEAT / 2 - late - 32, 128);
  }
  press(&s);
  takes_read(&s);
  for (int k = 0; k < takes.phrase_count; ++k) {
    rl_plan_phrase(&takes, k, &phrase);
    notes += phrase.notes;
  }
  assert_int_equal(notes, 16);
  scene_end(&s);
}

static void
another_chart_ends_it(void **state)
{
  static const int first[] = {60, 62}, second[] = {64};
  Scene            s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  press(&s);
  note(&s, "control", 60, 1);
  midi(&s, "control", 0, 0x90, 62, 80);
  scene_play(&s, BEAT, 500);
  scene_send(&s, 0, "chart", "key: C\n| I7 | IV7 |\n");
  scene_play(&s, BEAT, 500);
  midi(&s, "control", 0, 0x80, 62, 0);
  scene_play(&s, BEAT, 500);
  note(&s, "control", 64, 1);
  press(&s);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 2);
  take_is(0, 1, 2, first);
  take_is(1, 2, 1, second);
  scene_end(&s);
}

/* Takes are saved with the session, and a preset leaves them alone. */
static void
takes_are_saved(void **state)
{
  static const int pitches[] = {60}, more[] = {67};
  Scene            t;
  (void)state;
  begin_saved(&t, 60);
  takes_read(&t);
  take_is(0, 1, 1, pitches);
  assert_true(rl_host_preset(t.host, "urn:reedlamp:preset:eight-bar"));
  takes_read(&t);
  take_is(0, 1, 1, pitches);
  take_one(&t, 0, 67);
  takes_read(&t);
  assert_string_equal(takes.phrase[1].title, "Take 2");
  take_is(1, 7, 1, more); /* the preset's lead-in plays bars 7 and 8 */
  scene_end(&t);
}

/* A take that is in the plan already keeps its title: the next one gets another. */
static void
no_take_has_the_title_of_a_planned_one(void **state)
{
  static const int pitches[] = {67};
  Scene            s;
  (void)state;
  begin(&s);
  scene_send(&s, 0, "plan", "bar 1: Take 1\n\nX:1\nT:Take 1\nK:G\nG8|\n");
  scene_settle(&s);
  take_one(&s, 0, 67);
  takes_read(&s);
  assert_string_equal(takes.phrase[0].title, "Take 2");
  take_is(0, 1, 1, pitches);
  scene_end(&s);
}

/* The take after those that were known when somebody sent some of them back. */
static void
a_take_that_is_just_over_outlives_an_edit(void **state)
{
  static const int second[] = {67}, third[] = {69};
  char             known[RL_PLAN_MAX + 1];
  Scene            s;
  (void)state;
  begin(&s);
  for (int key = 65; key < 71; key += 2) {
    take_one(&s, 8 * (key - 65), key);
    takes_read(&s);
    if (key == 65) {
      snprintf(known, sizeof(known), "%s", takes.text);
    }
  }
  assert_int_equal(takes.phrase_count, 3);
  rl_plan_read(rl_slice(known), &phrase, &takes, &(RlPlanError){0});
  RlText fewer = rl_text_in(known, sizeof(known));
  rl_plan_drop(&takes, 0, &fewer); /* as the window discards the first, knowing no other */
  scene_send(&s, 0, "take", known);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 2);
  take_is(0, 5, 1, second);
  assert_string_equal(phrase.title, "Take 2");
  take_is(1, 9, 1, third);
  rl_plan_read(rl_slice(scene_ask(&s, "take")), &phrase, &takes, &(RlPlanError){0});
  fewer = rl_text_in(known, sizeof(known));
  rl_plan_drop(&takes, 1, &fewer); /* knowing both: gone for good */
  scene_send(&s, 0, "take", known);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 1);
  take_is(0, 5, 1, second);
  scene_send(&s, 0, "take", "bar 3: Heron\n\nX:1\nT:Heron\nK:G\nG8|\n"); /* all there are */
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 1);
  take_is(0, 3, 1, second);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

/* The same over a session that was saved and opened. */
static void
an_edit_in_an_opened_session_keeps_what_comes(void **state)
{
  static const int more[] = {67};
  char             known[RL_PLAN_MAX + 1];
  Scene            t;
  (void)state;
  begin_saved(&t, 60);
  takes_read(&t);
  RlText fewer = rl_text_in(known, sizeof(known));
  rl_plan_drop(&takes, 0, &fewer);
  take_one(&t, 32, 67);
  scene_play(&t, 64, 16);
  scene_send(&t, 0, "take", known);
  takes_read(&t);
  assert_int_equal(takes.phrase_count, 1);
  take_is(0, 9, 1, more);
  scene_end(&t);
}

/* What the window wants done to a take (plugin/PORTS.md, core/capture/TAKES.md). */
static void
a_take_is_changed_dropped_kept_and_added(void **state)
{
  static const int changed[] = {67, 69}, added[] = {71}, third[] = {69};
  Scene            s;
  (void)state;
  begin(&s);
  for (int i = 0; i < 3; ++i) {
    take_one(&s, 8 * i, 65 + 2 * i);
  }
  scene_send(&s, 0, "take_edit", "change: Take 2\ntaken: 3\n\nX:1\nT:Take 2\nK:G\nG4 A4|\n");
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 3);
  take_is(1, 3, 2, changed);
  scene_send(&s, 0, "take_edit", "drop: Take 1\ntaken: 3\n");
  scene_send(&s, 0, "take_edit", "add:\ntaken: 3\nbar 7: Lantern\n\nX:1\nT:Lantern\nK:G\nB8|\n");
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 3);
  take_is(0, 3, 2, changed);
  take_is(1, 5, 1, third);
  take_is(2, 7, 1, added);
  scene_send(&s, 0, "take_edit", "keep: Take 2"); /* without a line that says how many are known */
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 2);
  take_is(0, 5, 1, third);
  assert_int_equal(takes.taken, 3);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

/* The first take is dropped twice, by two windows, and the next one has its title by then. */
static void
a_take_that_came_meanwhile_is_never_hit(void **state)
{
  static const int second[] = {67};
  Scene            s;
  (void)state;
  begin(&s);
  take_one(&s, 0, 65);
  scene_send(&s, 0, "take_edit", "drop: Take 1\ntaken: 1\n");
  take_one(&s, 8, 67);
  takes_read(&s);
  assert_string_equal(takes.phrase[0].title, "Take 1");
  scene_send(&s, 0, "take_edit", "drop: Take 1\ntaken: 1\n");
  takes_read(&s);
  take_is(0, 3, 1, second);
  HAS(scene_ask(&s, "problem"), "take_edit: \"Take 1\": that take no longer exists");
  scene_send(&s, 0, "take_edit", "drop: Take 1\ntaken: 2\n");
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 0);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

static void
an_edit_that_cannot_be_done_changes_nothing_and_says_why(void **state)
{
  static const struct {
    const char *edit, *why;
  } cases[] = {
    {"drop: Take 2\ntaken: 1\n", "take_edit: \"Take 2\": that take no longer exists"},
    {"change: Heron\n\nX:1\nT:Heron\nK:G\nG8|\n",
     "take_edit: \"Heron\": that take no longer exists"},
    {"change: Take 1\ntaken: 1\n", "take_edit: \"Take 1\": write its tune below"},
    {"change: Take 1\n\nX:1\nT:Heron\nK:G\nG8|\n", "write its tune below, under the same title"},
    {"change: Take 1\ntaken: 1\n\nX:1\nT:Take 1\nK:G\nH8|\n", "take_edit: line 7"},
    {"add:\n", "take_edit: write one phrase, and a line that says on which bar"},
    {"add:\nbar 2: Take 1\n\nX:1\nT:Take 1\nK:G\nG8|\n", "it is among the takes already"},
    {"drop Take 1\n", "take_edit: write drop:, keep:, change: or add: in the first line"},
    {"", "take_edit: write drop:"},
    {"drop: Take 1\ntaken: many\n", "take_edit: line 2: no such number"},
  };
  static const int pitches[] = {65};
  Scene            s;
  (void)state;
  begin(&s);
  take_one(&s, 0, 65);
  takes_read(&s);
  char *const before = strdup(scene_ask(&s, "take"));
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    scene_send(&s, 0, "take_edit", cases[i].edit);
    takes_read(&s);
    take_is(0, 1, 1, pitches);
    TEXT(scene_ask(&s, "take"), before);
    HAS(scene_ask(&s, "problem"), cases[i].why);
  }
  rl_host_send_get(s.host, 0, "urn:reedlamp:take_edit");
  scene_forget(&s);
  scene_play(&s, 64, 16);
  assert_int_equal(s.tolds, 0); /* it can only be written */
  scene_end(&s);
  free(before);
}

/* Saved takes that cannot be read are named, stay, and go on as comments when a new take comes. */
static void
what_cannot_be_read_is_not_lost(void **state)
{
  static const int pitches[] = {67};
  Scene            s, t;
  (void)state;
  begin(&s);
  scene_send(&s, 0, "take", "# Bar 1: mine\n");
  scene_settle(&s);
  char *const saved = rl_host_save(s.host);
  char *const odd   = strstr(saved, "# Bar 1");
  assert_non_null(odd);
  odd[0] = ' '; /* as another version may have written it */
  scene_end(&s);
  begin(&t);
  assert_true(rl_host_restore(t.host, saved));
  free(saved);
  scene_run(&t, 64);
  HAS(scene_ask(&t, "problem"), "the saved takes: line 1");
  HAS(scene_ask(&t, "take"), "Bar 1: mine");
  take_one(&t, 0, 67);
  takes_read(&t);
  take_is(0, 1, 1, pitches);
  HAS(scene_ask(&t, "take"), "#   Bar 1: mine\n");
  HAS(scene_ask(&t, "problem"), "could not be read");
  scene_end(&t);
}

/* The host tells a tempo only at the beginning of a block: that is no jump. */
static void
a_tempo_that_changes_in_a_long_block_ends_no_take(void **state)
{
  Scene  s;
  double beat = 0;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  press(&s);
  for (int i = 0; i < 20; ++i) {
    Report report = rolling_at((int64_t)beat / 4, fmod(beat, 4));
    report.tempo  = i % 2 ? 150 : 90;
    scene_report(&s, 0, &report);
    midi(&s, "control", 10, 0x90, 60 + i, 80);
    midi(&s, "control", 8000, 0x80, 60 + i, 0);
    scene_run(&s, 8192);
    beat += 8192.0 / RATE / 60 * (report.tempo + (i % 2 ? 90 : 150)) / 2; /* it turned halfway */
  }
  press(&s);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 1);
  scene_end(&s);
}

/* More than there is room for: the oldest go, and it is said. */
static void
the_oldest_takes_go_where_there_is_no_room_for_more(void **state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_roll(&s, 0);
  press(&s);
  for (int i = 0; i < RL_PLAN_PHRASES_MAX + 3; ++i) {
    scene_roll(&s, 0);
    note(&s, "control", 40 + i, 1);
  }
  press(&s);
  takes_read(&s);
  assert_int_equal(takes.phrase_count, RL_PLAN_PHRASES_MAX);
  rl_plan_phrase(&takes, RL_PLAN_PHRASES_MAX - 1, &phrase);
  assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[0]), 40 + RL_PLAN_PHRASES_MAX + 2);
  HAS(scene_ask(&s, "problem"), "no room for more takes");
  scene_send(&s, 0, "take", "");
  scene_play(&s, 64, 16);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

/* ---- anything ---- */

static uint64_t chance_state = 4;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

/* Notes while the transport does anything: each pitch is written down as often as it was played. */
static void
no_note_is_lost_or_changed(void **state)
{
  Scene s;
  int   played[128] = {0}, written[128] = {0}, beat = 0;
  bool  rolls = false;
  (void)state;
  begin(&s);
  press(&s);
  for (int i = 0; i < 10000; ++i) {
    const int deed  = chance(10);
    const int pitch = 40 + i % 50;
    if (deed == 0) {
      const bool early = rolls && chance(2); /* a note held over the jump */
      midi(&s, "control", 0, early ? 0x90 : 0xA0, pitch, 80);
      scene_play(&s, 1500, 500);
      beat = chance(60) - 4;
      scene_roll(&s, beat);
      scene_play(&s, early ? BEAT / 2 : 1, 500);
      played[pitch] += early;
      rolls = true;
    } else if (deed == 1) {
      scene_stop(&s, beat);
      rolls = false;
    } else {
      const bool held = chance(4) == 0; /* let go only after whatever comes next */
      midi(&s, "control", 0, 0x90, pitch, 80);
      scene_play(&s, BEAT / 2 - 100, (uint32_t)(1 + chance(4000)));
      midi(&s, "control", 0, held ? 0xA0 : 0x80, pitch, 0);
      scene_play(&s, 100, 100);
      played[pitch] += rolls;
    }
    scene_run(&s, 1);
    if (scene_last(&s)->taking == 0) { /* the form came round */
      press(&s);
    }
    if (i % 50 == 49) {
      press(&s);
      takes_read(&s);
      for (int k = 0; k < takes.phrase_count; ++k) {
        rl_plan_phrase(&takes, k, &phrase);
        for (int n = 0; n < phrase.notes; ++n) {
          ++written[rl_phrase_pitch(&phrase, &phrase.note[n])];
        }
      }
      TEXT(scene_ask(&s, "problem"), "");
      scene_send(&s, 0, "take", "");
      scene_settle(&s);
      for (int p = 0; p < 128; ++p) {
        if (written[p] != played[p]) {
          fail_msg("after %d: pitch %d written %d times, played %d times", i, p, written[p],
                   played[p]);
        }
      }
      press(&s);
    }
  }
  scene_end(&s);
}

/* Streams of any messages while the transport does anything. Every note on that came while it
   listened and the music rolled is in a take (of at most three at once, 512 in all), and every take
   reads. */
static void
whatever_is_played_takes_can_be_read(void **state)
{
  Scene s;
  (void)state;
  begin(&s);
  for (int i = 0; i < 10000; ++i) {
    for (int k = chance(6); k > 0; --k) {
      const int status = chance(3) ? 0x80 + 0x10 * chance(2) : 0x80 + chance(128);
      midi(&s, chance(2) ? "control" : "midi_in", 0, status,
           chance(20) ? 48 + chance(36) : chance(256), chance(20) ? chance(128) : chance(256));
    }
    if (!chance(8)) {
      scene_roll(&s, chance(60) - 8);
    } else if (!chance(30)) {
      scene_stop(&s, chance(60));
    } else if (!chance(12)) {
      press(&s);
    } else if (!chance(200)) {
      scene_send(&s, 0, "chart",
                 chance(2) ? twelve
                           : "meter: 6/8\nlead-in: 2 from 1\nchoruses: 2\n| G7 | C7 | D7 |\n");
    }
    scene_play(&s, chance(2) ? 1 + chance(BEAT) : 1 + chance(30), (uint32_t)(1 + chance(4000)));
    if (i % 50 == 0) {
      takes_read(&s);
      for (int k = 0; k < takes.phrase_count; ++k) {
        rl_plan_phrase(&takes, k, &phrase);
        assert_true(phrase.notes > 0 && phrase.notes <= RL_PHRASE_NOTES_MAX);
        for (int n = 0; n < phrase.notes; ++n) {
          assert_true(phrase.note[n].lasts > 0);
        }
      }
      scene_send(&s, 0, "take", "");
      scene_settle(&s);
    }
  }
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_is_played_stands_on_its_bar),
    cmocka_unit_test(it_is_told_whether_it_listens),
    cmocka_unit_test(a_foot_switch_does_it_too),
    cmocka_unit_test(disarmed_there_is_nothing),
    cmocka_unit_test(while_nothing_rolls_nothing_is_taken),
    cmocka_unit_test(it_ends_when_the_form_comes_round),
    cmocka_unit_test(a_pickup_costs_no_bar_at_the_end),
    cmocka_unit_test(another_pass_is_another_take),
    cmocka_unit_test(an_early_first_beat_belongs_to_the_next_pass),
    cmocka_unit_test(the_note_to_land_on_is_heard_out),
    cmocka_unit_test(a_bend_range_holds_for_every_pass),
    cmocka_unit_test(a_flood_of_breath_and_bends_is_quiet),
    cmocka_unit_test(what_waits_for_the_foot_goes_on),
    cmocka_unit_test(another_chart_ends_it),
    cmocka_unit_test(takes_are_saved),
    cmocka_unit_test(no_take_has_the_title_of_a_planned_one),
    cmocka_unit_test(a_take_that_is_just_over_outlives_an_edit),
    cmocka_unit_test(an_edit_in_an_opened_session_keeps_what_comes),
    cmocka_unit_test(a_take_is_changed_dropped_kept_and_added),
    cmocka_unit_test(a_take_that_came_meanwhile_is_never_hit),
    cmocka_unit_test(an_edit_that_cannot_be_done_changes_nothing_and_says_why),
    cmocka_unit_test(what_cannot_be_read_is_not_lost),
    cmocka_unit_test(a_tempo_that_changes_in_a_long_block_ends_no_take),
    cmocka_unit_test(the_oldest_takes_go_where_there_is_no_room_for_more),
    cmocka_unit_test(no_note_is_lost_or_changed),
    cmocka_unit_test(whatever_is_played_takes_can_be_read),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
