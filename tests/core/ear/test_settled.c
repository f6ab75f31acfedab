/* SPDX-License-Identifier: ISC */
/* Once the place is settled the lattice lets what is far from it sleep; a band that jumps wakes it,
   and is found where it went. The evidence is made by hand: a hit on every beat, and the chord. */
#include "core/ear/keeper.h"
#include "tests/core/ear/band.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>

#include <cmocka.h>

static const char blues[] = "key: G\nmeter: 4/4\n[A]\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 "
                            "|\n| ii7 | V7 | I7 | V7 |\n";

enum { PERIOD = 25 /* steps a beat: 120 a minute */, AWAY = 18 /* felt beats */ };

static const float  foreign   = 0.9F; /* of a step's chord, what another one is worth */
static const double any_chord = 0.95; /* and any at all */

typedef struct {
  RlForm    form;
  RlScore   score;
  RlLattice lattice;
  RlKeeper  keeper;
  void     *memory;
  double    ahead;   /* of the band, felt beats */
  bool      is_told; /* the lattice hears that the place is settled */
} Room;

static void
room_open(Room *const r)
{
  rl_band_form(blues, &r->form);
  assert_true(rl_score_read(&r->form, &r->score));
  r->memory  = malloc(rl_lattice_bytes(&r->score));
  r->ahead   = 0;
  r->is_told = true;
  rl_lattice_init(&r->lattice, r->memory, &r->score);
  rl_keeper_init(&r->keeper);
}

static double
band_at(const Room *const r)
{
  return (double)r->lattice.step / PERIOD + r->ahead;
}

/* Plays on; returns the cells that a step went through at the mean. */
static double
play(Room *const r, const int seconds)
{
  const int steps = seconds * RL_EAR_STEPS;
  double    cells = 0;
  float     bass[RL_STANDS * RL_SCORE_CHORDS_MAX], chord[RL_SCORE_CHORDS_MAX];
  for (int i = 0; i < RL_STANDS * RL_SCORE_CHORDS_MAX; ++i) {
    bass[i] = 1;
  }
  for (int i = 0; i < steps; ++i) {
    const double  heard = band_at(r) - 0.15 * RL_EAR_STEPS / PERIOD + r->score.beats;
    const uint8_t hit   = r->lattice.step % PERIOD < 2 ? 63 : 0;
    for (int q = 0; q < r->score.chords; ++q) {
      chord[q] = q == r->score.beat[(int)heard % r->score.beats].chord ? 1 : foreign;
    }
    const RlEvidence evidence = {.symbol  = {hit, hit},
                                 .chord   = chord,
                                 .bass    = bass,
                                 .grid    = {.period = PERIOD, .off = 1},
                                 .jump    = rl_keeper_jump(&r->keeper),
                                 .settled = r->is_told && rl_keeper_settled(&r->keeper)};
    rl_lattice_step(&r->lattice, &evidence);
    rl_keeper_step(&r->keeper, &r->lattice, any_chord, any_chord);
    cells += r->lattice.weighed;
  }
  return cells / steps;
}

static void
a_settled_place_lets_rows_sleep_and_a_jump_wakes_them(void **const state)
{
  Room r;
  (void)state;
  room_open(&r);
  play(&r, 4);
  assert_false(rl_keeper_settled(&r.keeper));
  play(&r, 26);
  assert_true(rl_keeper_settled(&r.keeper));
  assert_true(rl_lattice_mass(&r.lattice, band_at(&r)) > 0.9F);
  const double held = play(&r, 6);
  r.is_told         = false;
  assert_true(play(&r, 6) > 2 * held);
  r.is_told = true;
  play(&r, 6);
  r.ahead = AWAY;
  play(&r, 12);
  assert_false(rl_keeper_settled(&r.keeper));
  assert_true(play(&r, 2) > 2 * held);
  play(&r, 40);
  assert_true(rl_lattice_mass(&r.lattice, band_at(&r)) > 0.9F);
  assert_true(rl_keeper_settled(&r.keeper));
  free(r.memory);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_settled_place_lets_rows_sleep_and_a_jump_wakes_them),
  };
  return cmocka_run_group_tests_name("settled", tests, NULL, NULL);
}
