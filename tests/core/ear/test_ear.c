/* SPDX-License-Identifier: ISC */
/* The ear follows a small band at any rate, in blocks of any size, from any place; it finds key and
   tuning, believes hints, and claims nothing where there is no song. */
#include "core/ear/align.h"
#include "core/ear/ear.h"
#include "tests/core/ear/band.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char blues[] = "key: G\nmeter: 4/4\n[A]\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 "
                            "|\n| ii7 | V7 | I7 | V7 |\n";

enum { TEMPO = 118, BEATS = 48 };

typedef struct {
  RlForm      form;
  RlEar      *ear;
  float      *sound;
  size_t      frames, at;
  double      rate;
  RlEarReport last;
} Listening;

static void
listening_open(Listening *const l, const char *const chart, const RlBand *const band,
               const double seconds, const int key)
{
  memset(l, 0, sizeof(*l));
  rl_band_form(chart, &l->form);
  l->rate   = band->rate;
  l->frames = (size_t)(seconds * band->rate);
  l->sound  = malloc(l->frames * sizeof(float));
  rl_band_play(band, &l->form, l->sound, l->frames);
  l->ear = rl_ear_init(malloc(rl_ear_bytes(&l->form)), &l->form, key, band->rate);
}

static void
listening_close(Listening *const l)
{
  free(l->ear);
  free(l->sound);
}

/* Hears up to `second` in blocks of `block`; returns a sum of all that was reported. */
static double
listen(Listening *const l, const double second, const uint32_t block)
{
  const size_t end = fmin(second * l->rate, (double)l->frames) > 0
                       ? (size_t)fmin(second * l->rate, (double)l->frames)
                       : 0;
  double       sum = 0;
  while (l->at < end) {
    const size_t   left = end - l->at;
    RlEarReport    report;
    const uint32_t took =
      rl_ear_hear(l->ear, l->sound + l->at, left < block ? (uint32_t)left : block, &report);
    assert_in_range(took, 1, block);
    l->at += took;
    if (report.fresh) {
      assert_true(report.at >= 0 && report.at < 10000 && isfinite(report.tempo) &&
                  report.sure >= 0 && report.sure <= 1);
      l->last = report;
      sum += report.at + report.sure + (double)report.frame * 1e-6;
    }
  }
  return sum;
}

/* How far the last report is from the band's place, in beats. */
static double
error_beats(const Listening *const l, const RlBand *const band, const double beats)
{
  const double truth = band->from + (double)l->last.frame / band->rate * band->tempo / 60;
  const double off   = l->last.at - truth;
  return fabs(off - beats * floor(off / beats + 0.5));
}

static void
a_song_is_found_and_followed(void **const state)
{
  const RlBand band = {48000, TEMPO, 0, 9, 0};
  Listening    l;
  (void)state;
  listening_open(&l, blues, &band, 40, 9);
  listen(&l, 25, 512);
  assert_true(error_beats(&l, &band, BEATS) < 0.25);
  assert_true(l.last.sure > 0.9);
  assert_true(fabs(l.last.tempo - TEMPO) < 2);
  listen(&l, 40, 512);
  assert_true(error_beats(&l, &band, BEATS) < 0.25);
  listening_close(&l);
}

static void
it_may_begin_anywhere(void **const state)
{
  (void)state;
  for (int from = 13; from < BEATS; from += 17) {
    const RlBand band = {44100, 96, 0, 4, from};
    Listening    l;
    listening_open(&l, blues, &band, 32, 4);
    listen(&l, 32, 4096);
    assert_true(error_beats(&l, &band, BEATS) < 0.25);
    listening_close(&l);
  }
}

static void
blocks_of_any_size_give_the_same_reports(void **const state)
{
  static const uint32_t blocks[] = {1, 17, 64, 1000, 100000};
  const RlBand          band     = {44100, TEMPO, 0, 9, 0};
  double                sums[5];
  (void)state;
  for (int i = 0; i < 5; ++i) {
    Listening l;
    listening_open(&l, blues, &band, 9, 9);
    sums[i] = listen(&l, 9, blocks[i]);
    listening_close(&l);
    assert_true(sums[i] == sums[0]);
  }
}

static void
every_rate_hears_the_same(void **const state)
{
  static const double rates[] = {22050, 32000, 44100, 88200, 96000, 192000};
  (void)state;
  for (int i = 0; i < 6; ++i) {
    const RlBand band = {rates[i], TEMPO, 0, 9, 0};
    Listening    l;
    listening_open(&l, blues, &band, 20, 9);
    listen(&l, 20, 2048);
    assert_true(error_beats(&l, &band, BEATS) < 0.25);
    listening_close(&l);
  }
}

static void
key_and_tuning_are_found(void **const state)
{
  static const double cents[] = {-40, 17, 33};
  (void)state;
  for (int i = 0; i < 3; ++i) {
    const RlBand band = {48000, 130, cents[i], 2 + 3 * i, 0};
    Listening    l;
    listening_open(&l, blues, &band, 45, RL_EAR_KEY_UNKNOWN);
    listen(&l, 45, 512);
    assert_int_equal(l.last.key, band.key);
    assert_true(l.last.key_sure > 0.9);
    assert_true(fabs(l.last.cents - band.cents) < 5);
    listening_close(&l);
  }
}

static void
what_is_no_song_claims_nothing(void **const state)
{
  const RlBand band = {48000, TEMPO, 0, 9, 0};
  uint32_t     seed = 1;
  (void)state;
  for (int kind = 0; kind < 4; ++kind) {
    Listening l;
    listening_open(&l, blues, &band, 40, RL_EAR_KEY_UNKNOWN);
    for (size_t i = 0; i < l.frames; ++i) {
      const double t = (double)i / l.rate;
      l.sound[i]     = kind == 0   ? 0
                       : kind == 1 ? rl_band_random(&seed) - 0.5F
                       : kind == 2 ? 0.3F * (float)sin(2 * 3.14159265 * 220 * t)
                                   : 0.5F * (float)(fmod(t, 0.5) < 0.005); /* clicks */
    }
    for (int second = 1; second < 40; ++second) {
      listen(&l, second, 512);
      assert_true(l.last.sure == 0);
    }
    listening_close(&l);
  }
}

static void
what_is_no_number_does_no_harm(void **const state)
{
  const RlBand band = {48000, TEMPO, 0, 9, 0};
  Listening    l;
  uint32_t     seed = 3;
  (void)state;
  listening_open(&l, blues, &band, 60, 9);
  for (size_t i = 0; i < (size_t)(4 * l.rate); ++i) { /* seconds of rubbish, then the song */
    const float kinds[] = {NAN, INFINITY, -INFINITY, 1e-42F, 3e38F, -0.0F};
    l.sound[i]          = kinds[(int)(rl_band_random(&seed) * 5.99F)];
  }
  for (size_t i = (size_t)(4 * l.rate); i < l.frames; ++i) {
    l.sound[i] = l.sound[i] > 0.2F ? 0.2F : l.sound[i] < -0.2F ? -0.2F : l.sound[i];
  }
  listen(&l, 60, 333);
  assert_true(error_beats(&l, &band, BEATS) < 0.3);
  listening_close(&l);
}

/* A song that ends at 25 s, `tail` from then on: bars after which it still goes on, and is over. */
static void
ends_with(float (*const tail)(double seconds), const double goes_on, const double over)
{
  const RlBand band = {48000, TEMPO, 0, 9, 0};
  const double bar = 4 * 60.0 / TEMPO, stops = 25;
  Listening    l;
  listening_open(&l, blues, &band, 32, 9);
  for (size_t i = (size_t)(stops * l.rate); i < l.frames; ++i) {
    l.sound[i] = tail((double)i / l.rate - stops);
  }
  listen(&l, stops + goes_on * bar, 512);
  assert_true(l.last.sure > 0.8);
  listen(&l, stops + over * bar, 512);
  assert_true(l.last.sure == 0);
  listen(&l, 32, 512);
  assert_true(l.last.sure == 0);
  listening_close(&l);
}

static float
silence(const double seconds)
{
  (void)seconds;
  return 0;
}

static void
a_song_that_stops_is_over_within_a_bar(void **const state)
{
  (void)state;
  ends_with(silence, 0.5, 1.5); /* a break of some beats is none */
}

/* The last chord, falling slowly: it sounds, but nothing begins. */
static float
chord_that_rings(const double seconds)
{
  const double two_pi = 6.283185307;
  return (float)(0.1 * exp(-seconds / 4) *
                 (sin(two_pi * 110 * seconds) + sin(two_pi * 277.18 * seconds) +
                  sin(two_pi * 329.63 * seconds)));
}

static void
a_song_whose_last_chord_rings_is_over_within_a_bar(void **const state)
{
  (void)state;
  ends_with(chord_that_rings, 0.4, 1);
}

static void
after_a_locate_the_place_is_found_anew(void **const state)
{
  const RlBand band = {48000, TEMPO, 20, 9, 0};
  Listening    l;
  (void)state;
  listening_open(&l, blues, &band, 60, 9);
  listen(&l, 24, 512);
  const RlEarReport before = l.last;
  l.at                     = (size_t)(8.3 * l.rate);
  rl_ear_locate(l.ear);
  const double shift = (double)before.frame / l.rate - 8.3;
  listen(&l, 18, 512);
  assert_true(fabs(l.last.cents - 20) < 5);
  l.last.frame -= (uint64_t)(shift * l.rate);
  assert_true(error_beats(&l, &band, BEATS) < 0.25);
  listening_close(&l);
}

/* A loop's second pass: the place is known, and believed as long as the band is there. */
static void
a_place_known_from_before_is_believed_until_it_is_heard_to_be_wrong(void **const state)
{
  const RlBand band   = {48000, TEMPO, 0, 9, 0};
  const double begins = 8.3, at = begins * TEMPO / 60;
  Listening    l;
  (void)state;
  for (int wrong = 0; wrong < 2; ++wrong) {
    listening_open(&l, blues, &band, 60, 9);
    listen(&l, 24, 512);
    const double shift = (double)l.last.frame / l.rate - begins;
    l.at               = (size_t)(begins * l.rate);
    rl_ear_place(l.ear, wrong ? at + 17.5 : at, TEMPO);
    listen(&l, begins + 0.1, 512);
    assert_true(l.last.sure > 0.8);
    assert_true(fabs(l.last.at - (wrong ? at + 17.5 : at) - 0.1 * TEMPO / 60) < 0.2);
    listen(&l, begins + 16, 512);
    l.last.frame -= (uint64_t)(shift * l.rate);
    assert_true(error_beats(&l, &band, BEATS) < 0.25 || l.last.sure == 0);
    listening_close(&l);
  }
}

static void
hints_are_believed(void **const state)
{
  const RlBand band = {48000, TEMPO, 0, 9, 0};
  Listening    l;
  (void)state;
  listening_open(&l, blues, &band, 60, 9);
  listen(&l, 20, 512);
  rl_ear_half_time(l.ear);
  listen(&l, 28, 512);
  assert_true(fabs(l.last.tempo - TEMPO / 2.0) < 6);
  rl_ear_double_time(l.ear);
  listen(&l, 36, 512);
  assert_true(fabs(l.last.tempo - TEMPO) < 6);
  rl_ear_tap(l.ear, TEMPO);
  listen(&l, 44, 512);
  assert_true(fabs(l.last.tempo - TEMPO) < 6);
  rl_ear_bar_one(l.ear);
  listen(&l, 44.1, 512);
  assert_true(l.last.sure > 0.5 && l.last.bar == 1 && l.last.beat < 0.5);
  listening_close(&l);
}

/* Beats taken 50 ms late, or early, of a song in which something begins on each, slower and slower.
 */
static void
beats_are_put_where_something_begins(void **const state)
{
  enum { COUNT = 40, HOPS = 2600, OFF = 5, NEAR = 2 };
  static RlPathHop hop[HOPS];
  static uint8_t   memory[COUNT][RL_ALIGN_PLACES];
  (void)state;
  for (int off = -OFF; off <= OFF; off += 2 * OFF) {
    RlPathBeat beat[COUNT];
    double     truth[COUNT];
    memset(hop, 0, sizeof(hop));
    for (int i = 0; i < COUNT; ++i) {
      truth[i] = 100 + 50 * i + 0.1 * i * i;
      beat[i]  = (RlPathBeat){i % 4, truth[i] + off, i == 0};
      for (int k = 1; k <= 3;
           ++k) { /* a hit in all bands, as it is heard: a little late, over some hops */
        hop[(int)lround(truth[i]) + k].symbol = 63;
      }
    }
    rl_align(hop, HOPS, beat, COUNT, memory);
    for (int i = 0; i < COUNT; ++i) {
      assert_true(fabs(beat[i].hop - truth[i]) < NEAR);
    }
  }
}

static void
a_form_is_refused_or_fits(void **const state)
{
  static RlForm form;
  static char   text[RL_CHART_MAX];
  (void)state;
  RlText chart = rl_text_in(text, sizeof(text));
  rl_text_add(&chart, "key: C\nmeter: 4/4\n[A]\n");
  for (int i = 0; i < 160; ++i) {
    rl_text_add(&chart, i % 2 ? "| I " : "| V ");
  }
  rl_text_add(&chart, "|\n");
  rl_band_form(text, &form);
  assert_in_range(rl_ear_bytes(&form), 1, 16 << 20);
  rl_band_form("key: C\nmeter: 4/4\n[A]\n|: I | V :|x100\n", &form);
  assert_int_equal(rl_ear_bytes(&form), 0);
  rl_band_form("key: C\nmeter: 4/4\n[A]\n| I | 7/8 V | 4/4 I |\n", &form);
  assert_int_equal(rl_ear_bytes(&form), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_song_is_found_and_followed),
    cmocka_unit_test(it_may_begin_anywhere),
    cmocka_unit_test(blocks_of_any_size_give_the_same_reports),
    cmocka_unit_test(every_rate_hears_the_same),
    cmocka_unit_test(key_and_tuning_are_found),
    cmocka_unit_test(what_is_no_song_claims_nothing),
    cmocka_unit_test(what_is_no_number_does_no_harm),
    cmocka_unit_test(a_song_that_stops_is_over_within_a_bar),
    cmocka_unit_test(a_song_whose_last_chord_rings_is_over_within_a_bar),
    cmocka_unit_test(after_a_locate_the_place_is_found_anew),
    cmocka_unit_test(a_place_known_from_before_is_believed_until_it_is_heard_to_be_wrong),
    cmocka_unit_test(hints_are_believed),
    cmocka_unit_test(beats_are_put_where_something_begins),
    cmocka_unit_test(a_form_is_refused_or_fits),
  };
  return cmocka_run_group_tests_name("ear", tests, NULL, NULL);
}
