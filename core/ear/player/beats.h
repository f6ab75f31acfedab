/* SPDX-License-Identifier: ISC */
/* How the partials of each pitch keep step. One reed's are locked to its fundamental: the phase of
   the second stands still against twice that of the first. Of an octave the second is the sum of
   two reeds that are never in tune to the last cent: it turns, and its level sways. */
#ifndef RL_CORE_EAR_PLAYER_BEATS_H
#define RL_CORE_EAR_PLAYER_BEATS_H

#include "core/ear/player/lines.h"

/** What is looked at: the second partial against the first; the fourth against the second; the
    third against the first, which turns only with what disturbs all (a room, a glide, noise). */
enum { RL_BEAT_SECOND, RL_BEAT_FOURTH, RL_BEAT_THIRD, RL_BEATS };

/** Means of rl_beats_locked(): second and fourth over 85 ms; second over 171 ms; second over 85 ms,
    of a third of a second. The others are of 90 ms. */
enum {
  RL_BEAT_SECOND_NEAR,
  RL_BEAT_FOURTH_NEAR,
  RL_BEAT_SECOND_FAR,
  RL_BEAT_SECOND_LONG,
  RL_BEAT_MEANS
};

/** One beat of one pitch: its two lines; places in what rl_beats_block() makes. */
typedef struct {
  uint16_t high, low, to;
} RlBeatOf;

typedef struct {
  int      now;
  int      count;
  RlBeatOf of[RL_BEATS * RL_REED_NOTES]; /* those whose lines there are */
  float turn[RL_REED_NOTES]; /**< radians a block: the third's line beside three times the first */
  float re[RL_LINES_PAST][RL_BEATS][RL_REED_NOTES]; /**< of length 1; 0: too faint to tell */
  float im[RL_LINES_PAST][RL_BEATS][RL_REED_NOTES];
  float mean[RL_BEAT_MEANS][RL_REED_NOTES];
} RlBeats;

void rl_beats_init(RlBeats *beats, const RlReeds *reeds);

/** A block is full; `lines` have taken it. */
void rl_beats_block(RlBeats *beats, const RlReeds *reeds, const RlLines *lines);

/** Cosine of how far one of these turned at a pitch in so many blocks, at most 63; 0: not known. */
float rl_beats_locked(const RlBeats *beats, int beat, int note, int blocks);

#endif
