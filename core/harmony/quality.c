/* SPDX-License-Identifier: ISC */
#include "core/harmony/quality.h"

#include <assert.h>

static const struct {
  const char *name;
  uint8_t     semitones, steps; /* above the root */
  RlFunction  function;
} degrees[] = {
  [RL_DEGREE_ROOT]          = {"R", 0, 0, RL_FUNCTION_ROOT},
  [RL_DEGREE_FLAT_9]        = {"b9", 1, 1, RL_FUNCTION_OTHER},
  [RL_DEGREE_9]             = {"9", 2, 1, RL_FUNCTION_OTHER},
  [RL_DEGREE_2]             = {"2", 2, 1, RL_FUNCTION_THIRD},
  [RL_DEGREE_FLAT_3]        = {"b3", 3, 2, RL_FUNCTION_THIRD},
  [RL_DEGREE_SHARP_9]       = {"#9", 3, 1, RL_FUNCTION_OTHER},
  [RL_DEGREE_3]             = {"3", 4, 2, RL_FUNCTION_THIRD},
  [RL_DEGREE_11]            = {"11", 5, 3, RL_FUNCTION_OTHER},
  [RL_DEGREE_4]             = {"4", 5, 3, RL_FUNCTION_THIRD},
  [RL_DEGREE_SHARP_11]      = {"#11", 6, 3, RL_FUNCTION_OTHER},
  [RL_DEGREE_FLAT_5]        = {"b5", 6, 4, RL_FUNCTION_FIFTH},
  [RL_DEGREE_5]             = {"5", 7, 4, RL_FUNCTION_FIFTH},
  [RL_DEGREE_SHARP_5]       = {"#5", 8, 4, RL_FUNCTION_FIFTH},
  [RL_DEGREE_FLAT_13]       = {"b13", 8, 5, RL_FUNCTION_OTHER},
  [RL_DEGREE_13]            = {"13", 9, 5, RL_FUNCTION_OTHER},
  [RL_DEGREE_6]             = {"6", 9, 5, RL_FUNCTION_OTHER},
  [RL_DEGREE_DOUBLE_FLAT_7] = {"bb7", 9, 6, RL_FUNCTION_SEVENTH},
  [RL_DEGREE_FLAT_7]        = {"b7", 10, 6, RL_FUNCTION_SEVENTH},
  [RL_DEGREE_7]             = {"7", 11, 6, RL_FUNCTION_SEVENTH},
};

_Static_assert(sizeof(degrees) / sizeof(degrees[0]) == RL_DEGREES, "a row for every degree");

static const RlDegree plain_degrees[12] = {
  RL_DEGREE_ROOT,    RL_DEGREE_FLAT_9, RL_DEGREE_9,        RL_DEGREE_FLAT_3,
  RL_DEGREE_3,       RL_DEGREE_11,     RL_DEGREE_SHARP_11, RL_DEGREE_5,
  RL_DEGREE_FLAT_13, RL_DEGREE_13,     RL_DEGREE_FLAT_7,   RL_DEGREE_7,
};

const char *
rl_degree_name(const RlDegree degree)
{
  assert(degree < RL_DEGREES);
  return degrees[degree].name;
}

int
rl_degree_semitones(const RlDegree degree)
{
  assert(degree < RL_DEGREES);
  return degrees[degree].semitones;
}

RlSpelling
rl_degree_spelling(const RlDegree degree, const RlSpelling root)
{
  assert(degree < RL_DEGREES);
  return rl_spelling_above(root, degrees[degree].steps, degrees[degree].semitones);
}

RlFunction
rl_degree_function(const RlDegree degree)
{
  assert(degree < RL_DEGREES);
  return degrees[degree].function;
}

RlDegree
rl_degree_plain(const int semitones)
{
  return plain_degrees[rl_pitch_class(semitones)];
}

bool
rl_class_set_has(const RlClassSet set, const int semitones)
{
  return (set >> rl_pitch_class(semitones)) & 1;
}

/* ---- sets of degrees ---- */

#define BIT(degree) (1U << RL_DEGREE_##degree)

/* As a chord is stacked: thirds, one on the other. */
static const uint8_t stack[] = {
  RL_DEGREE_ROOT,   RL_DEGREE_2,        RL_DEGREE_FLAT_3,  RL_DEGREE_3,  RL_DEGREE_4,
  RL_DEGREE_FLAT_5, RL_DEGREE_5,        RL_DEGREE_SHARP_5, RL_DEGREE_6,  RL_DEGREE_DOUBLE_FLAT_7,
  RL_DEGREE_FLAT_7, RL_DEGREE_7,        RL_DEGREE_FLAT_9,  RL_DEGREE_9,  RL_DEGREE_SHARP_9,
  RL_DEGREE_11,     RL_DEGREE_SHARP_11, RL_DEGREE_FLAT_13, RL_DEGREE_13,
};

_Static_assert(sizeof(stack) == RL_DEGREES, "every degree has its place in a chord");
_Static_assert(RL_DEGREES < 31, "a quality has a bit for every degree and one for alt");

int
rl_quality_tones(const RlQuality quality, RlDegree tone[RL_DEGREES])
{
  int count = 0;
  for (int i = 0; i < RL_DEGREES; ++i) {
    if ((quality >> stack[i]) & 1) {
      tone[count++] = (RlDegree)stack[i];
    }
  }
  return count;
}

/* The degrees that lie so many semitones above the root. */
static const RlQuality at_semitones[12] = {
  BIT(ROOT),
  BIT(FLAT_9),
  BIT(9) | BIT(2),
  BIT(FLAT_3) | BIT(SHARP_9),
  BIT(3),
  BIT(11) | BIT(4),
  BIT(SHARP_11) | BIT(FLAT_5),
  BIT(5),
  BIT(SHARP_5) | BIT(FLAT_13),
  BIT(13) | BIT(6) | BIT(DOUBLE_FLAT_7),
  BIT(FLAT_7),
  BIT(7),
};

RlDegree
rl_quality_tone(const RlQuality quality, const int semitones)
{
  const RlQuality hit    = quality & at_semitones[rl_pitch_class(semitones)];
  int             degree = RL_DEGREES;
  for (RlQuality rest = hit; rest; rest &= rest - 1) {
    degree = 0;
    while (!((rest >> degree) & 1)) {
      ++degree;
    }
  }
  return (RlDegree)degree;
}

RlClassSet
rl_quality_classes(const RlQuality quality)
{
  RlClassSet set = 0;
  for (int n = 0; n < 12; ++n) {
    set = (RlClassSet)(set | (quality & at_semitones[n] ? 1U << n : 0));
  }
  return set;
}

bool
rl_quality_minor(const RlQuality quality)
{
  return quality & BIT(FLAT_3);
}

/* ---- the list of the reference ---- */

static const char *const listed[] = {
  "",      "m",       "7",      "maj7",   "m7",      "mMaj7",  "6",     "m6",    "6/9",
  "9",     "m9",      "maj9",   "9sus4",  "11",      "m11",    "13",    "maj13", "7b9",
  "7#9",   "7b5",     "7#5",    "7#11",   "7alt",    "m7b5",   "dim",   "dim7",  "aug",
  "sus2",  "sus4",    "7sus4",  "add9",   "5",       "madd9",  "m6/9",  "m9b5",  "m13",
  "mMaj9", "maj7#11", "maj7#5", "maj7b5", "9#11",    "13b9",   "13#11", "7b13",  "7#5#9",
  "7b5b9", "7b9#9",   "7b9b13", "7#9b13", "7sus4b9", "13sus4", "7no3",  "m7#5",  "(b5)",
};

int
rl_qualities(void)
{
  return (int)(sizeof(listed) / sizeof(listed[0]));
}

RlQuality
rl_quality(const int index)
{
  return rl_quality_find(rl_slice(listed[index]));
}
