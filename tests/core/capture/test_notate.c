/* SPDX-License-Identifier: ISC */
/* Takes written down again: phrases are played by a machine that is late, uneven and swings, and
   what comes out is held against what went in. The least shares of notes that must come
   out right are ours. That a player lags and swings about so much is common practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"
#include "core/capture/notate.h"
#include "core/chart/chart.h"
#include "core/phrase/edit.h"
#include "played.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char plain_chart[] =
  "key: C\n| I7 | IV7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V7 | IV7 | I7 | V7 |\n";
static const char dotted_chart[] =
  "key: C\nmeter: 12/8\n| I7 | IV7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V7 | IV7 | I7 | V7 |\n";
static const char waltz_chart[] =
  "key: C\nmeter: 3/4\n| I7 | IV7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V7 | IV7 | I7 | V7 |\n";

static RlForm            form;
static RlTake            take;
static RlNotateWorkspace room;
static RlNotated         notated;
static PlayedEvent       event[PLAYED_MAX];

typedef struct {
  int notes, right, swings, swings_right;
} Score;

static void
chart_read(const char *const text)
{
  RlChartError error;
  assert_true(rl_chart_read(rl_slice(text), &form, &error));
}

static void
take_play(const RlPhrase *const p, const double bar, const Played how)
{
  const int n = played_events(p, bar, how, event);
  rl_take_begin(&take);
  for (int i = 0; i < n; ++i) {
    rl_take_midi(&take, event[i].at, event[i].bytes, 3);
  }
  rl_take_end(&take, event[n - 1].at);
}

/* Ticks along the song of the bar that a written phrase stands on. */
static int32_t
written_bar(void)
{
  const double chorus = form.starts[RL_AXIS_QUARTERS][form.bars];
  const double before = notated.chorus > 1 ? (notated.chorus - 1) * chorus : 0;
  return (int32_t)lround((before + form.starts[RL_AXIS_QUARTERS][notated.bar - 1]) * RL_TICKS);
}

static bool
is_written(const RlPhrase *const played, const RlPhraseNote *const n, const int32_t bar)
{
  const RlPhrase *const w = &notated.phrase;
  for (int i = 0; i < w->notes; ++i) {
    if (w->note[i].at + written_bar() == n->at + bar && w->note[i].lasts == n->lasts &&
        rl_phrase_pitch(w, &w->note[i]) == rl_phrase_pitch(played, n)) {
      return true;
    }
  }
  return false;
}

/* What was written down is a tune that reads back as the same phrase. */
static void
abc_holds(void)
{
  static char     text[RL_ABC_MAX];
  static RlPhrase back;
  RlAbcError      error;
  RlText          out = rl_text_in(text, sizeof(text));
  const RlPhrase *w   = &notated.phrase;
  rl_abc_write(w, &out);
  assert_true(rl_abc_read((RlSlice){text, out.used}, &back, &error));
  assert_int_equal(back.notes, w->notes);
  assert_int_equal(back.pickup, w->pickup);
  assert_int_equal(back.lasts, w->lasts);
  assert_int_equal(back.chords, w->chords);
  for (int i = 0; i < w->notes; ++i) {
    assert_int_equal(back.note[i].at, w->note[i].at);
    assert_int_equal(back.note[i].lasts, w->note[i].lasts);
    assert_int_equal(back.note[i].articulation, w->note[i].articulation);
    assert_int_equal(rl_phrase_pitch(&back, &back.note[i]), rl_phrase_pitch(w, &w->note[i]));
  }
}

static void
phrase_score(const RlPhrase *const p, const double bar, const Played how, Score *const score)
{
  const bool  verbose = getenv("REEDLAMP_VERBOSE") != NULL;
  const Score before  = *score;
  take_play(p, bar, how);
  assert_true(rl_notate(&take, &form, form.key, how.tempo, &room, &notated));
  abc_holds();
  for (int i = 0; i < p->notes; ++i) {
    const bool right = is_written(p, &p->note[i], (int32_t)lround(bar * RL_TICKS));
    ++score->notes;
    score->right += right;
    if (verbose && !right) {
      print_message("  missed %.3f+%.3f", (double)p->note[i].at / RL_TICKS,
                    (double)p->note[i].lasts / RL_TICKS);
    }
  }
  const double beats = how.tempo / (p->meter_unit == 8 ? 1.5 : 1);
  if (p->meter_unit == 4 && notated.feel.off_beats >= 16 && beats <= 160) {
    const bool thirds = how.swing >= 0.64 && notated.feel.swing >= 0.64;
    ++score->swings;
    score->swings_right += thirds || fabs(notated.feel.swing - how.swing) <= 0.03;
  }
  if (verbose && score->right - before.right < score->notes - before.notes) {
    print_message(
      "\n%s: %d of %d at %.0f, swing %.2f (%.3f from %d), behind %.1f, spread %.0f (%.1f)\n",
      p->title, score->right - before.right, score->notes - before.notes, how.tempo, how.swing,
      notated.feel.swing, notated.feel.off_beats, notated.feel.behind, notated.feel.spread,
      how.spread_ms);
  }
}

static double
spread_at(const double beats_a_minute)
{
  return fmin(15, 0.03 * 60000 / beats_a_minute);
}

static void
score_tell(const char *const what, const Score *const s)
{
  print_message("%s: %d of %d notes right (%.2f %%), swing right in %d of %d\n", what, s->right,
                s->notes, 100.0 * s->right / s->notes, s->swings_right, s->swings);
  assert_true(s->right >= 0.98 * s->notes);
  assert_int_equal(s->swings_right, s->swings);
}

/* ---- invented phrases ---- */

static void
many(const char *const what, const bool dotted, const bool swings, const int count)
{
  Score    score = {0};
  unsigned seed  = 20 + dotted + 2U * swings;
  chart_read(dotted ? dotted_chart : plain_chart);
  for (int i = 0; i < count; ++i) {
    static RlPhrase p;
    const double    beats = 60 + played_random(&seed) * (dotted ? 60 : 160);
    const int       bars  = 2 + (int)(played_random(&seed) * 7);
    const double    swing = swings ? 0.55 + played_random(&seed) * 0.15 : 0.5;
    const double    bar   = (dotted ? 6 : 4) * floor(played_random(&seed) * 40);
    played_invent(&seed, bars, dotted, swings, beats, &p);
    phrase_score(&p, bar, (Played){beats * (dotted ? 1.5 : 1), swing, 10, spread_at(beats), seed},
                 &score);
  }
  score_tell(what, &score);
}

static void
straight_ones_are_written_down(void **state)
{
  (void)state;
  many("straight", false, false, 200);
}

static void
swung_ones_are_written_down(void **state)
{
  (void)state;
  many("swung", false, true, 200);
}

/* Off-beats enough to know the swing by. */
static void
swing_is_known_from_sixteen_off_beats(void **state)
{
  Score    score = {0};
  unsigned seed  = 5;
  (void)state;
  chart_read(plain_chart);
  for (int i = 0; i < 200; ++i) {
    static RlPhrase p;
    const double    tempo = 60 + played_random(&seed) * 100;
    const double    swing = i % 4 ? 0.55 + played_random(&seed) * 0.15 : 0.5;
    played_invent(&seed, 12, false, i % 4, tempo, &p);
    phrase_score(&p, 0, (Played){tempo, swing, 10, spread_at(tempo), seed}, &score);
  }
  score_tell("long ones", &score);
  assert_true(score.swings >= 100);
}

static void
dotted_ones_are_written_down(void **state)
{
  (void)state;
  many("dotted", true, false, 200);
}

/* Three in the time of two beats, among quarters and eighths; swung so far that eighths beside such
   triplets are not triplets themselves. */
static void
halves_invent(unsigned *const seed, const int bars, RlPhrase *const p)
{
  static const int8_t halves[4][5] = {
    {0, 8, 16, 24}, {0, 12, 24}, {0, 6, 12, 18, 24}, {0, 12, 18, 24}}; /* twelfths of a beat */
  memset(p, 0, sizeof(*p));
  p->meter_beats = p->meter_unit = 4;
  p->chords                      = 1;
  rl_chord_read(rl_slice("C7"), &p->chord[0].chord);
  for (int h = 0; h < bars * 2; ++h) {
    const int8_t *const half = halves[(int)(played_random(seed) * 4)];
    for (int i = 0; half[i] < 24; ++i) {
      p->note[p->notes++] = (RlPhraseNote){.at    = (h * 24 + half[i]) * RL_TICKS / 12,
                                           .lasts = (half[i + 1] - half[i]) * RL_TICKS / 12,
                                           .above = (int16_t)(played_random(seed) * 24)};
    }
  }
  p->lasts = bars * 4 * RL_TICKS;
}

static void
quarter_triplets_are_written_down(void **state)
{
  (void)state;
  chart_read(plain_chart);
  for (int swings = 0; swings < 2; ++swings) {
    Score    score = {0};
    unsigned seed  = 31;
    for (int i = 0; i < 200; ++i) {
      static RlPhrase p;
      const double    tempo = 60 + played_random(&seed) * 160;
      const double    swing = swings ? 0.55 + played_random(&seed) * 0.07 : 0.5;
      halves_invent(&seed, 2 + (int)(played_random(&seed) * 5), &p);
      phrase_score(&p, 4 * floor(played_random(&seed) * 40),
                   (Played){tempo, swing, 10, spread_at(tempo), seed}, &score);
    }
    score_tell(swings ? "quarter triplets, swung" : "quarter triplets, straight", &score);
  }
}

/* ---- our own ---- */

static RlPhrase own;

static void
own_read(const char *const name)
{
  static char       text[RL_ABC_MAX];
  char              path[8192];
  const char *const top = getenv("RL_TEST_DATA");
  RlAbcError        error;
  snprintf(path, sizeof(path), "%s/presets/phrases/%s.abc", top ? top : ".", name);
  FILE *const file = fopen(path, "r");
  assert_non_null(file);
  const size_t size = fread(text, 1, sizeof(text), file);
  fclose(file);
  RlAbcBook book = rl_abc_book((RlSlice){text, size});
  assert_true(rl_abc_read(rl_abc_next(&book), &own, &error));
}

static const char *const names[] = {"alto-at-the-rail",    "brass-on-the-upper-deck",
                                    "coal-barge",          "deckhand-shuffle",
                                    "down-the-steps",      "ferry-street",
                                    "fog-horn-answer",     "gangway",
                                    "gulls-on-the-roof",   "lantern-low",
                                    "last-boat-home",      "low-water",
                                    "night-boat",          "paddle-wheel",
                                    "rope-on-the-bollard", "slack-water",
                                    "steam-whistle",       "third-bell-north-wind",
                                    "ticket-punch",        "tide-bell"};

static void
our_own_are_written_down(void **state)
{
  Score    score = {0};
  unsigned seed  = 11;
  (void)state;
  for (int i = 0; i < 200; ++i) {
    own_read(names[i % 20]);
    const bool   dotted = own.meter_unit == 8;
    const bool   swings = strstr(own.fields, "swung") != NULL && i / 20 % 2;
    const double swing  = swings ? 0.55 + played_random(&seed) * 0.15 : 0.5;
    const double beats =
      fmin(220, fmax(60, own.tempo / (dotted ? 1.5 : 1) * (0.6 + 0.9 * played_random(&seed))));
    const double bar = (dotted                 ? 6
                        : own.meter_beats == 3 ? 3
                                               : 4) *
                       (1 + floor(played_random(&seed) * 40));
    chart_read(dotted ? dotted_chart : own.meter_beats == 3 ? waltz_chart : plain_chart);
    phrase_score(
      &own, bar,
      (Played){beats * (dotted ? 1.5 : 1), swing, 10, spread_at(beats), seed + (unsigned)i},
      &score);
  }
  score_tell("our own", &score);
}

/* ---- one by one ---- */

/* Messages as `beats note on|off`, then written down: what stands on which place. */
static void
written_is(const char *const chart, const PlayedEvent *const events, const int count,
           const double tempo, const char *const abc)
{
  static char text[RL_ABC_MAX];
  RlText      out = rl_text_in(text, sizeof(text));
  chart_read(chart);
  rl_take_begin(&take);
  for (int i = 0; i < count; ++i) {
    rl_take_midi(&take, events[i].at, events[i].bytes, 3);
  }
  rl_take_end(&take, events[count - 1].at);
  assert_true(rl_notate(&take, &form, form.key, tempo, &room, &notated));
  rl_abc_write(&notated.phrase, &out);
  assert_string_equal(text + strlen("%abc-2.1\nX:1\nT:\n"), abc);
}

#define PLAYED(...)                                                                                \
  (const PlayedEvent[]){__VA_ARGS__},                                                              \
    sizeof((const PlayedEvent[]){__VA_ARGS__}) / sizeof(PlayedEvent)
#define ON(at, key)                                                                                \
  {                                                                                                \
    at,                                                                                            \
    {                                                                                              \
      0x90, key, 80                                                                                \
    }                                                                                              \
  }
#define OFF(at, key)                                                                               \
  {                                                                                                \
    at,                                                                                            \
    {                                                                                              \
      0x80, key, 64                                                                                \
    }                                                                                              \
  }
#define BENT(at, value)                                                                            \
  {                                                                                                \
    at,                                                                                            \
    {                                                                                              \
      0xE0, (uint8_t)((8192 + (value)) & 127), (uint8_t)((8192 + (value)) >> 7)                    \
    }                                                                                              \
  }

static void
a_phrase_is_written_with_its_chords_and_pickup(void **state)
{
  (void)state;
  written_is(
    plain_chart,
    PLAYED(ON(3.01, 67), OFF(3.45, 67), ON(3.52, 69), OFF(4, 69), ON(4.01, 72), OFF(5.9, 72)), 100,
    "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"GA|\"F7\"c4 z4|]\n");
  assert_int_equal(notated.bar, 2);
  assert_int_equal(notated.chorus, 1);
}

static void
a_note_held_bent_is_the_bent_one_and_one_bent_into_a_scoop(void **state)
{
  (void)state;
  written_is(plain_chart,
             PLAYED(BENT(-.2, -4096), ON(0, 64), OFF(.96, 64), BENT(.97, -3000), ON(1, 67),
                    BENT(1.1, -1500), BENT(1.2, 0), OFF(1.97, 67), ON(2, 67), OFF(3, 67)),
             100, "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"\"^bend\"_E2 !slide!G2 G2 z2|]\n");
}

static void
a_note_let_go_while_it_is_bent_down_falls(void **state)
{
  (void)state;
  written_is(plain_chart,
             PLAYED(ON(0, 67), BENT(.8, -2000), BENT(.9, -8192), OFF(.96, 67), BENT(.97, 0),
                    ON(1, 64), BENT(1.9, -1500), OFF(1.96, 64), BENT(1.97, 0), ON(2, 67),
                    OFF(3, 67)),
             100, "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"\"^fall\"G2 E2 G2 z2|]\n");
}

static void
the_bend_range_is_heeded(void **state)
{
  (void)state;
  written_is(plain_chart,
             PLAYED({0, {0xB0, 101, 0}}, {0, {0xB0, 100, 0}}, {0, {0xB0, 6, 12}}, BENT(0, -2048),
                    ON(0, 67), OFF(.97, 67)),
             100, "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"\"^bend\"E2 z6|]\n");
}

static void
notes_at_once_are_three_at_most_and_the_rest_is_said(void **state)
{
  char   words[256];
  RlText said = rl_text_in(words, sizeof(words));
  (void)state;
  written_is(plain_chart,
             PLAYED(ON(0, 60), ON(.005, 64), ON(.01, 67), ON(.015, 72), OFF(.9, 60), OFF(.9, 64),
                    OFF(.9, 67), OFF(.9, 72)),
             100, "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"[EGc]2 z6|]\n");
  rl_notated_say(&notated, &said);
  assert_string_equal(words, "3 notes; notes without a place, left out: 1");
}

/* What is said of the swing can be read from the tune again. */
static void
swing_is_read_from_what_was_said(void **state)
{
  static const int hundredths[] = {50, 53, 57, 63, 64, 71};
  (void)state;
  for (size_t i = 0; i < sizeof(hundredths) / sizeof(hundredths[0]); ++i) {
    char            fields[256];
    RlText          said = rl_text_in(fields, sizeof(fields));
    const RlNotated n    = {.phrase.notes = 9,
                            .feel         = {.swing = hundredths[i] / 100.0, .off_beats = 4}};
    rl_text_add(&said, "C:A deckhand\nN:");
    rl_notated_say(&n, &said);
    rl_text_add(&said, "\nN:played 4\n");
    assert_true(fabs(rl_notated_swing(fields) - hundredths[i] / 100.0) < 1e-9);
  }
  assert_true(rl_notated_swing("") == 0.5 && rl_notated_swing("N:9 notes, swung (.99)\n") == 0.5);
  assert_true(rl_notated_swing("N:9 notes, swung (.6") == 0.5);
  assert_true(rl_notated_swing("N:swung (.62)\n") == 0.5); /* somebody's own words */
}

static void
a_crushed_note_from_below_is_a_scoop(void **state)
{
  char   words[256];
  RlText said = rl_text_in(words, sizeof(words));
  (void)state;
  written_is(plain_chart,
             PLAYED(ON(-0.02, 63), OFF(.03, 63), ON(.03, 64), OFF(.97, 64), ON(1, 67), OFF(2, 67)),
             100, "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"!slide!E2 G2 z4|]\n");
  rl_notated_say(&notated, &said);
  assert_string_equal(words, "2 notes; crushed notes made scoops: 1");
}

/* On the beat, before it, and held down together with the next, as on a keyboard; a run is none. */
static void
crushed_notes_are_scoops_wherever_they_lie(void **state)
{
  (void)state;
  written_is(plain_chart,
             PLAYED(ON(0, 63), OFF(.1, 63), ON(.1, 64), OFF(.97, 64), ON(1, 67), OFF(2, 67)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"!slide!E2 G2 z4|]\n");
  written_is(plain_chart,
             PLAYED(ON(0, 60), OFF(.8, 60), ON(.92, 63), OFF(1, 63), ON(1, 64), OFF(1.97, 64)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"C2 !slide!E2 z4|]\n");
  written_is(plain_chart,
             PLAYED(ON(0, 63), ON(.05, 64), OFF(.2, 63), OFF(.97, 64), ON(1, 67), OFF(2, 67)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"!slide!E2 G2 z4|]\n");
  written_is(plain_chart,
             PLAYED(ON(0, 60), OFF(.25, 60), ON(.25, 61), OFF(.5, 61), ON(.5, 62), OFF(.75, 62),
                    ON(.75, 63), OFF(1, 63), ON(1, 64), OFF(2, 64)),
             190, "M:4/4\nL:1/8\nQ:1/4=190\nK:C\n\"C7\"C/_D/=D/_E/ =E2 z4|]\n");
}

/* Of notes at once the longest counts. */
static void
notes_at_once_end_with_the_longest(void **state)
{
  (void)state;
  written_is(plain_chart, PLAYED(ON(0, 60), ON(.005, 67), OFF(1, 60), OFF(2, 67)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"[CG]4 z4|]\n");
}

static void
a_meter_that_changes_is_written_without_one(void **state)
{
  (void)state;
  written_is("key: C\n| I7 | 2/4 IV7 | 4/4 I7 |\n",
             PLAYED(ON(2, 60), OFF(4, 60), ON(4, 65), OFF(6, 65), ON(6, 60), OFF(8, 60)), 100,
             "M:none\nL:1/8\nQ:1/4=100\nK:C\n\"C7\"z4C4\"F7\"F4\"C7\"C4z4|]\n");
}

/* A lead-in without chords is no bar of the form; one that plays bars of it is those. */
static void
what_is_played_in_the_lead_in_has_a_bar_too(void **state)
{
  (void)state;
  written_is("key: C\nlead-in: 2\n| I7 | IV7 |\n", PLAYED(ON(-8, 60), OFF(-6, 60)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"C\"C4 z4|]\n");
  assert_int_equal(notated.bar, 1);
  assert_true(notated.moved);
  written_is("key: C\nlead-in: 2 from 1\n| I7 | IV7 |\n", PLAYED(ON(-4, 60), OFF(-2, 60)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"F7\"C4 z4|]\n");
  assert_int_equal(notated.bar, 2);
  assert_false(notated.moved);
}

/* Days into a song that goes on for ever the bar is the same. */
static void
far_along_it_is_the_same(void **state)
{
  const double far = 48.0 * 100000 + 4;
  (void)state;
  written_is(plain_chart,
             PLAYED(ON(far, 60), OFF(far + 1, 60), ON(far + 1.5, 64), OFF(far + 2, 64)), 100,
             "M:4/4\nL:1/8\nQ:1/4=100\nK:C\n\"F7\"C2 zE z4|]\n");
  assert_int_equal(notated.bar, 2);
  assert_int_equal(notated.chorus, 100001);
}

/* Ends let go early, as fingers do, do not become rests. */
static void
notes_let_go_early_keep_their_length(void **state)
{
  Score    score = {0};
  unsigned seed  = 77;
  (void)state;
  chart_read(plain_chart);
  for (int i = 0; i < 100; ++i) {
    static RlPhrase p;
    played_invent(&seed, 6, false, false, 100, &p);
    const int n = played_events(&p, 0, (Played){100, 0.5, 10, 10, seed}, event);
    rl_take_begin(&take);
    for (int k = 0; k < n; ++k) {
      event[k].at -= event[k].bytes[0] == 0x80 ? 0.12 * played_random(&seed) : 0;
    }
    qsort(event, (size_t)n, sizeof(*event), played_in_order);
    for (int k = 0; k < n; ++k) {
      rl_take_midi(&take, event[k].at, event[k].bytes, 3);
    }
    rl_take_end(&take, event[n - 1].at);
    assert_true(rl_notate(&take, &form, form.key, 100, &room, &notated));
    for (int k = 0; k < p.notes; ++k) {
      ++score.notes;
      score.right += is_written(&p, &p.note[k], 0);
    }
  }
  score_tell("let go early", &score);
}

/* ---- put right by hand ---- */

static void
abc_read(const char *const tune)
{
  RlAbcError error;
  assert_true(rl_abc_read(rl_slice(tune), &own, &error));
}

static void
abc_is(const char *const music)
{
  static char text[RL_ABC_MAX];
  RlText      out = rl_text_in(text, sizeof(text));
  rl_abc_write(&own, &out);
  assert_string_equal(strstr(text, "K:") + 4, music);
}

static void
a_note_is_moved_by_hand(void **state)
{
  (void)state;
  abc_read("X:1\nT:a\nM:4/4\nL:1/8\nK:C\n\"C7\"c2 [eg]2 z2 \"F7\"a2|\n");
  assert_int_equal(rl_phrase_onsets(&own), 3);
  assert_int_equal(rl_phrase_onset_first(&own, 2), 3);
  assert_true(
    rl_phrase_onset_shift(&own, 1, 1)); /* a quarter of a beat, then a third, then a half */
  abc_is("\"C7\"c5/[eg]3/ z2 \"F7\"a2|]\n");
  assert_true(rl_phrase_onset_shift(&own, 1, 1));
  assert_true(rl_phrase_onset_shift(&own, 1, 1));
  abc_is("\"C7\"c3[eg] z2 \"F7\"a2|]\n");
  assert_true(rl_phrase_onset_shift(&own, 2, -1));
  abc_is("\"C7\"c3[eg] z3/a/- \"F7\"a2|]\n");
  assert_int_equal(own.note[3].chord, 0); /* over another chord, at the same pitch */
  assert_int_equal(rl_phrase_pitch(&own, &own.note[3]), 81);
  assert_false(rl_phrase_onset_shift(&own, 0, -1));
  while (rl_phrase_onset_shift(&own, 0, 1)) {
  }
  assert_true(own.note[0].at < own.note[1].at && own.note[0].lasts > 0);
}

static void
a_note_is_taken_out_by_hand(void **state)
{
  (void)state;
  abc_read("X:1\nT:a\nM:12/8\nL:1/8\nK:C\n\"C7\"c3 [eg]3 z3 a3|\n");
  assert_true(rl_phrase_onset_shift(&own, 1, 1)); /* a sixth of a dotted quarter */
  assert_int_equal(own.note[1].at, RL_TICKS * 3 / 2 + RL_TICKS / 4);
  assert_true(rl_phrase_onset_remove(&own, 1));
  assert_true(rl_phrase_onset_remove(&own, 0));
  abc_is("\"C7\"z9 a3|]\n");
  assert_false(rl_phrase_onset_remove(&own, 0));
}

/* ---- takes ---- */

static void
what_has_no_meaning_is_passed_over(void **state)
{
  static const uint8_t odd[][3] = {{0x90, 200, 1}, {0x90, 60, 200}, {0xF0, 1, 2},
                                   {0x20, 60, 60}, {0xC0, 5, 0},    {0xD0, 5, 0},
                                   {0xA0, 60, 3},  {0x80, 60, 0},   {0xB0, 1, 90}};
  (void)state;
  rl_take_begin(&take);
  for (size_t i = 0; i < sizeof(odd) / sizeof(odd[0]); ++i) {
    rl_take_midi(&take, (double)i, odd[i], 3);
  }
  rl_take_midi(&take, 20, (const uint8_t[]){0x90, 60}, 2);
  rl_take_end(&take, 30);
  assert_int_equal(take.notes, 0);
  assert_false(rl_notate(&take, &form, form.key, 100, &room, &notated));
}

static void
no_note_hangs(void **state)
{
  (void)state;
  rl_take_begin(&take);
  rl_take_midi(&take, 0, (const uint8_t[]){0x91, 60, 80}, 3);
  rl_take_midi(&take, 1, (const uint8_t[]){0x90, 60, 80}, 3); /* another channel */
  rl_take_midi(&take, 2, (const uint8_t[]){0xB1, 123, 0}, 3);
  rl_take_midi(&take, 3, (const uint8_t[]){0x90, 62, 80}, 3);
  rl_take_midi(&take, 4, (const uint8_t[]){0x90, 60, 80}, 3);   /* again, without an off */
  rl_take_midi(&take, 4.02, (const uint8_t[]){0x80, 60, 0}, 3); /* the first one's */
  rl_take_end(&take, 5);
  assert_int_equal(take.notes, 4);
  const double ends[]    = {2, 4, 5, 5};
  const int    pitches[] = {60, 60, 62, 60};
  for (int i = 0; i < 4; ++i) {
    assert_false(take.note[i].sounds);
    assert_int_equal(take.note[i].pitch, pitches[i]);
    assert_true(fabs(take.note[i].ends - ends[i]) < 1e-9);
  }
}

/* Every pitch that was played and had a place comes out as often, in order. */
static void
a_take_holds_so_many_notes_and_counts_the_rest(void **state)
{
  (void)state;
  chart_read(plain_chart);
  rl_take_begin(&take);
  for (int i = 0; i < RL_TAKE_NOTES_MAX + 5; ++i) {
    rl_take_midi(&take, i / 4.0, (const uint8_t[]){0x90, (uint8_t)(60 + i % 12), 80}, 3);
    rl_take_midi(&take, i / 4.0 + 0.24, (const uint8_t[]){0x80, (uint8_t)(60 + i % 12), 80}, 3);
  }
  rl_take_end(&take, 1000);
  assert_int_equal(take.too_many, 5);
  assert_true(rl_notate(&take, &form, form.key, 80, &room, &notated));
  assert_int_equal(notated.phrase.notes, RL_TAKE_NOTES_MAX);
  for (int i = 0; i < RL_TAKE_NOTES_MAX; ++i) {
    assert_int_equal(rl_phrase_pitch(&notated.phrase, &notated.phrase.note[i]), 60 + i % 12);
  }
  assert_int_equal(notated.left_out, 5);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(straight_ones_are_written_down),
    cmocka_unit_test(swung_ones_are_written_down),
    cmocka_unit_test(swing_is_known_from_sixteen_off_beats),
    cmocka_unit_test(dotted_ones_are_written_down),
    cmocka_unit_test(quarter_triplets_are_written_down),
    cmocka_unit_test(our_own_are_written_down),
    cmocka_unit_test(a_phrase_is_written_with_its_chords_and_pickup),
    cmocka_unit_test(a_note_held_bent_is_the_bent_one_and_one_bent_into_a_scoop),
    cmocka_unit_test(a_note_let_go_while_it_is_bent_down_falls),
    cmocka_unit_test(the_bend_range_is_heeded),
    cmocka_unit_test(notes_at_once_are_three_at_most_and_the_rest_is_said),
    cmocka_unit_test(swing_is_read_from_what_was_said),
    cmocka_unit_test(a_crushed_note_from_below_is_a_scoop),
    cmocka_unit_test(crushed_notes_are_scoops_wherever_they_lie),
    cmocka_unit_test(notes_at_once_end_with_the_longest),
    cmocka_unit_test(a_meter_that_changes_is_written_without_one),
    cmocka_unit_test(what_is_played_in_the_lead_in_has_a_bar_too),
    cmocka_unit_test(far_along_it_is_the_same),
    cmocka_unit_test(notes_let_go_early_keep_their_length),
    cmocka_unit_test(a_note_is_moved_by_hand),
    cmocka_unit_test(a_note_is_taken_out_by_hand),
    cmocka_unit_test(what_has_no_meaning_is_passed_over),
    cmocka_unit_test(no_note_hangs),
    cmocka_unit_test(a_take_holds_so_many_notes_and_counts_the_rest),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
