/* SPDX-License-Identifier: ISC */
/* A band that pushes, heard looking both ways: what begins is heard on every beat and on every half
   alike, and only the net's words tell which of them the beats are. The evidence is made by hand.
 */
#include "core/ear/path.h"
#include "tests/core/ear/band.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>

#include <cmocka.h>

enum { BEATS = 64, PERIOD = 50 /* hops a beat */, HOPS = BEATS * PERIOD, NEAR = 3 };

typedef struct {
  RlForm       form;
  RlScore      score;
  RlPathHop   *hop;
  RlPathSearch search;
  void        *memory;
  RlPathBeat   beat[2 * BEATS];
  int          beats;
  float        worth;
} Room;

static void
room_open(Room *const r)
{
  rl_band_form("key: G\nmeter: 4/4\n[A]\n| I | IV |\n", &r->form);
  assert_true(rl_score_read(&r->form, &r->score));
  r->hop    = calloc(HOPS, sizeof(*r->hop));
  r->search = (RlPathSearch){
    .score = &r->score, .hop = r->hop, .hops = HOPS, .shortest = PERIOD - 4, .longest = PERIOD + 4};
  r->memory = malloc(rl_path_bytes(&r->search));
  assert_true(r->hop && r->memory);
  for (int h = 0; h < HOPS; ++h) {
    r->hop[h].symbol = h % (PERIOD / 2) < 2 ? 63 : 0;
    for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
      r->hop[h].chord[k] = -1;
    }
  }
}

static void
room_close(Room *const r)
{
  free(r->hop);
  free(r->memory);
}

/* The net says that beats begin `off` hops late, halves between them. */
static void
net_says(const Room *const r, const int off)
{
  for (int h = 0; h < HOPS; ++h) {
    const int in                   = (h + PERIOD - off) % PERIOD;
    r->hop[h].pulse[RL_PULSE_BEAT] = in < 2 ? 3 : -1;
    r->hop[h].pulse[RL_PULSE_HALF] = in >= PERIOD / 2 && in < PERIOD / 2 + 2 ? 3 : -1;
  }
}

static void
way_find(Room *const r)
{
  rl_path_begin(&r->search, r->memory);
  r->beats = rl_path_find(&r->search, r->memory, r->beat, 2 * BEATS, &r->worth);
}

/* The share of beats that lie `off` hops late. */
static double
share_at(const Room *const r, const int off)
{
  int near = 0;
  for (int i = 0; i < r->beats; ++i) {
    const double from = fmod(r->beat[i].hop - off + HOPS, PERIOD);
    near += from <= NEAR || from >= PERIOD - NEAR;
  }
  return (double)near / r->beats;
}

static void
beats_lie_where_the_net_hears_them(void **const state)
{
  Room r;
  (void)state;
  room_open(&r);
  for (int off = 0; off < PERIOD; off += PERIOD / 2) {
    net_says(&r, off);
    way_find(&r);
    assert_in_range(r.beats, BEATS - 4, BEATS + 2);
    assert_true(share_at(&r, off) > 0.9);
  }
  room_close(&r);
}

static void
what_the_net_says_is_summed_apart(void **const state)
{
  Room        r;
  RlPathWords with, without;
  (void)state;
  room_open(&r);
  net_says(&r, 0);
  way_find(&r);
  rl_path_words(&r.search, r.memory, r.beat, r.beats, &with);
  assert_true((double)with.pulse >
              0.2 * 5 * (BEATS - 6)); /* a fifth of what it says, of beat and half */
  for (int h = 0; h < HOPS; ++h) {
    r.hop[h].pulse[RL_PULSE_BEAT] = r.hop[h].pulse[RL_PULSE_HALF] = 0;
  }
  rl_path_words(&r.search, r.memory, r.beat, r.beats, &without);
  assert_true(without.pulse == 0 && without.onsets == with.onsets && without.bass == with.bass);
  room_close(&r);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(beats_lie_where_the_net_hears_them),
    cmocka_unit_test(what_the_net_says_is_summed_apart),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
