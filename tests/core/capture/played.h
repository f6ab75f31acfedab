/* SPDX-License-Identifier: ISC */
/* A phrase played by somebody: in time, late, uneven, swung; as MIDI messages into a take. For
   tests; deterministic. */
#ifndef PLAYED_H
#define PLAYED_H

#include "core/capture/take.h"
#include "core/phrase/phrase.h"

/** How it is played. */
typedef struct {
  double   tempo;     /**< quarters a minute */
  double   swing;     /**< .5 straight */
  double   behind_ms; /**< late by so much */
  double   spread_ms; /**< standard deviation of every beginning and end */
  unsigned seed;
} Played;

/** Numbers that look random: 0 up to (not incl.) 1. */
double played_random(unsigned *seed);

/** The same with a normal distribution, mean 0, deviation 1. */
double played_normal(unsigned *seed);

/** One MIDI message and its time. */
typedef struct {
  double  at; /**< quarters along the song */
  uint8_t bytes[3];
} PlayedEvent;

/** For qsort(): by time; of one time, ends first. */
int played_in_order(const void *a, const void *b);

enum { PLAYED_MAX = 2 * RL_PHRASE_NOTES_MAX };

/** Plays a phrase whose bar begins `bar` quarters along the song. Returns how many events, in order
   of time: `event` has room for PLAYED_MAX. Eighths swing, and what lies between them with them;
   beats with thirds in them, and dotted beats (`phrase->meter_*`), do not. */
int played_events(const RlPhrase *phrase, double bar, Played how, PlayedEvent *event);

/** A phrase of `bars` bars that a person might play in 4/4 (or 12/8, if `dotted`) at that tempo of
   beats: mostly eighths, triplets, quarters and longer, sixteenths where there is time (not in
   swung ones). */
void played_invent(unsigned *seed, int bars, bool dotted, bool swung, double beats_a_minute,
                   RlPhrase *phrase);

#endif
