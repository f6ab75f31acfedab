/* SPDX-License-Identifier: ISC */
/* The net tells beats from the halves between them, some seconds late; what was shown is weighed by
   it, follows the place when that moves, and is forgotten when that goes elsewhere. */
#include "core/ear/halves.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { PERIOD = 25 /* frames: 120 a minute */, SECONDS = 24 };

/* A plain rock beat: kick, snare, and a hat on every half. */
static void
bands_of(const int frame, float bands[RL_PULSE_BANDS])
{
  const int  in = frame % PERIOD, beat = frame / PERIOD % 4, half = (2 * frame + 1) / PERIOD % 2;
  const int  since = half ? in - PERIOD / 2 : in;
  const bool hit   = !half;
  for (int b = 0; b < RL_PULSE_BANDS; ++b) {
    const bool  kick = hit && beat % 2 == 0 && b < 6, snare = hit && beat % 2 == 1 && b > 6;
    const bool  hat  = b > 17;
    const float high = kick || snare ? 5 : hat ? 2 : 0;
    bands[b]         = 0.5F + high * expf(-0.35F * (float)(since < 0 ? 0 : since));
  }
}

/* Plays on, the place shown `off` beats from the band's. */
static void
play(RlHalves *const h, int *const frame, const int seconds, const double off)
{
  for (const int end = *frame + seconds * RL_PULSE_FRAMES; *frame < end; ++*frame) {
    float bands[RL_PULSE_BANDS];
    bands_of(*frame, bands);
    rl_halves_step(h, bands, 8 + off + (*frame + 0.5) / PERIOD);
  }
}

static RlHalves *
halves_open(void)
{
  RlHalves *const h = malloc(sizeof(*h));
  rl_halves_forget(h);
  return h;
}

static void
beats_are_told_from_halves(void **const state)
{
  (void)state;
  for (int half = 0; half < 2; ++half) {
    RlHalves *const h     = halves_open();
    int             frame = 0;
    play(h, &frame, 4, 0.5 * half);
    assert_true(rl_halves_grid(h, 0, PERIOD).off == 1); /* it knows nothing yet */
    play(h, &frame, SECONDS, 0.5 * half);
    const RlGrid grid = rl_halves_grid(h, 3, PERIOD);
    assert_true(half ? h->margin < -20 : h->margin > 20);
    assert_true(grid.off < 1 && grid.off > 0.9F && grid.period == PERIOD);
    assert_true(fabs(grid.phase - 0.5 * half) < 1e-9);
    free(h);
  }
}

static void
what_is_known_moves_with_the_place(void **const state)
{
  RlHalves *const h     = halves_open();
  int             frame = 0;
  (void)state;
  play(h, &frame, SECONDS, 0.5);
  const float before = h->margin;
  rl_halves_moved(h, 0.1, 1.01); /* it only breathes */
  assert_true(h->margin == before);
  rl_halves_moved(h, -4, 1);
  assert_true(h->margin == before);
  rl_halves_moved(h, -0.5, 1);
  assert_true(h->margin == -before && h->margin > 20);
  play(h, &frame, SECONDS, 0);
  assert_true(h->margin > 20);
  rl_halves_moved(h, 0.3, 1); /* another grid */
  assert_true(h->margin == 0);
  play(h, &frame, SECONDS, 0);
  assert_true(h->margin > 20);
  rl_halves_moved(h, 0, 1.5); /* another tempo */
  assert_true(h->margin == 0);
  free(h);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(beats_are_told_from_halves),
    cmocka_unit_test(what_is_known_moves_with_the_place),
  };
  return cmocka_run_group_tests_name("halves", tests, NULL, NULL);
}
