/* SPDX-License-Identifier: ISC */
/* Private to qualities as text (quality_text.c, quality_name.c): sets of tones, and the alterations
   that reading and printing share. */
#ifndef RL_CORE_HARMONY_QUALITY_TEXT_H
#define RL_CORE_HARMONY_QUALITY_TEXT_H

#include "core/harmony/quality.h"

#define BIT(degree) (1U << RL_DEGREE_##degree)

enum {
  THIRDS   = BIT(2) | BIT(FLAT_3) | BIT(3) | BIT(4),
  FIFTHS   = BIT(FLAT_5) | BIT(5) | BIT(SHARP_5),
  SEVENTHS = BIT(DOUBLE_FLAT_7) | BIT(FLAT_7) | BIT(7),
  MAJOR    = BIT(ROOT) | BIT(3) | BIT(5),
  MINOR    = BIT(ROOT) | BIT(FLAT_3) | BIT(5),
  DIM      = BIT(ROOT) | BIT(FLAT_3) | BIT(FLAT_5),
  AUG      = BIT(ROOT) | BIT(3) | BIT(SHARP_5),
  SEVENTH  = MAJOR | BIT(FLAT_7),
  MINOR_7  = MINOR | BIT(FLAT_7),
  MAJOR_7  = MAJOR | BIT(7)
};

/* The alterations, in the order they are printed: what each adds, what it takes the place of, and
   what must be there for it. */
typedef struct {
  const char *name;
  RlQuality   adds, replaces, needs;
} Alteration;

typedef enum {
  SUS_2,
  SUS_4,
  FLAT_5,
  SHARP_5,
  FLAT_9,
  SHARP_9,
  SHARP_11,
  FLAT_13,
  ADD_9,
  ADD_11,
  ADD_13,
  NO_3,
  NO_5,
  ALTERATIONS
} AlterationName;

/* quality_name.c */
extern const Alteration rl_alterations[ALTERATIONS];

#endif
