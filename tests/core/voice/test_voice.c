/* SPDX-License-Identifier: ISC */
/* The built-in voice: pitch, length, swing, scoops, level, no clicks. Pitch is held against equal
   temperament at A = 440 Hz (ISO 16), measured by how far the phase of the fundamental turns. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"
#include "core/voice/voice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, MOST = 40 * RATE };

static const double pi = 3.14159265358979323846;

static RlPhrase phrase;
static float    sound[MOST];

static void
read_tune(const char *const tune)
{
  RlAbcError error;
  assert_true(rl_abc_read(rl_slice(tune), &phrase, &error));
}

static int64_t
play(const RlVoiceHow *const how)
{
  const int64_t frames = rl_voice_frames(&phrase, how);
  assert_in_range(frames, 1, MOST);
  memset(sound, 0, sizeof(sound));
  rl_voice_play(&phrase, how, sound, MOST);
  return frames;
}

static void
near(const double got, const double want, const double most)
{
  if (!(fabs(got - want) <= most)) {
    fail_msg("%.6f is not %.6f within %.6f", got, want, most);
  }
}

static double
hertz(const double midi)
{
  return 440 * exp2((midi - 69) / 12);
}

/* How much of `frequency` there is at a frame, and its phase: a Hann window of 100 ms. */
static double
part_of(const int64_t at, const double frequency, const double rate, double *const phase)
{
  enum { WIDE = RATE / 10 };
  double re = 0, im = 0;
  for (int i = 0; i < WIDE; ++i) {
    const double window = 0.5 - 0.5 * cos(2 * pi * i / WIDE);
    const double angle  = 2 * pi * frequency * i / rate;
    re += window * (double)sound[at + i] * cos(angle);
    im -= window * (double)sound[at + i] * sin(angle);
  }
  *phase = atan2(im, re);
  return hypot(re, im) * 4 / WIDE;
}

/* Hertz near `about`, of the 150 ms from a frame on. */
static double
measured(const int64_t at, const double about)
{
  enum { APART = RATE / 100 };
  double       one, two;
  const double amount = part_of(at, about, RATE, &one);
  part_of(at + APART, about, RATE, &two);
  assert_true(amount > 0.01);
  const double turned = remainder(two - one - 2 * pi * about * APART / RATE, 2 * pi);
  return about + turned / (2 * pi) * RATE / APART;
}

static double
cents_off(const int64_t at, const double midi)
{
  return 1200 * log2(measured(at, hertz(midi)) / hertz(midi));
}

static float
largest_step(const int64_t from, const int64_t to)
{
  float most = 0;
  for (int64_t i = from; i + 1 < to; ++i) {
    most = fmaxf(most, fabsf(sound[i + 1] - sound[i]));
  }
  return most;
}

static float
peak(const int64_t from, const int64_t to)
{
  float most = 0;
  for (int64_t i = from; i < to; ++i) {
    most = fmaxf(most, fabsf(sound[i]));
  }
  return most;
}

static const double speeds[] = {1, 0.75, 0.5};

/* Half a second each at full speed. */
static void
each_note_has_its_pitch_at_every_speed(void **const state)
{
  static const char tune[]  = "X:1\nT:a\nM:4/4\nL:1/4\nQ:1/4=120\nK:C\nG,,C,EAceg|c'e'g'c''\n";
  static const int  pitch[] = {43, 48, 64, 69, 72, 76, 79, 84, 88, 91, 96};
  (void)state;
  read_tune(tune);
  for (size_t s = 0; s < sizeof(speeds) / sizeof(speeds[0]); ++s) {
    const int64_t frames =
      play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = speeds[s], .swing = 0.5});
    const int notes = (int)(sizeof(pitch) / sizeof(pitch[0]));
    near((double)frames / RATE, notes * 0.5 / speeds[s] + 0.06, 0.001);
    for (int i = 0; i < notes; ++i) {
      const int64_t at = (int64_t)((i * 0.5 / speeds[s] + 0.2) * RATE);
      double        phase;
      near(cents_off(at, pitch[i]), 0, 0.5);
      assert_true(part_of(at, hertz(pitch[i] - 12), RATE, &phase) < 0.002); /* no octave below */
    }
  }
}

static float
held_step(const char *const note)
{
  char   tune[64];
  RlText text = rl_text_in(tune, sizeof(tune));
  rl_text_add(&text, "X:1\nT:a\nM:4/4\nL:1/1\nQ:1/4=60\nK:C\n");
  rl_text_add(&text, note);
  rl_text_add(&text, "\n");
  read_tune(tune);
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  return largest_step(RATE, 3 * RATE);
}

static void
nothing_clicks_and_nothing_is_loud(void **const state)
{
  (void)state;
  read_tune("X:1\nT:a\nM:4/4\nL:1/8\nQ:1/4=180\nK:C\nCE(GB)c2zc|[CEG]2!slide!A2 A/A/A/A/ c'2|\n");
  const int64_t frames = play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  assert_true(peak(0, frames) < 0.5F && peak(0, frames) > 0.1F);
  assert_true(sound[0] == 0 && fabsf(sound[frames - 1]) < 1e-4F);
  assert_true(peak(frames, MOST) == 0);
  /* While one note falls another rises: no step is longer than those of the two highest, held. */
  const float most = largest_step(0, MOST - 1);
  assert_true(most <= 1.01F * (held_step("c'") + held_step("A")));
}

/* The first frame at which there is more than a trace of that note, looked for every 5 ms. */
static double
heard_at(const double midi, const double from)
{
  double phase, at = from;
  while (at < 30 && part_of((int64_t)(at * RATE), hertz(midi), RATE, &phase) < 0.02) {
    at += 0.005;
  }
  return at;
}

static void
off_beats_are_swung_and_thirds_are_not(void **const state)
{
  static const char tune[] = "X:1\nT:a\nM:4/4\nL:1/8\nQ:1/4=60\nK:C\nCA CA (3CEA C2|\n";
  (void)state;
  read_tune(tune);
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  const double straight = heard_at(69, 0), third = heard_at(69, 2.2);
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.62});
  near(heard_at(69, 0), straight + 0.12, 0.011);
  near(heard_at(69, 2.2), third, 0.011);
  read_tune("X:1\nT:a\nM:12/8\nL:1/8\nQ:3/8=60\nK:C\nC2A C2A|\n");
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  const double dotted = heard_at(69, 0);
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.62});
  near(heard_at(69, 0), dotted, 0.001);
}

/* Periods by where it goes up through zero. */
static double
first_hertz(const int64_t from, const int periods)
{
  double first = -1;
  int    count = 0;
  for (int64_t i = from; i < MOST - 1; ++i) {
    if (sound[i] <= 0 && sound[i + 1] > 0) {
      const double at = (double)i + (double)sound[i] / ((double)sound[i] - (double)sound[i + 1]);
      if (first >= 0 && ++count == periods) {
        return periods * RATE / (at - first);
      }
      first = first < 0 ? at : first;
    }
  }
  return 0;
}

static void
a_scoop_comes_from_a_half_step_below(void **const state)
{
  (void)state;
  read_tune("X:1\nT:a\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n!slide!c4\n");
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  const double begins = 1200 * log2(first_hertz(0, 6) / hertz(72));
  assert_true(begins > -101 && begins < -85);
  near(cents_off(RATE, 72), 0, 0.5);
}

/* A note of a second falls three half steps, from a fifth of a second before its end. */
static void
a_fall_leaves_its_pitch_at_the_end(void **const state)
{
  double passed = 0;
  (void)state;
  read_tune("X:1\nT:a\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n\"^fall\"c z3\n");
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  near(1200 * log2(first_hertz(RATE / 2, 6) / hertz(72)), 0, 1);
  near(1200 * log2(first_hertz(RATE * 81 / 100, 3) / hertz(72)), 0, 30);
  for (int i = 90; i < 100; ++i) {
    const double now = 1200 * log2(first_hertz(RATE * i / 100, 2) / hertz(72));
    assert_true(now < passed);
    passed = now;
  }
  assert_true(passed > -310 && passed < -200);
}

static double
level(const int64_t from, const int64_t to)
{
  double sum = 0;
  for (int64_t i = from; i < to; ++i) {
    sum += (double)sound[i] * (double)sound[i];
  }
  return sqrt(sum / (double)(to - from));
}

/* Within half a decibel; notes at once too. */
static void
all_notes_are_as_loud_as_it_says(void **const state)
{
  (void)state;
  read_tune("X:1\nT:a\nM:4/4\nL:1/1\nQ:1/4=240\nK:C\nC,|c|c''|[CEG]|\n");
  play(&(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5});
  for (int i = 0; i < 4; ++i) {
    near(20 * log10(level(i * RATE + RATE / 10, (i + 1) * RATE) / RL_VOICE_LEVEL), 0, 0.5);
  }
}

static void
a_tune_without_a_tempo_has_the_one_given(void **const state)
{
  (void)state;
  read_tune("X:1\nT:a\nM:4/4\nL:1/4\nK:C\nCDEF\n");
  const int64_t frames = play(&(RlVoiceHow){.rate = RATE, .tempo = 90, .speed = 1, .swing = 0.5});
  near((double)frames / RATE, 4 * 60.0 / 90 + 0.06, 0.001);
}

/* Where there is no room the rest is left out, and nothing is written behind it. */
static void
no_more_is_written_than_there_is_room_for(void **const state)
{
  (void)state;
  read_tune("X:1\nT:a\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nCDEF\n");
  memset(sound, 0, sizeof(sound));
  rl_voice_play(&phrase, &(RlVoiceHow){.rate = RATE, .tempo = 60, .speed = 1, .swing = 0.5}, sound,
                RATE);
  assert_true(peak(0, RATE) > 0.05F && peak(RATE, MOST) == 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(each_note_has_its_pitch_at_every_speed),
    cmocka_unit_test(nothing_clicks_and_nothing_is_loud),
    cmocka_unit_test(off_beats_are_swung_and_thirds_are_not),
    cmocka_unit_test(a_scoop_comes_from_a_half_step_below),
    cmocka_unit_test(a_fall_leaves_its_pitch_at_the_end),
    cmocka_unit_test(all_notes_are_as_loud_as_it_says),
    cmocka_unit_test(a_tune_without_a_tempo_has_the_one_given),
    cmocka_unit_test(no_more_is_written_than_there_is_room_for),
  };
  return cmocka_run_group_tests_name("core/voice", tests, NULL, NULL);
}
