/* SPDX-License-Identifier: ISC */
/* Rhythm as a player would write it down, meter by meter. Expected values by hand: how a bar is cut
   at its beats is common practice in engraving, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/rhythm.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { Q = RL_TICKS, ROOM = 4096 };

static RlSymbol symbols[RL_SYMBOLS_MAX];
static char     text[ROOM];

/* A bar in short: w h q e s t x for values from whole to sixty-fourth, `.` dotted, `r` before a
   rest, `~` tied into what follows (before the first: from what was), `3(` ... `)` a tuplet, `[`
   ...
   `]` a beam. */
static const char *
written(const int beats, const int unit, const RlSound *const sounds, const int count)
{
  const int n   = rl_rhythm_write(beats, unit, sounds, count, symbols);
  RlText    out = rl_text_in(text, sizeof(text));
  for (int i = 0; i < n; ++i) {
    const RlSymbol *const s       = &symbols[i];
    const bool            first   = i == 0;
    const bool            last    = i + 1 == n;
    const char            value[] = {"whqestx"[s->value], '\0'};
    rl_text_add(&out, first ? "" : " ");
    if (s->group && (first || s[-1].group != s->group)) {
      rl_text_add_int(&out, s->tuplet);
      rl_text_add(&out, "(");
    }
    rl_text_add(&out, s->beam && (first || s[-1].beam != s->beam) ? "[" : "");
    rl_text_add(&out, first && s->from ? "~" : "");
    rl_text_add(&out, s->sound < 0 ? "r" : "");
    rl_text_add(&out, value);
    rl_text_add(&out, s->dot ? "." : "");
    rl_text_add(&out, s->into ? "~" : "");
    rl_text_add(&out, s->beam && (last || s[1].beam != s->beam) ? "]" : "");
    rl_text_add(&out, s->group && (last || s[1].group != s->group) ? ")" : "");
  }
  return text;
}

/* Sounds one after the other, in parts of a quarter: lengths, negative ones silent, 0 ends. */
static const char *
bar(const int beats, const int unit, const int part, const int *lengths)
{
  RlSound sounds[RL_SOUNDS_MAX];
  int     count = 0;
  int32_t at    = 0;
  for (; *lengths; ++lengths) {
    const int32_t lasts = abs(*lengths) * Q / part;
    if (*lengths > 0) {
      sounds[count++] = (RlSound){at, lasts};
    }
    at += lasts;
  }
  return written(beats, unit, sounds, count);
}

#define BAR(beats, unit, part, ...) bar(beats, unit, part, (const int[]){__VA_ARGS__, 0})

static void
quarters_and_eighths_are_beamed_by_the_beat(void **state)
{
  (void)state;
  assert_string_equal(BAR(4, 4, 2, 2, 1, 1, 2, 2), "q [e e] q q");
  assert_string_equal(BAR(4, 4, 2, 1, 1, 1, 1, 1, 1, 1, 1), "[e e] [e e] [e e] [e e]");
  assert_string_equal(BAR(4, 4, 4, 4, 1, 1, 2, 2, 1, 1, 4), "q [s s e] [e s s] q");
}

static void
a_value_fills_its_bar_or_is_dotted_where_no_beat_is_hidden(void **state)
{
  (void)state;
  assert_string_equal(BAR(4, 4, 1, 4), "w");
  assert_string_equal(BAR(4, 4, 1, 3, 1), "h. q");
  assert_string_equal(BAR(4, 4, 1, 1, 3), "q h.");
  assert_string_equal(BAR(4, 4, 2, 3, 1, 3, 1), "q. e q. e");
  assert_string_equal(BAR(4, 4, 4, 3, 1, 4, 8), "[e. s] q h");
}

static void
off_the_beat_one_value_may_cross_a_beat_but_not_the_middle_of_the_bar(void **state)
{
  (void)state;
  assert_string_equal(BAR(4, 4, 2, 1, 2, 1, 4), "e q e h");
  assert_string_equal(BAR(4, 4, 1, 1, 2, 1), "q h q");
  assert_string_equal(BAR(4, 4, 2, 3, 2, 3), "q. e~ e q.");
  assert_string_equal(BAR(4, 4, 2, 2, 3, 3), "q q~ e q.");
}

static void
rests_show_every_beat(void **state)
{
  (void)state;
  assert_string_equal(BAR(4, 4, 1, 1, -3), "q rq rh");
  assert_string_equal(BAR(4, 4, 1, -3, 1), "rh rq q");
  assert_string_equal(BAR(4, 4, 2, -1, 1, -2, 4), "re e rq h");
  assert_string_equal(BAR(4, 4, 2, 1, -3, 4), "e re rq h");
  assert_string_equal(written(4, 4, NULL, 0), "rw");
}

static void
ties_lead_over_bar_lines(void **state)
{
  (void)state;
  const RlSound over[] = {{-Q, 2 * Q}, {3 * Q, 2 * Q}};
  assert_string_equal(written(4, 4, over, 2), "~q rq rq q~");
  const RlSound whole[] = {{-Q, 6 * Q}};
  assert_string_equal(written(4, 4, whole, 1), "~w~");
}

static void
triplets_are_bracketed(void **state)
{
  (void)state;
  assert_string_equal(BAR(4, 4, 3, 1, 1, 1, 3, 3, 3), "3([e e e]) q q q");
  assert_string_equal(BAR(4, 4, 3, 2, 1, 1, -1, 1, 3, 3), "3(q e) 3(e re e) q q");
  assert_string_equal(BAR(4, 4, 3, 2, 2, 2, 6), "3(q q q) h");
  assert_string_equal(BAR(4, 4, 6, 1, 1, 1, 1, 1, 1, 6, 12), "3([s s s s s s]) q h");
  assert_string_equal(BAR(4, 4, 5, 1, 1, 1, 1, 1, 5, 10), "5([s s s s s]) q h");
  assert_string_equal(BAR(4, 4, 7, 1, 1, 1, 1, 1, 1, 1, 7, 14), "7([s s s s s s s]) q h");
}

static void
a_note_out_of_a_triplet_is_tied(void **state)
{
  (void)state;
  assert_string_equal(BAR(4, 4, 3, 3, 1, 1, 4, 3), "q 3([e e e~]) q q");
  assert_string_equal(BAR(4, 4, 3, 3, 2, 2, 2, 3), "q 3(q e~) 3(e q) q"); /* the middle shows */
}

static void
three_in_a_bar(void **state)
{
  (void)state;
  assert_string_equal(BAR(3, 4, 1, 3), "h.");
  assert_string_equal(BAR(3, 4, 1, 1, 2), "q h");
  assert_string_equal(BAR(3, 4, 2, -1, 1, 1, 1, 1, 1), "re e [e e] [e e]");
  assert_string_equal(BAR(3, 8, 2, 1, 1, 1), "[e e e]");
}

static void
compound_meters_keep_their_dotted_beats(void **state)
{
  (void)state;
  assert_string_equal(BAR(6, 8, 2, 2, 1, 3), "q e q.");
  assert_string_equal(BAR(6, 8, 2, 6), "h.");
  assert_string_equal(BAR(6, 8, 2, 1, 1, 1, 1, 2), "[e e e] e q");
  assert_string_equal(BAR(12, 8, 2, 12), "w.");
  assert_string_equal(BAR(12, 8, 2, 3, 2, 1, 2, 1, 3), "q. q e q e q.");
  assert_string_equal(BAR(12, 8, 2, 2, 1, 6, -2, 1), "q e q.~ q. rq e");
  assert_string_equal(BAR(12, 8, 2, -2, 1, 3, 6), "rq e q. h.");
  assert_string_equal(BAR(9, 8, 2, 9), "h.~ q.");
  assert_string_equal(BAR(6, 8, 4, 3, 3, 6), "[e. e.] q.");
  assert_string_equal(BAR(6, 8, 2, 1, -2, 3), "e re re q.");
}

static void
odd_meters_are_beamed_in_pairs_and_a_three(void **state)
{
  (void)state;
  assert_string_equal(BAR(7, 8, 2, 1, 1, 1, 1, 1, 1, 1), "[e e] [e e] [e e e]");
  assert_string_equal(BAR(5, 4, 1, 4, 1), "w q");
  assert_string_equal(BAR(2, 2, 2, 1, 1, 1, 1, 4), "[e e e e] h");
}

static void
what_is_played_a_little_off_is_written_on_the_nearest_grid(void **state)
{
  (void)state;
  const RlSound late[] = {{7, Q - 9}, {Q + 11, Q}, {2 * Q + 3, 2 * Q}};
  assert_string_equal(written(4, 4, late, 3), "q q h");
}

/* Whatever sounds, the bar is full, nothing lies over another, and ties hold one sound together. */
static void
a_bar_is_always_full(void **state)
{
  (void)state;
  static const struct {
    int beats, unit;
  } meters[]    = {{4, 4}, {3, 4}, {12, 8}, {6, 8},  {7, 8},   {5, 4},
                   {2, 2}, {9, 8}, {3, 8},  {32, 4}, {15, 16}, {4, 32}};
  uint32_t seed = 1;
  for (int round = 0; round < 20000; ++round) {
    const int     beats  = meters[round % 12].beats;
    const int     unit   = meters[round % 12].unit;
    const int32_t length = 4 * Q / unit * beats;
    RlSound       sounds[32];
    int           count = 0;
    int32_t       at    = round % 3 ? 0 : -Q / 2;
    while (at < length && count < 32) {
      seed                = seed * 1664525U + 1013904223U;
      const int     parts = 1 + (int)(seed >> 24) % 12;
      const int32_t lasts = 1 + (int32_t)(seed >> 8 & 7) * Q / parts + (int32_t)(seed >> 30);
      if (seed >> 20 & 1) {
        sounds[count++] = (RlSound){at, lasts};
      }
      at += lasts;
    }
    const int n  = rl_rhythm_write(beats, unit, sounds, count, symbols);
    int32_t   to = 0;
    for (int i = 0; i < n; ++i) {
      const RlSymbol *const s = &symbols[i];
      assert_int_equal(s->at, to);
      assert_true(s->lasts > 0);
      assert_true(s->value < RL_VALUES);
      assert_true(s->sound < count);
      if (s->into && i + 1 < n) {
        assert_int_equal(s[1].sound, s->sound);
        assert_true(s[1].from);
      }
      to += s->lasts;
    }
    assert_int_equal(to, length);
  }
}

/* More sounds than can be written: what fits, and no more. */
static void
too_many_sounds_stay_in_their_room(void **state)
{
  (void)state;
  static RlSound many[RL_SOUNDS_MAX];
  for (int i = 0; i < RL_SOUNDS_MAX; ++i) {
    many[i] = (RlSound){i * Q / 16, Q / 16};
  }
  const int n = rl_rhythm_write(32, 1, many, RL_SOUNDS_MAX, symbols);
  assert_in_range(n, RL_SOUNDS_MAX, RL_SYMBOLS_MAX);
}

static int
counted(const int beats, const int unit, const int beat, const int part, const int *const lengths)
{
  bar(beats, unit, part, lengths);
  int n = 0;
  for (int32_t at = 0; at < 4 * Q / unit * beats; at += symbols[n++].lasts) {
  }
  return rl_rhythm_count(beats, unit, beat, symbols, n);
}

static void
a_beat_is_counted_in_as_few_parts_as_its_notes_need(void **state)
{
  (void)state;
  assert_int_equal(counted(4, 4, 0, 2, (const int[]){2, 1, 1, 4, 0}), 1);
  assert_int_equal(counted(4, 4, 1, 2, (const int[]){2, 1, 1, 4, 0}), 2);
  assert_int_equal(counted(4, 4, 0, 3, (const int[]){1, 1, 1, 9, 0}), 3);
  assert_int_equal(counted(4, 4, 0, 4, (const int[]){3, 1, 12, 0}), 4);
  assert_int_equal(counted(12, 8, 0, 2, (const int[]){2, 1, 9, 0}), 3);
  assert_int_equal(counted(12, 8, 2, 2, (const int[]){2, 1, 9, 0}), 1);
  assert_null(rl_rhythm_word(1, 0));
  assert_string_equal(rl_rhythm_word(2, 1), "&");
  assert_string_equal(rl_rhythm_word(3, 1), "trip");
  assert_string_equal(rl_rhythm_word(3, 2), "let");
  assert_string_equal(rl_rhythm_word(4, 3), "a");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(quarters_and_eighths_are_beamed_by_the_beat),
    cmocka_unit_test(a_value_fills_its_bar_or_is_dotted_where_no_beat_is_hidden),
    cmocka_unit_test(off_the_beat_one_value_may_cross_a_beat_but_not_the_middle_of_the_bar),
    cmocka_unit_test(rests_show_every_beat),
    cmocka_unit_test(ties_lead_over_bar_lines),
    cmocka_unit_test(triplets_are_bracketed),
    cmocka_unit_test(a_note_out_of_a_triplet_is_tied),
    cmocka_unit_test(three_in_a_bar),
    cmocka_unit_test(compound_meters_keep_their_dotted_beats),
    cmocka_unit_test(odd_meters_are_beamed_in_pairs_and_a_three),
    cmocka_unit_test(what_is_played_a_little_off_is_written_on_the_nearest_grid),
    cmocka_unit_test(a_bar_is_always_full),
    cmocka_unit_test(too_many_sounds_stay_in_their_room),
    cmocka_unit_test(a_beat_is_counted_in_as_few_parts_as_its_notes_need),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
