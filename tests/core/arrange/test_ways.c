/* SPDX-License-Identifier: ISC */
/* A phrase made to fit: the ways offered are held against a search through every octave, every harp
   and every place of every note, with the costs of core/arrange/COSTS.md written down here again.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/ways.h"

#include <stdlib.h>
#include <string.h>

enum { NOTES = 4, NONE = 1 << 20, OWNED = 3 };

static uint64_t chance_state;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

static struct {
  RlNote       note[NOTES];
  RlHarmony    over;
  RlHarpChoice owned[OWNED];
  RlWaysInput  in;
  RlHarp       harp;
  int          hole[NOTES], how[NOTES], best;
} s;

static RlWaysWorkspace room;

/* ---- every way, again ---- */

static int
drawn(const int how)
{
  return how == RL_DRAW || (how >= RL_DRAW_1 && how <= RL_DRAW_3) || how == RL_OVERDRAW;
}

static int
bent(const int how)
{
  return how >= RL_BLOW_1 && how <= RL_BLOW_3   ? how - RL_BLOW_1 + 1
         : how >= RL_DRAW_1 && how <= RL_DRAW_3 ? how - RL_DRAW_1 + 1
                                                : 0;
}

static int
alone(const int i)
{
  static const int adds[RL_HOLES] = {0, 1, 2, 0, 1, 1, 1, 1, 1, 2};
  static const int bend[]         = {0, 2, 3, 5};
  const int        hole = s.hole[i], how = s.how[i], deep = bent(how);
  const int        next  = how + 1;
  const int        held  = deep && deep < 3 && s.harp.note[hole][next];
  int              draws = 0;
  for (int h = 0; h < RL_HOLES; ++h) {
    draws = draws || s.harp.note[h][RL_DRAW] == s.harp.note[hole][how];
  }
  const int home =
    how == RL_BLOW && draws && (s.harp.note[hole][how] - rl_harmony_root(&s.over)) % 12 == 0;
  return (how >= RL_OVERBLOW ? 10 : 0) + bend[deep] + (deep ? adds[hole] : 0) + 2 * held +
         (deep && !drawn(how) ? 2 : 0) + (home ? (i == s.in.count - 1 ? 5 : 1) : 0);
}

static int
step(const int i)
{
  const int far    = abs(s.hole[i] - s.hole[i - 1]);
  const int breath = drawn(s.how[i]) != drawn(s.how[i - 1]);
  return far + (far > 2 ? 2 * (far - 2) : 0) + 2 * breath +
         (!far && !breath && s.how[i] != s.how[i - 1]);
}

/* A pitch on two unbent reeds is played one way; each note otherwise costs 1. */
static int
two_ways(void)
{
  int cost = 0;
  for (int a = 0; a < 2 * RL_HOLES; ++a) {
    for (int b = a + 1; b < 2 * RL_HOLES; ++b) {
      const int pitch = s.harp.note[a / 2][a % 2];
      int       not_a = 0, not_b = 0;
      for (int i = 0; pitch && pitch == s.harp.note[b / 2][b % 2] && i < s.in.count; ++i) {
        const int same = s.harp.note[s.hole[i]][s.how[i]] == pitch;
        not_a += same && (s.hole[i] != a / 2 || s.how[i] != a % 2);
        not_b += same && (s.hole[i] != b / 2 || s.how[i] != b % 2);
      }
      cost += not_a < not_b ? not_a : not_b;
    }
  }
  return cost;
}

static void
search(const int i, const int octaves, const int cost)
{
  if (i == s.in.count || i == NOTES) {
    const int whole = cost + two_ways();
    s.best          = whole < s.best ? whole : s.best;
    return;
  }
  for (int at = 0; at < RL_HOLES * RL_TECHNIQUES; ++at) {
    s.hole[i]        = at / RL_TECHNIQUES;
    s.how[i]         = at % RL_TECHNIQUES;
    const int sounds = s.harp.note[s.hole[i]][s.how[i]];
    if (sounds && sounds == s.note[i].pitch + 12 * octaves &&
        rl_player_can(s.in.player, (RlTechnique)s.how[i])) {
      search(i + 1, octaves, cost + alone(i) + (i ? step(i) : 0));
    }
  }
}

/* What it costs on a harp, so many octaves up; NONE: the harp lacks a note. */
static int
least(const RlHarpChoice choice, const int octaves)
{
  s.harp = rl_harp_make(choice);
  s.best = NONE;
  search(0, octaves, 12 * abs(octaves));
  return s.best;
}

static int
least_of(const RlHarpChoice choice, const int low, const int high)
{
  int best = NONE;
  for (int octaves = low; octaves <= high; ++octaves) {
    const int cost = least(choice, octaves);
    best           = cost < best ? cost : best;
  }
  return best;
}

static int
same(const RlHarpChoice a, const RlHarpChoice b)
{
  return a.key == b.key && a.range == b.range && a.tuning == b.tuning;
}

static int
owned(const RlHarpChoice choice)
{
  int any = 0;
  for (int i = 0; i < s.in.owned_count; ++i) {
    any = any || same(s.owned[i], choice);
  }
  return any;
}

/* The cheapest harp but the one in hand: of those owned, or of those that are not. */
static int
least_harp(const int mine)
{
  int best = NONE;
  for (int i = 0; i < (mine ? s.in.owned_count : 12); ++i) {
    const RlHarpChoice choice =
      mine ? s.owned[i] : (RlHarpChoice){(uint8_t)i, s.in.harp.range, s.in.harp.tuning};
    const int cost =
      same(choice, s.in.harp) || owned(choice) != mine ? NONE : least_of(choice, -5, 5);
    best = cost < best ? cost : best;
  }
  return best;
}

/* ---- cases ---- */

static void
case_make(void)
{
  int     pitch = 50 + chance(45);
  RlChord chord = {.quality = rl_quality(chance(rl_qualities()))};
  chord.root    = (RlWritten){true, (int8_t)chance(7), (int8_t)(chance(3) - 1)};
  memset(&s, 0, sizeof(s));
  s.over          = rl_harmony_of(chord, (RlKey){{4, 0}, false});
  s.over.sounding = true;
  s.in            = (RlWaysInput){s.note,
                                  1 + chance(NOTES),
                                  &s.over,
                                  {(uint8_t)chance(12), (int8_t)(chance(3) - 1), (RlTuning)chance(RL_TUNINGS)},
                                  {(uint8_t)chance(4), (uint8_t)chance(4), chance(2)},
                                  s.owned,
                                  chance(OWNED + 1)};
  for (int i = 0; i < s.in.owned_count; ++i) {
    s.owned[i] = (RlHarpChoice){(uint8_t)chance(12), (int8_t)(chance(3) - 1),
                                chance(3) ? s.in.harp.tuning : (RlTuning)chance(RL_TUNINGS)};
  }
  for (int i = 0; i < s.in.count; ++i) {
    s.note[i] = (RlNote){.at = i * RL_TICKS, .lasts = RL_TICKS, .pitch = (int16_t)pitch};
    pitch += chance(15) - 7;
  }
}

static int
of_kind(const RlWay *const ways, const int count, const RlWayKind kind, const int sign)
{
  int found = NONE;
  for (int i = 0; i < count; ++i) {
    if (ways[i].kind == kind && (kind != RL_WAY_OCTAVE || sign * ways[i].octaves > 0)) {
      assert_int_equal(found, NONE); /* one of each */
      found = ways[i].cost;
    }
  }
  return found;
}

/* The tab of a way sounds the phrase, on its harp, by what the player can do. */
static void
tab_holds(const RlWay *const way)
{
  RlTab        tab[NOTES];
  const RlHarp harp = rl_harp_make(way->harp);
  rl_way_tab(&s.in, way, &room, tab);
  for (int i = 0; i < s.in.count; ++i) {
    const int whole = way->kind != RL_WAY_NEAREST;
    const int pitch = s.note[i].pitch + 12 * (whole ? way->octaves : tab[i].octaves);
    assert_true(tab[i].hole || way->kind == RL_WAY_NEAREST);
    if (tab[i].hole) {
      assert_int_equal(harp.note[tab[i].hole - 1][tab[i].technique], tab[i].note);
      assert_true(rl_player_can(s.in.player, (RlTechnique)tab[i].technique));
      assert_true(tab[i].note == pitch || (!whole && (tab[i].marks & RL_TAB_IS_REPLACED)));
    }
  }
}

static void
the_ways_are_the_cheapest_there_are(void **state)
{
  RlWay ways[RL_WAYS_MAX];
  int   seen[RL_WAY_KINDS] = {0};
  (void)state;
  chance_state = 33;
  for (int i = 0; i < 6000; ++i) {
    case_make();
    const int count = rl_ways_find(&s.in, &room, ways);
    const int here  = least(s.in.harp, 0);
    if (here != NONE) {
      assert_int_equal(count, 1);
      assert_int_equal(ways[0].kind, RL_WAY_AS_IT_IS);
      assert_int_equal(ways[0].cost, here);
    } else {
      assert_int_equal(of_kind(ways, count, RL_WAY_AS_IT_IS, 0), NONE);
      assert_int_equal(of_kind(ways, count, RL_WAY_OCTAVE, -1), least_of(s.in.harp, -5, -1));
      assert_int_equal(of_kind(ways, count, RL_WAY_OCTAVE, 1), least_of(s.in.harp, 1, 5));
      assert_int_equal(of_kind(ways, count, RL_WAY_HARP, 0), least_harp(1));
      assert_int_equal(of_kind(ways, count, RL_WAY_POSITION, 0), least_harp(0));
    }
    const int cost  = rl_ways_cost(&s.in, &room);
    const int whole = least_of(s.in.harp, -5, 5);
    assert_int_equal(cost < 0 ? NONE : cost, whole);
    for (int n = 0; n < count; ++n) {
      assert_true(!n || ways[n].cost >= ways[n - 1].cost);
      ++seen[ways[n].kind];
      tab_holds(&ways[n]);
    }
  }
  for (int kind = 0; kind < RL_WAY_KINDS; ++kind) {
    assert_true(seen[kind] > 100);
  }
}

/* The nearest notes are those that rl_tab_fit() finds, counted. */
static void
the_nearest_notes_are_counted(void **state)
{
  RlWay ways[RL_WAYS_MAX];
  (void)state;
  case_make();
  s.in.harp        = (RlHarpChoice){0, 0, RL_RICHTER};
  s.in.player      = (RlPlayer){0, 0, false};
  s.in.owned_count = 0;
  s.in.count       = 3;
  s.over = rl_harmony_of((RlChord){.root = (RlWritten){true, 4, 0}, .quality = rl_quality(0)},
                         (RlKey){{4, 0}, false});
  s.over.sounding          = true;
  static const int pitch[] = {67, 70, 67}; /* G4, B flat, G4: no B flat without bends */
  for (int i = 0; i < 3; ++i) {
    s.note[i] = (RlNote){.at = i * RL_TICKS, .lasts = RL_TICKS, .pitch = (int16_t)pitch[i]};
  }
  const int count = rl_ways_find(&s.in, &room, ways);
  for (int i = 0; i < count; ++i) {
    assert_int_equal(ways[i].onsets, 3);
    assert_int_not_equal(ways[i].kind, RL_WAY_OCTAVE);
    if (ways[i].kind == RL_WAY_NEAREST) {
      assert_int_equal(ways[i].changed, 1);
      assert_int_equal(ways[i].left_out, 0);
    }
  }
  assert_int_not_equal(of_kind(ways, count, RL_WAY_NEAREST, 0), NONE);
}

static void
lines_are_drawn_by_cost(void **state)
{
  (void)state;
  assert_int_equal(rl_difficulty(19, 10), RL_EASY);
  assert_int_equal(rl_difficulty(20, 10), RL_MEDIUM);
  assert_int_equal(rl_difficulty(33, 10), RL_MEDIUM);
  assert_int_equal(rl_difficulty(34, 10), RL_HARD);
  assert_string_equal(rl_difficulty_name(RL_HARD), "hard");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_ways_are_the_cheapest_there_are),
    cmocka_unit_test(the_nearest_notes_are_counted),
    cmocka_unit_test(lines_are_drawn_by_cost),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
