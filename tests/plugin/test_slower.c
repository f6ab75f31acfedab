/* SPDX-License-Identifier: ISC */
/* Sound played slower keeps its pitch, and its notes come where they should: sines made here, all
   figures known. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/worker/slower.h"

#include <math.h>
#include <stdlib.h>

enum { RATE = 22050, NOTES = 12, NOTE = RATE / 2, COUNT = NOTES * NOTE };

static const double pi = 3.14159265358979323846;

static float sound[COUNT], slow[2 * COUNT];

static double
hertz(const int note)
{
  return 130.8 * exp2(2 * note / 12.0); /* two octaves up from C3 in whole steps */
}

/* A note every half second, with a rest before the next; three partials, as a horn has. */
static void
notes_make(void)
{
  for (int i = 0; i < COUNT; ++i) {
    const double t     = (double)(i % NOTE) / RATE;
    const double level = t < 0.01 ? t / 0.01 : t < 0.4 ? 1 : fmax(0, 1 - (t - 0.4) / 0.03);
    double       sum   = 0;
    for (int k = 1; k <= 3; ++k) {
      sum += sin(2 * pi * k * hertz(i / NOTE) * t) / k;
    }
    sound[i] = (float)(0.2 * level * sum);
  }
}

/* The best lag of a fifth of a second, refined by a parabola. */
static double
heard_hertz(const float *const x, const double about)
{
  enum { WIDE = RATE / 5 };
  const int shortest = (int)(RATE / about * 0.8), longest = (int)(RATE / about * 1.25);
  double    like[3] = {0, 0, 0}, best = 0, at = 0;
  for (int lag = shortest; lag <= longest; ++lag) {
    double sum = 0;
    for (int i = 0; i < WIDE - longest; ++i) {
      sum += (double)x[i] * (double)x[i + lag];
    }
    like[0] = like[1];
    like[1] = like[2];
    like[2] = sum;
    if (lag >= shortest + 2 && like[1] > best && like[1] >= like[0] && like[1] >= like[2]) {
      best = like[1];
      at   = lag - 1 + 0.5 * (like[0] - like[2]) / (like[0] - 2 * like[1] + like[2]);
    }
  }
  return at > 0 ? RATE / at : 0;
}

/* Seconds from where the note should begin to where it does. */
static double
begins_late(const int note, const double speed)
{
  const int due = (int)(note * NOTE / speed);
  int       i   = due > RATE / 20 ? due - RATE / 20 : 0;
  while (i < due + RATE / 10 && fabsf(slow[i]) < 0.04F) {
    ++i;
  }
  return (double)(i - due) / RATE;
}

static void
pitch_stays_and_notes_come_in_time(void **const state)
{
  static const struct {
    double speed, late; /* seconds off, either way */
  } ways[] = {{1, 0.01}, {0.75, 0.015}, {0.5, 0.03}};
  (void)state;
  assert_true(rl_slower_can());
  notes_make();
  for (size_t w = 0; w < sizeof(ways) / sizeof(ways[0]); ++w) {
    const double speed = ways[w].speed;
    const size_t room  = (size_t)(COUNT / speed);
    assert_true(rl_slower(sound, COUNT, RATE, speed, slow, room));
    for (int n = 0; n < NOTES; ++n) {
      const float *const held = slow + (int)((n * NOTE + 0.1 * RATE) / speed);
      const double       off  = 1200 * log2(heard_hertz(held, hertz(n)) / hertz(n));
      const double       late = begins_late(n, speed);
      if (!(fabs(off) < 8) || !(fabs(late) < ways[w].late)) {
        fail_msg("at %.2f note %d is %.1f cents off and %.1f ms late", speed, n, off, 1e3 * late);
      }
    }
  }
}

static void
nothing_comes_of_nothing(void **const state)
{
  (void)state;
  slow[0] = slow[99] = 1;
  assert_true(rl_slower(sound, 0, RATE, 0.5, slow, 100));
  assert_true(slow[0] == 0 && slow[99] == 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(pitch_stays_and_notes_come_in_time),
    cmocka_unit_test(nothing_comes_of_nothing),
  };
  return cmocka_run_group_tests_name("plugin/slower", tests, NULL, NULL);
}
