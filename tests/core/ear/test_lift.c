/* SPDX-License-Identifier: ISC */
/* A phrase of synthetic horns is lifted note by note, at any rate, from either side, over chords
   and noise; nothing is lifted where no horn plays; anything may come in; the work stays within its
   memory. */
#include "core/ear/phrase/beat.h"
#include "core/ear/phrase/lift.h"
#include "tests/core/ear/horn.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { NOTES = HORN_NOTES, TEMPO = HORN_TEMPO };

static RlLifted lifted;

static void
lift(const float *const sound, const size_t frames, const int channels, const double rate,
     const RlLiftGrid *const grid)
{
  const size_t samples = rl_lift_samples(frames, rate);
  float *const left    = malloc(sizeof(float) * (samples + 1));
  float *const right   = malloc(sizeof(float) * (samples + 1));
  const size_t bytes   = rl_lift_bytes(samples);
  void *const  memory  = malloc(bytes);
  assert_true(left && right && memory && bytes < 32U << 20);
  memset(memory, 0xA5, bytes);
  rl_lift_resample(sound, frames, channels, rate, left);
  rl_lift_resample(sound + channels - 1, frames, channels, rate, right);
  const RlLiftSound clip = {left, channels > 1 ? right : NULL, samples};
  rl_lift(&clip, grid, RL_LIFT_LIKELY, memory, &lifted);
  free(memory);
  free(right);
  free(left);
}

/* All notes are there and no other, within 40 ms. */
static void
line_is_lifted(void)
{
  assert_int_equal(lifted.notes, NOTES);
  for (int i = 0; i < NOTES; ++i) {
    const RlLiftedNote *const n = &lifted.note[i];
    assert_int_equal(n->midi, horn_line[i][2]);
    assert_true(fabs((double)n->on - horn_on(i)) < 0.04);
    assert_true(fabs((double)n->off - horn_off(i)) < 0.08);
    assert_true(n->sure >= RL_LIFT_LIKELY && n->sure <= 1);
    assert_false(n->scooped || n->fell);
  }
}

static const RlLiftGrid nothing_known = {0};

static RlLiftGrid
all_known(void)
{
  static const uint16_t scale[1] = {0x6B5 | 0x400}; /* G mixolydian and blues, roughly */
  return (RlLiftGrid){60.0 / TEMPO, 0, 1, scale, RL_LIFT_SWUNG};
}

static void
a_phrase_is_lifted_at_any_rate(void **const state)
{
  static const double rates[] = {22050, 32000, 44100, 48000, 96000, 192000};
  const RlLiftGrid    grid    = all_known();
  (void)state;
  for (size_t r = 0; r < sizeof(rates) / sizeof(*rates); ++r) {
    size_t       frames;
    float *const sound = horn_record(rates[r], 1, 1, 0, &frames);
    lift(sound, frames, 2, rates[r], &grid);
    line_is_lifted();
    lift(sound, frames, 2, rates[r], &nothing_known);
    line_is_lifted();
    free(sound);
  }
}

static void
each_note_lies_on_its_twelfth(void **const state)
{
  const RlLiftGrid grid = all_known();
  size_t           frames;
  float *const     sound = horn_record(44100, 1, 1, 0, &frames);
  (void)state;
  lift(sound, frames, 2, 44100, &grid);
  line_is_lifted();
  for (int i = 0; i < NOTES; ++i) {
    assert_int_equal(lifted.note[i].twelfth, horn_line[i][0]);
  }
  assert_true(lifted.swing > 0.6F);
  free(sound);
}

static void
a_band_behind_it_is_left_out(void **const state)
{
  static const double sides[][2] = {{1, 1}, {1, 0.25}, {0.2, 1}};
  const RlLiftGrid    grid       = all_known();
  (void)state;
  for (size_t s = 0; s < 3; ++s) {
    size_t       frames;
    float *const sound = horn_record(48000, sides[s][0], sides[s][1], 0.7, &frames);
    lift(sound, frames, 2, 48000, &grid);
    line_is_lifted();
    free(sound);
  }
}

/* How many of the line's notes are there. */
static int
notes_right(void)
{
  int right = 0;
  for (int i = 0; i < NOTES; ++i) {
    bool found = false;
    for (int n = 0; n < lifted.notes; ++n) {
      found = found || (lifted.note[n].midi == horn_line[i][2] &&
                        fabs((double)lifted.note[n].on - horn_on(i)) < 0.04);
    }
    right += found;
  }
  return right;
}

/* A synthesiser plays the line: no vibrato, no noise. A dull one may lose a note, and adds none. */
static void
a_line_that_never_moves_is_lifted_too(void **const state)
{
  static const struct {
    double fall; /* dB an octave */
    int    partials, least;
  } tones[] = {{6, 40, NOTES}, {9, 40, NOTES}, {5, 12, NOTES - 1}};
  enum { RATE = 44100, FRAMES = 5 * RATE };
  (void)state;
  for (size_t k = 0; k < sizeof(tones) / sizeof(*tones); ++k) {
    float *const sound = calloc(FRAMES, sizeof(float));
    assert_non_null(sound);
    for (int i = 0; i < NOTES; ++i) {
      horn_steady(sound, RATE, horn_on(i), horn_off(i), horn_line[i][2], 0.08, tones[k].fall,
                  tones[k].partials);
    }
    lift(sound, FRAMES, 1, RATE, &nothing_known);
    assert_true(notes_right() >= tones[k].least);
    assert_int_equal(lifted.notes, notes_right());
    free(sound);
  }
}

/* A tape too slow or too fast by nearly half a half step, or by more. */
static void
chords_tell_the_half_step(void **const state)
{
  static const double cents[] = {-82, -57, -49, -44, 44, 49, 57, 70};
  size_t              frames;
  float *const        sound = horn_record(48000, 1, 1, 0.5, &frames);
  (void)state;
  for (size_t i = 0; i < sizeof(cents) / sizeof(*cents); ++i) {
    const double speed = exp2(cents[i] / 1200);
    RlLiftGrid   grid  = all_known();
    grid.beat /= speed;
    lift(sound, frames, 2, 48000 * speed, &grid);
    assert_int_equal(lifted.notes, NOTES);
    for (int n = 0; n < NOTES; ++n) {
      assert_int_equal(lifted.note[n].midi, horn_line[n][2]);
    }
    assert_true(fabs((double)lifted.tuning - cents[i] / 100) < 0.04);
  }
  free(sound);
}

/* Twelve partials whose pitch begins `below` half steps down and rises within `seconds`, or is
   `fall` half steps down at its end, the same time before which it was held. */
static void
gliding_tone(float *const sound, const double on, const double off, const int midi,
             const double below, const double seconds, const double fall)
{
  const double pi = 3.14159265358979323846, rate = 48000;
  double       turn = 0;
  for (int i = (int)(on * rate); i < (int)(off * rate); ++i) {
    const double t     = i / rate;
    const double under = seconds > 0 ? fmax(0, 1 - (t - on) / seconds) * below +
                                         fmax(0, 1 - (off - t) / seconds) * fall
                                     : 0;
    const double shape = 0.08 * fmin(1, fmin((t - on) / 0.012, (off - t) / 0.02));
    turn += 440 * exp2((midi - under - 69) / 12) / rate;
    for (int n = 1; n <= 12; ++n) {
      sound[i] += (float)(shape * pow(n, -0.83) * sin(2 * pi * n * turn + n * n));
    }
  }
}

/* A soprano plays above two octaves over middle C. */
static void
notes_up_to_the_highest_are_lifted(void **const state)
{
  static const int midi[] = {58, 64, 70, 76, 80, 84, 86, 88, 85, 87};
  enum { COUNT = sizeof(midi) / sizeof(*midi), FRAMES = 5 * 48000 };
  float *const sound = calloc(FRAMES, sizeof(float));
  (void)state;
  assert_non_null(sound);
  assert_int_equal(midi[7], RL_LIFT_HIGHEST);
  for (int i = 0; i < COUNT; ++i) {
    horn_tone(sound, 48000, 0.3 + 0.4 * i, 0.65 + 0.4 * i, midi[i], 0.08, 5);
  }
  horn_hiss(sound, FRAMES);
  lift(sound, FRAMES, 1, 48000, &nothing_known);
  assert_int_equal(lifted.notes, COUNT);
  for (int i = 0; i < COUNT; ++i) {
    assert_int_equal(lifted.note[i].midi, midi[i]);
    assert_true(fabs((double)lifted.note[i].on - 0.3 - 0.4 * i) < 0.04);
  }
  free(sound);
}

/* A scoop from a good half step below is one; a note plain, one after another a half step
   and a whole step lower, at once, is none. */
static void
scoops_are_told_from_what_only_rises(void **const state)
{
  static const struct {
    double on, off;
    int    midi;
    double below, seconds;
    bool   scooped;
  } notes[] = {{0.3, 0.7, 67, 0, 0, false},     {0.8, 1.2, 67, 1.1, 0.08, true},
               {1.3, 1.6, 69, 0, 0, false},     {1.6, 1.9, 70, 0, 0, false},
               {1.9, 2.3, 72, 2, 0.015, false}, {2.5, 2.9, 60, 1.1, 0.08, true},
               {3.1, 3.4, 74, 1.2, 0.08, true}, {3.4, 3.8, 76, 0, 0, false}};
  enum { COUNT = sizeof(notes) / sizeof(*notes), FRAMES = 4 * 48000 };
  float *const sound = calloc(FRAMES, sizeof(float));
  (void)state;
  for (int i = 0; i < COUNT; ++i) {
    gliding_tone(sound, notes[i].on, notes[i].off, notes[i].midi, notes[i].below, notes[i].seconds,
                 0);
  }
  lift(sound, FRAMES, 1, 48000, &nothing_known);
  assert_int_equal(lifted.notes, COUNT);
  for (int i = 0; i < COUNT; ++i) {
    assert_int_equal(lifted.note[i].midi, notes[i].midi);
    assert_int_equal(lifted.note[i].scooped, notes[i].scooped);
  }
  free(sound);
}

/* A fall of two half steps and more is one, and what it passes is no note; a note plain, one that
   glides into the next lower one, and a short lower one behind it are none. */
static void
falls_are_told_from_what_only_goes_down(void **const state)
{
  static const struct {
    double on, off;
    int    midi;
    double fall, seconds;
    bool   fell;
  } notes[] = {
    {0.3, 0.7, 67, 0, 0, false}, {0.8, 1.3, 67, 3, 0.16, true},  {1.6, 2.0, 69, 0, 0, false},
    {2.0, 2.3, 67, 0, 0, false}, {2.5, 2.9, 72, 2, 0.02, false}, {2.9, 3.3, 70, 0, 0, false},
    {3.5, 3.9, 72, 0, 0, false}, {3.9, 4.02, 70, 0, 0, false},   {4.3, 4.9, 74, 4, 0.22, true}};
  enum { COUNT = sizeof(notes) / sizeof(*notes), FRAMES = 5 * 48000 };
  float *const sound = calloc(FRAMES, sizeof(float));
  (void)state;
  for (int i = 0; i < COUNT; ++i) {
    gliding_tone(sound, notes[i].on, notes[i].off, notes[i].midi, 0, notes[i].seconds,
                 notes[i].fall);
  }
  lift(sound, FRAMES, 1, 48000, &nothing_known);
  assert_int_equal(lifted.notes, COUNT);
  for (int i = 0; i < COUNT; ++i) {
    assert_int_equal(lifted.note[i].midi, notes[i].midi);
    assert_int_equal(lifted.note[i].fell, notes[i].fell);
  }
  free(sound);
}

static void
the_beat_is_found_from_the_notes(void **const state)
{
  size_t       frames;
  float *const sound = horn_record(44100, 1, 1, 0, &frames);
  double       beat = 0, origin = 0;
  (void)state;
  lift(sound, frames, 2, 44100, &nothing_known);
  assert_true(rl_lift_beat(&lifted, &beat, false, &origin));
  assert_true(fabs(beat - 60.0 / TEMPO) < 0.01);
  const double off = fabs(origin / beat - round(origin / beat));
  assert_true(off * beat < 0.03);
  lifted.notes = 0;
  assert_false(rl_lift_beat(&lifted, &beat, false, &origin));
  free(sound);
}

static void
nothing_is_lifted_from_silence_and_noise(void **const state)
{
  enum { FRAMES = 44100 * 4 };
  float *const sound = calloc(FRAMES, sizeof(float));
  uint32_t     seed  = 3;
  (void)state;
  assert_non_null(sound);
  lift(sound, FRAMES, 1, 44100, &nothing_known);
  assert_int_equal(lifted.notes, 0);
  for (int i = 0; i < FRAMES; ++i) {
    seed     = seed * 1664525U + 1013904223U;
    sound[i] = (float)(seed >> 8) / 8388608.0F - 1;
  }
  lift(sound, FRAMES, 1, 44100, &nothing_known);
  assert_true(lifted.notes <= 1);
  free(sound);
}

static void
anything_may_come_in(void **const state)
{
  static const float odd[]  = {NAN, INFINITY, -INFINITY, 1e38F, 1e-42F, -1, 1, 0};
  static const int   many[] = {0, 1, 2, 100, 440, 22050, 22050 * 25};
  const RlLiftGrid   grid   = all_known();
  (void)state;
  for (size_t m = 0; m < sizeof(many) / sizeof(*many); ++m) {
    float *const sound = calloc((size_t)many[m] + 1, sizeof(float));
    uint32_t     seed  = (uint32_t)m;
    assert_non_null(sound);
    for (int i = 0; i < many[m]; ++i) {
      seed     = seed * 1664525U + 1013904223U;
      sound[i] = odd[seed >> 29];
    }
    lift(sound, (size_t)many[m], 1, 22050, &grid);
    for (int i = 0; i < lifted.notes; ++i) {
      assert_true(lifted.note[i].off > lifted.note[i].on && lifted.note[i].sure <= 1);
    }
    free(sound);
  }
}

/* How many notes there are in a tone of a horn's from .5 to 3 s, heard from `from` to 2.9 s. */
static int
notes_of_a_tone(const double from)
{
  enum { FRAMES = 3 * RL_LIFT_RATE };
  float *const sound = calloc(FRAMES, sizeof(float));
  const size_t first = (size_t)(from * RL_LIFT_RATE);
  assert_non_null(sound);
  horn_tone(sound, RL_LIFT_RATE, 0.5, 3, 59, 0.2, 6);
  horn_hiss(sound, FRAMES);
  lift(sound + first, FRAMES - RL_LIFT_RATE / 10 - first, 1, RL_LIFT_RATE, &nothing_known);
  free(sound);
  return lifted.notes;
}

static void
what_only_holds_is_no_phrase(void **const state)
{
  (void)state;
  assert_int_equal(notes_of_a_tone(0), 1);
  assert_int_equal(notes_of_a_tone(1), 0);
}

int
main(void)
{
  static const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_phrase_is_lifted_at_any_rate),
    cmocka_unit_test(each_note_lies_on_its_twelfth),
    cmocka_unit_test(a_band_behind_it_is_left_out),
    cmocka_unit_test(a_line_that_never_moves_is_lifted_too),
    cmocka_unit_test(chords_tell_the_half_step),
    cmocka_unit_test(notes_up_to_the_highest_are_lifted),
    cmocka_unit_test(scoops_are_told_from_what_only_rises),
    cmocka_unit_test(falls_are_told_from_what_only_goes_down),
    cmocka_unit_test(the_beat_is_found_from_the_notes),
    cmocka_unit_test(nothing_is_lifted_from_silence_and_noise),
    cmocka_unit_test(what_only_holds_is_no_phrase),
    cmocka_unit_test(anything_may_come_in),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
