/* SPDX-License-Identifier: ISC */
/* Phrases that overlap, on `midi_out`: one at a time, whatever the plan. Ten thousand songs by
   chance, held note by note against a slow search. */
#include "scene.h"

#include "tests/core/arrange/overlaps.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ON = 0x90, CHORUSES = 3 /* of a song without end */ };

static const double tempo = 480, quarter = RATE * 60 / 480.0;

static RlForm          form;
static RlPlan          plan;
static RlPhrase        phrase;
static RlLane          lane;
static RlLaneWorkspace room;
static Song            song;

static void
song_set(Scene *const s, const char *const chart, const char *const text)
{
  RlChartError wrong;
  RlPlanError  error;
  assert_true(rl_chart_read(rl_slice(chart), &form, &wrong));
  assert_true(rl_plan_read(rl_slice(text), &phrase, &plan, &error));
  rl_lane_make(&plan, &form, form.key, (RlHarpChoice){0, 0, RL_RICHTER}, (RlPlayer){3, 3, false},
               &room, &lane);
  song_play(&plan, &form, &lane, form.choruses ? form.choruses : CHORUSES, &song);
  scene_send(s, 0, "plan", "");
  scene_send(s, 1, "chart", chart);
  scene_send(s, 2, "plan", text);
  scene_settle(s);
}

/* From the first bar of the lead-in to the end, or that of the last chorus. How many frames. */
static int64_t
song_listen(Scene *const s)
{
  const double *const starts = form.starts[RL_AXIS_QUARTERS];
  const int           all    = form.choruses ? form.choruses : CHORUSES;
  const double        ending =
    form.choruses ? starts[form.bars + form.ending_bars] - starts[form.bars] : 0;
  const double quarters =
    rl_form_lead_in(&form, RL_AXIS_QUARTERS) + all * starts[form.bars] + ending;
  const int     unit   = form.bar[0].unit;
  const Report  report = {.said  = SAY_PLAIN,
                          .speed = 1,
                          .tempo = tempo * unit / 4,
                          .beats = form.bar[0].beats,
                          .unit  = unit};
  Report        stop   = report;
  const int64_t frames = llround(quarters * quarter);
  scene_report(s, 0, &report);
  scene_play(s, frames, 8192);
  stop.speed = 0;
  scene_report(s, 0, &stop);
  scene_run(s, 64);
  scene_run(s, 64);
  return frames;
}

static double
frame_of(const double ticks)
{
  return (ticks / RL_TICKS + rl_form_lead_in(&form, RL_AXIS_QUARTERS)) * quarter;
}

/* Where a note that began with event `from` ends. */
static int64_t
end_of(const Scene *const s, const size_t from)
{
  size_t i = from + 1;
  while (i < s->midis && s->midi[i].bytes[1] != s->midi[from].bytes[1]) {
    ++i;
  }
  assert_true(i < s->midis && s->midi[i].bytes[0] != ON);
  return s->midi[i].frame;
}

/* Every note of the song, and no other; all end by the frame `last`. */
static void
song_check(const Scene *const s, const int seed, const double last)
{
  size_t on = 0;
  for (int i = 0; i < song.count; ++i) {
    const SongNote *const n  = &song.note[i];
    const double          at = frame_of(n->at);
    if (at < 0) {
      continue;
    }
    while (on < s->midis && s->midi[on].bytes[0] != ON) {
      ++on;
    }
    if (on == s->midis || s->midi[on].bytes[1] != lane.note[n->index].tab.note ||
        fabs((double)s->midi[on].frame - at) > 1) {
      fail_msg("song %d, note %d: %d at frame %lld, not %d at %g\n%s\n%s", seed, i,
               on < s->midis ? s->midi[on].bytes[1] : -1,
               on < s->midis ? (long long)s->midi[on].frame : 0, lane.note[n->index].tab.note, at,
               form.text, plan.text);
    }
    const double end = fmin(frame_of(n->at + n->lasts), last);
    assert_true(fabs((double)end_of(s, on) - end) <= 1);
    ++on;
  }
  while (on < s->midis && s->midi[on].bytes[0] != ON) {
    ++on;
  }
  assert_true(on == s->midis);
}

/* The pickup of bar 1 comes while the phrase of the last bar still plays. */
static void
a_pickup_over_the_end_of_the_form_is_heard_alone(void **state)
{
  static const char chart[] = "key: G\nchoruses: 2\n| I7 | IV7 | V7 | I7 |\n";
  Scene             s;
  (void)state;
  scene_begin(&s);
  song_set(&s, chart,
           "bar 1: Tide Bell\nbar 4: Down the Steps\n\n"
           "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n\n"
           "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n");
  song_listen(&s);
  int sounding = 0, most = 0, heard = 0;
  for (size_t i = 0; i < s.midis; ++i) {
    sounding += s.midi[i].bytes[0] == ON ? 1 : -1;
    heard += s.midi[i].bytes[0] == ON;
    most = sounding > most ? sounding : most;
  }
  assert_int_equal(most, 1);
  assert_int_equal(heard, 2 + 5 + 4 + 6);
  scene_end(&s);
}

static void
two_on_one_bar_are_not_both_heard(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  song_set(&s, "key: G\nchoruses: 2\n| I7 | IV7 | V7 | I7 |\n",
           "bar 2: Down the Steps, chorus 2\nbar 2: Tide Bell\n\n"
           "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n\n"
           "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\n\"G7\"B2 d2 z4|\n");
  song_listen(&s);
  size_t heard = 0;
  for (size_t i = 0; i < s.midis; ++i) {
    heard += s.midi[i].bytes[0] == ON;
  }
  assert_int_equal(heard, 2 + 6);
  scene_end(&s);
}

static void
what_is_cut_is_said(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  song_set(&s, "key: G\nchoruses: 2\n| I7 | IV7 | V7 | I7 |\n",
           "bar 1: Tide Bell\nbar 4: Down the Steps\nbar 4 beat 4: Down the Steps, chorus 2\n\n"
           "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n\n"
           "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n");
  TEXT(scene_ask(&s, "problem"), "plan: bar 4: Down the Steps is cut short by bar 1: Tide Bell; "
                                 "1 more is cut short or left out");
  scene_send(&s, 0, "plan",
             "bar 4: Tide Bell\nbar 4: Down the Steps\n\n"
             "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n\n"
             "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n");
  scene_settle(&s);
  TEXT(scene_ask(&s, "problem"),
       "plan: bar 4: Tide Bell is never played, because of bar 4: Down the Steps");
  scene_end(&s);
}

static void
two_phrases_of_one_title_are_said(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  song_set(&s, "key: G\n| I7 | IV7 | V7 | I7 |\n",
           "bar 1: Tide Bell\n\nX:1\nT:Tide Bell\nK:G\nG8|\n\nX:2\nT:Tide Bell\nK:G\nB8|\n");
  TEXT(scene_ask(&s, "problem"), "plan: two phrases have the title \"Tide Bell\"; the first is "
                                 "played; give the other a different title");
  scene_send(&s, 0, "plan", "bar 1: Tide Bell\n\nX:1\nT:Tide Bell\nK:G\nG8|\n");
  scene_settle(&s);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

static void
what_a_pasted_phrase_has_no_room_for_is_said(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  song_set(
    &s, "key: G\n| I7 | IV7 | V7 | I7 |\n",
    "bar 3: Tide Bell\n\nX:1\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\n{a}G4 ~B4|\nw: toll the bell\n");
  TEXT(scene_ask(&s, "problem"),
       "plan: Tide Bell: an ornament, a grace note and a line of words left out");
  scene_send(&s, 0, "plan", "bar 3: Tide Bell\n\nX:1\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nG4 B4|\n");
  scene_settle(&s);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

static void
ten_thousand_songs_are_heard_one_phrase_at_a_time(void **state)
{
  const int songs = getenv("REEDLAMP_FEW") ? 300 : 10000;
  Scene     s;
  (void)state;
  scene_begin(&s);
  for (int seed = 0; seed < songs; ++seed) {
    char   chart[1024], text[4096];
    RlText head  = rl_text_in(chart, sizeof(chart));
    RlText lines = rl_text_in(text, sizeof(text));
    overlaps_write((uint32_t)seed, &head, &lines);
    song_set(&s, chart, text);
    song_check(&s, seed, (double)song_listen(&s));
    scene_forget(&s);
  }
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_pickup_over_the_end_of_the_form_is_heard_alone),
    cmocka_unit_test(two_on_one_bar_are_not_both_heard),
    cmocka_unit_test(what_is_cut_is_said),
    cmocka_unit_test(two_phrases_of_one_title_are_said),
    cmocka_unit_test(what_a_pasted_phrase_has_no_room_for_is_said),
    cmocka_unit_test(ten_thousand_songs_are_heard_one_phrase_at_a_time),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
