/* SPDX-License-Identifier: ISC */
#include "core/harmony/quality.h"

#define S(n) (1U << (n))

/* Semitones above the root; common practice, no source. */
enum {
  IONIAN            = S(0) | S(2) | S(4) | S(5) | S(7) | S(9) | S(11),
  DORIAN            = S(0) | S(2) | S(3) | S(5) | S(7) | S(9) | S(10),
  PHRYGIAN          = S(0) | S(1) | S(3) | S(5) | S(7) | S(8) | S(10),
  LYDIAN            = S(0) | S(2) | S(4) | S(6) | S(7) | S(9) | S(11),
  MIXOLYDIAN        = S(0) | S(2) | S(4) | S(5) | S(7) | S(9) | S(10),
  AEOLIAN           = S(0) | S(2) | S(3) | S(5) | S(7) | S(8) | S(10),
  LOCRIAN           = S(0) | S(1) | S(3) | S(5) | S(6) | S(8) | S(10),
  LYDIAN_DOMINANT   = S(0) | S(2) | S(4) | S(6) | S(7) | S(9) | S(10),
  LYDIAN_AUGMENTED  = S(0) | S(2) | S(4) | S(6) | S(8) | S(9) | S(11),
  MIXOLYDIAN_FLAT_6 = S(0) | S(2) | S(4) | S(5) | S(7) | S(8) | S(10),
  LOCRIAN_2         = S(0) | S(2) | S(3) | S(5) | S(6) | S(8) | S(10),
  MELODIC_MINOR     = S(0) | S(2) | S(3) | S(5) | S(7) | S(9) | S(11),
  HALF_WHOLE        = S(0) | S(1) | S(3) | S(4) | S(6) | S(7) | S(9) | S(10),
  WHOLE_HALF        = S(0) | S(2) | S(3) | S(5) | S(6) | S(8) | S(9) | S(11),
  ALTERED           = S(0) | S(1) | S(3) | S(4) | S(6) | S(8) | S(10),
  WHOLE_TONE        = S(0) | S(2) | S(4) | S(6) | S(8) | S(10),
  FIFTH_OF_HARMONIC = S(0) | S(1) | S(4) | S(5) | S(7) | S(8) | S(10),
  BLUES             = S(0) | S(3) | S(5) | S(6) | S(7) | S(10),
};

const RlClassSet rl_scale_major             = IONIAN;
const RlClassSet rl_scale_natural_minor     = AEOLIAN;
const RlClassSet rl_scale_blues             = BLUES;
const RlClassSet rl_scale_fifth_of_harmonic = FIFTH_OF_HARMONIC;

/* The scales of each family, 0 at the end: a chord has the first that holds all its tones. */
static const RlClassSet minor_scales[]    = {DORIAN,     MELODIC_MINOR, AEOLIAN,   PHRYGIAN,
                                             WHOLE_HALF, LOCRIAN,       LOCRIAN_2, 0};
static const RlClassSet dominant_scales[] = {
  MIXOLYDIAN, IONIAN,     WHOLE_TONE,        LYDIAN_DOMINANT,   PHRYGIAN,
  ALTERED,    HALF_WHOLE, MIXOLYDIAN_FLAT_6, FIFTH_OF_HARMONIC, 0};
static const RlClassSet major_scales[] = {IONIAN, LYDIAN, WHOLE_TONE, LYDIAN_AUGMENTED, 0};

#define HAS(degree) ((quality >> RL_DEGREE_##degree) & 1)

/* A chord that leaves its fifth out has the scale it has with it. */
static RlClassSet
tones_with_fifth(const RlQuality quality)
{
  const bool fifth = HAS(FLAT_5) || HAS(5) || HAS(SHARP_5) || HAS(FLAT_13) || HAS(SHARP_11);
  return (RlClassSet)(rl_quality_classes(quality) | (fifth ? 0 : S(7)));
}

/* Where no scale holds all tones: the family's nearest. */
static RlClassSet
nearest(const RlQuality quality)
{
  return rl_quality_minor(quality)      ? DORIAN
         : HAS(FLAT_9) && !HAS(3)       ? PHRYGIAN
         : HAS(FLAT_9) || HAS(SHARP_9)  ? ALTERED
         : HAS(SHARP_11) && HAS(FLAT_7) ? LYDIAN_DOMINANT
         : HAS(FLAT_7)                  ? MIXOLYDIAN
                                        : IONIAN;
}

RlClassSet
rl_quality_scale(const RlQuality quality)
{
  if (quality & RL_QUALITY_ALT) {
    return ALTERED;
  }
  const RlClassSet        tones = tones_with_fifth(quality);
  const RlClassSet *const list  = rl_quality_minor(quality) ? minor_scales
                                  : HAS(FLAT_7) || !HAS(3)  ? dominant_scales
                                                            : major_scales;
  for (const RlClassSet *scale = list; *scale; ++scale) {
    if (!(tones & ~*scale)) {
      return *scale;
    }
  }
  return nearest(quality) | rl_quality_classes(quality);
}
