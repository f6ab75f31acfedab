/* SPDX-License-Identifier: ISC */
/* A lesson made up: three choruses with known hits and misses, and the truth about them, known from
   how it was made and not from the rules being tested. */
#ifndef RL_TESTS_CORE_PRACTICE_LESSON_H
#define RL_TESTS_CORE_PRACTICE_LESSON_H

#include "core/practice/tally.h"

enum { LESSON_CHORUSES = 3, LESSON_NOTES = 4096 };

typedef struct {
  RlForm       form;
  RlKey        key;
  RlHarp       harp;
  RlHarpChoice choice;
  RlPlayer     player;
  RlTargetLine line;
  RlPlan       plan;
  RlLane       lane;
  RlHeardNote  note[LESSON_NOTES];
  int          notes;
  RlTally      truth[LESSON_CHORUSES];
} Lesson;

/** 67 chords a chorus, at `tempo` quarters a minute; another `seed` is another lesson. */
void lesson_make(Lesson *lesson, unsigned seed, double tempo);

/** Quarters in a chorus. */
double lesson_chorus(const Lesson *lesson);

#endif
