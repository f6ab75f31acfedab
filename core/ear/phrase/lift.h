/* SPDX-License-Identifier: ISC */
/* Lifts a phrase: the notes of the leading horn in a clip of a record, alone or over a band. Sound
   in, notes out, in memory of the caller. Any thread but audio: a clip of ten seconds takes some
   tenths of a second. Measured on rendered sound only (tests/ear/lift/README.md).

   Spectra of 10 ms (spectra.h); a small net, the same for every pitch, says what the horn holds and
   where it begins (net.h); the best path through notes and rests, with the grid, the chords and the
   habits of horn lines as priors (line.h), found by dynamic programming (Viterbi 1967) as in
   hidden Markov trackers of melody (Ryynanen, Klapuri 2008); then twelfths of the beat (slots.h),
   and how far each note may be trusted (trust.h). */
#ifndef RL_CORE_EAR_PHRASE_LIFT_H
#define RL_CORE_EAR_PHRASE_LIFT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
  RL_LIFT_RATE        = 22050, /**< samples a second in here */
  RL_LIFT_SECONDS_MAX = 20,    /**< of a clip */
  RL_LIFT_SAMPLES_MAX = RL_LIFT_SECONDS_MAX * RL_LIFT_RATE,
  RL_LIFT_NOTES_MAX   = 256,
  RL_LIFT_LOWEST      = 44, /**< MIDI number */
  RL_LIFT_HIGHEST     = 88,
  RL_LIFT_TWELFTHS    = 12 /**< of a beat */
};

/** How the beat is divided. */
typedef enum { RL_LIFT_FEEL_UNKNOWN, RL_LIFT_STRAIGHT, RL_LIFT_SWUNG } RlLiftFeel;

/** A clip at RL_LIFT_RATE. What is no number is taken for 0 by rl_lift_resample(). */
typedef struct {
  const float *left, *right; /**< right NULL: mono */
  size_t       samples;      /**< up to RL_LIFT_SAMPLES_MAX; what is beyond is not heard */
} RlLiftSound;

/** What is known of the beat and of what sounds over it. */
typedef struct {
  double          beat;   /**< seconds of a felt beat, 0: nothing is known */
  double          origin; /**< seconds of a bar line in the clip; may lie before it */
  int             beats;  /**< of `scale`; 0: no chords are known */
  const uint16_t *scale;  /**< for each beat from `origin` on, over and over (before it too): the
                               pitch classes that belong, bit 0 is C */
  RlLiftFeel feel;
} RlLiftGrid;

/** A note of the phrase. */
typedef struct {
  float on, off; /**< seconds in the clip */
  float sure;    /**< 0..1: how likely it is right; understated above .5, so that what is surer
                      than .9 may be relied on */
  int     midi;
  int32_t twelfth; /**< of the beat, counted from the grid's origin; 0 without a grid */
  bool    scooped; /**< it began well below its pitch and rose to it */
  bool    fell;    /**< it left its pitch downwards, into a rest */
} RlLiftedNote;

/** A phrase. */
typedef struct {
  int          notes;
  RlLiftedNote note[RL_LIFT_NOTES_MAX]; /**< in order of time */
  float        tuning; /**< of the record, half steps above A = 440 Hz: -.5 to .5, or
             up to .88 where the chords say so */
  float swing;         /**< where the off-beat lies in its beat, .5 straight */
  float behind;        /**< seconds that the player is behind the beat */
} RlLifted;

/** Samples at RL_LIFT_RATE that `frames` at `rate` (22050 to 192000) make. */
size_t rl_lift_samples(size_t frames, double rate);

/** Brings sound to RL_LIFT_RATE: one channel of `channels` that lie interleaved, whose first sample
    `sound` is. `out`: room for rl_lift_samples(). */
void rl_lift_resample(const float *sound, size_t frames, int channels, double rate, float *out);

/** Bytes that rl_lift() works in: under 32 MiB. */
size_t rl_lift_bytes(size_t samples);

/** Lifts the phrase. `memory`: rl_lift_bytes() of it, aligned as for any type; need not be cleared.
    `least`: notes less sure than this are left out (RL_LIFT_LIKELY). One note that lasts from the
    clip's first instant to its last is none: nothing begins there. */
void rl_lift(const RlLiftSound *sound, const RlLiftGrid *grid, float least, void *memory,
             RlLifted *lifted);

/** Notes more likely right than wrong; those from RL_LIFT_PERHAPS up may be shown as "perhaps". */
#define RL_LIFT_LIKELY  0.5F
#define RL_LIFT_PERHAPS 0.15F

#endif
