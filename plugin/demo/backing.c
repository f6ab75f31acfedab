/* SPDX-License-Identifier: ISC */
#include "plugin/demo/backing.h"

#include <sndfile.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, TAIL = RATE, E1 = 28 /* MIDI: the lowest string of a bass */ };

typedef struct {
  float   *left, *right;
  size_t   frames;
  uint32_t noise;
} Tape;

/* A random number in -1..1 (a linear congruential generator; Numerical Recipes' constants, from
 * memory). */
static float
hiss(Tape *const t)
{
  t->noise = t->noise * 1664525U + 1013904223U;
  return (float)(int32_t)t->noise / 2147483648.0F;
}

/* A plucked string: three partials that die away, the higher the sooner. */
static void
pluck(Tape *const t, const double at, const double seconds, const int note, const double loud)
{
  static const double partial[] = {0.30, 0.12, 0.05};
  const size_t        start     = (size_t)llround(at * RATE);
  const size_t        length    = (size_t)(seconds * RATE);
  const double        turn      = 2 * acos(-1) * rl_pitch_hertz(note) / RATE;
  for (size_t i = 0; i < length && start + i < t->frames; ++i) {
    const double age   = (double)i / RATE;
    const double edge  = loud * fmin(1, fmin(age / 0.004, (seconds - age) / 0.02));
    double       sound = 0;
    for (int k = 0; k < 3; ++k) {
      sound += partial[k] * exp(-age * (1.5 + 3 * k)) * sin((k + 1) * turn * (double)i);
    }
    t->left[start + i] += (float)(edge * sound);
    t->right[start + i] += (float)(edge * sound);
  }
}

/* A brush on a snare: smoothed noise that swells and dies. `side` -1 left to 1 right. */
static void
brush(Tape *const t, const double at, const double seconds, const float loud, const float side)
{
  const size_t start  = (size_t)llround(at * RATE);
  const size_t length = (size_t)(seconds * RATE);
  float        smooth = 0;
  for (size_t i = 0; i < length && start + i < t->frames; ++i) {
    const float along = (float)i / (float)length;
    const float shape = fminf(1, along * 12) * (1 - along) * (1 - along);
    smooth += 0.35F * (hiss(t) - smooth);
    t->left[start + i] += loud * shape * smooth * (1 - side) / 2;
    t->right[start + i] += loud * shape * smooth * (1 + side) / 2;
  }
}

/* Which tone the bass walks to on the n-th beat of a chord: root, third, fifth, then the tone above
   or the root again. */
static int
bass_note(const RlHarmony *const h, const int n)
{
  static const int walk[] = {0, 1, 2, 3};
  RlDegree         tone[RL_DEGREES];
  const int        which = walk[n % 4] < rl_quality_tones(h->quality, tone) ? walk[n % 4] : 0;
  const int        root  = h->has_bass && n == 0 ? rl_spelling_class(h->bass) : rl_harmony_root(h);
  return E1 + rl_pitch_class(root - E1) + (n == 0 ? 0 : rl_degree_semitones(tone[which]));
}

/* A guitar strikes the chord, a string after the other, and damps it. */
static void
strum(Tape *const t, const double at, const double seconds, const RlHarmony *const h,
      const double loud)
{
  enum { LOWEST = 52 };              /* MIDI: E3 */
  static const double apart = 0.006; /* seconds */
  RlDegree            tone[RL_DEGREES];
  const int           tones = rl_quality_tones(h->quality, tone);
  for (int i = 0; i < tones && i < 4; ++i) {
    const int note = rl_harmony_root(h) + rl_degree_semitones(tone[i]);
    pluck(t, at + i * apart, seconds, LOWEST + rl_pitch_class(note - LOWEST), loud);
  }
}

/* The chord on a beat of a bar and how many felt beats ago it came. */
static const RlFormChord *
chord_on(const RlForm *const form, const RlBar *const bar, const int beat)
{
  int i = bar->first_chord;
  while (i + 1 < bar->first_chord + bar->chords && form->chord[i + 1].beat <= beat) {
    ++i;
  }
  return &form->chord[i];
}

static void
bar_play(Tape *const t, const RlForm *const form, const RlBar *const bar, const double at,
         const double felt)
{
  const int  beats = (int)rl_meter_felt(bar->beats, bar->unit);
  const int  each  = bar->beats / beats;
  const bool swing = each == 3 || rl_slice_is(rl_form_text(form, form->feel), "swing");
  for (int i = 0; i < beats; ++i) {
    const double             now   = at + i * felt;
    const RlFormChord *const chord = chord_on(form, bar, i * each);
    const RlHarmony          h     = rl_harmony_of(chord->chord, form->key);
    if (h.sounding) {
      pluck(t, now, felt * 0.92, bass_note(&h, i - chord->beat / each), 1);
      strum(t, now, felt * (i % 2 ? 0.3 : 0.6), &h, 0.3);
    }
    brush(t, now, felt * 0.8, 0.10F, -0.3F);
    if (i % 2) {
      brush(t, now, 0.12, 0.30F, 0.2F);
    }
    brush(t, now + felt * (swing ? 2.0 / 3 : 0.5), felt * 0.3, 0.07F, 0.3F);
  }
}

/* All choruses and the ending. */
static void
song_play(Tape *const t, const RlForm *const form, const int choruses, const double felt)
{
  const double *const starts = form->starts[RL_AXIS_FELT];
  for (int c = 0; c < choruses; ++c) {
    const int last = form->bars + (c == choruses - 1 ? form->ending_bars : 0);
    for (int i = 0; i < last; ++i) {
      bar_play(t, form, &form->bar[i], (c * starts[form->bars] + starts[i]) * felt, felt);
    }
  }
}

static bool
tape_write(const Tape *const t, const char *const path)
{
  enum { BLOCK = 4096 };
  SF_INFO info = {.samplerate = RATE, .channels = 2, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
  SNDFILE *const file = sf_open(path, SFM_WRITE, &info);
  bool           good = file;
  for (size_t at = 0; good && at < t->frames; at += BLOCK) {
    const size_t n = t->frames - at < BLOCK ? t->frames - at : BLOCK;
    float        block[BLOCK][2];
    for (size_t i = 0; i < n; ++i) {
      block[i][0] = t->left[at + i];
      block[i][1] = t->right[at + i];
    }
    good = sf_writef_float(file, block[0], (sf_count_t)n) == (sf_count_t)n;
  }
  if (!good || sf_close(file)) {
    fprintf(stderr, "%s: %s\n", path, sf_strerror(file));
    return false;
  }
  return true;
}

bool
rl_backing_write(const RlForm *const form, const int choruses, const char *const path)
{
  const double felt  = 60 / (form->tempo > 0 ? form->tempo : 100);
  const double beats = choruses * form->starts[RL_AXIS_FELT][form->bars] +
                       form->starts[RL_AXIS_FELT][form->bars + form->ending_bars] -
                       form->starts[RL_AXIS_FELT][form->bars];
  Tape t  = {NULL, NULL, (size_t)(beats * felt * RATE) + TAIL, 1};
  t.left  = (float *)calloc(t.frames, sizeof(float));
  t.right = (float *)calloc(t.frames, sizeof(float));
  if (!t.left || !t.right) {
    fputs("not enough memory for the backing track\n", stderr);
    free(t.left);
    free(t.right);
    return false;
  }
  song_play(&t, form, choruses, felt);
  const bool written = tape_write(&t, path);
  free(t.left);
  free(t.right);
  return written;
}

bool
rl_backing_read(const char *const path, RlTrack *const track)
{
  SF_INFO        info = {0};
  SNDFILE *const file = sf_open(path, SFM_READ, &info);
  const size_t   n    = file && info.channels == 2 ? (size_t)info.frames : 0;
  *track              = (RlTrack){(float *)malloc(2 * n * sizeof(float) + 1), n};
  const bool good =
    n && track->sound && sf_readf_float(file, track->sound, info.frames) == info.frames;
  if (file) {
    sf_close(file);
  }
  if (!good) {
    fprintf(stderr, "%s: cannot be read\n", path);
    free(track->sound);
  }
  return good;
}
