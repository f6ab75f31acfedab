/* SPDX-License-Identifier: ISC */
/* Sound at a higher rate is the same sound: sines of all heights come out as sines of the same
   height and strength, computed here anew. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/voice/upsample.h"

#include <math.h>

enum { FROM = 22050, COUNT = 4000, MOST = 40000 };

static const double pi = 3.14159265358979323846;

static float sound[COUNT], out[MOST];

static void
sines_come_out_as_they_are(void **const state)
{
  static const double rates[] = {22050, 44100, 48000, 88200, 192000};
  (void)state;
  for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
    for (int step = 0; 40 * pow(1.7, step) < 0.9 * FROM / 2; ++step) {
      const double hertz = 40 * pow(1.7, step);
      for (int i = 0; i < COUNT; ++i) {
        sound[i] = (float)sin(2 * pi * hertz * i / FROM);
      }
      const size_t count = rl_upsample_count(COUNT, FROM, rates[r]);
      assert_true(fabs((double)count / rates[r] - (double)COUNT / FROM) <= 1 / rates[r]);
      rl_upsample(sound, COUNT, FROM, rates[r], out, count);
      for (size_t i = count / 10; i < count * 9 / 10; ++i) { /* not at the ends */
        const double due = sin(2 * pi * hertz * (double)i / rates[r]);
        if (!(fabs((double)out[i] - due) < 0.025)) {
          fail_msg("%.0f Hz at %.0f: %.4f is not %.4f", hertz, rates[r], (double)out[i], due);
        }
      }
    }
  }
}

static void
beside_it_is_silence(void **const state)
{
  (void)state;
  for (int i = 0; i < COUNT; ++i) {
    sound[i] = 0.5F;
  }
  rl_upsample(sound, COUNT, FROM, 48000, out, MOST);
  const size_t past = rl_upsample_count(COUNT + 30, FROM, 48000);
  for (size_t i = past; i < MOST; ++i) {
    assert_true(out[i] == 0);
  }
  rl_upsample(sound, 0, FROM, 48000, out, 10);
  assert_true(out[0] == 0 && out[9] == 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(sines_come_out_as_they_are),
    cmocka_unit_test(beside_it_is_silence),
  };
  return cmocka_run_group_tests_name("core/upsample", tests, NULL, NULL);
}
