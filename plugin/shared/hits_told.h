/* SPDX-License-Identifier: ISC */
/* Hits of the player as they are told: planned notes played, targets landed on. Plain data. */
#ifndef RL_PLUGIN_SHARED_HITS_TOLD_H
#define RL_PLUGIN_SHARED_HITS_TOLD_H

#include <stdbool.h>
#include <stdint.h>

/** A hit, by where the note is planned or the chord comes. */
typedef struct {
  double  quarters;              /**< from the first beat of bar 1 in chorus 1 */
  int32_t chorus, bar;           /**< as the ports */
  float   beat;                  /**< from 1 */
  uint8_t hole, technique, note; /**< RlTechnique; MIDI number */
  bool    target;
} RlHitTold;

enum { RL_HITS_TOLD = 8 /**< a power of 2 */ };

/** The newest ones; zeroed at the beginning. */
typedef struct {
  unsigned  count;              /**< in all */
  RlHitTold last[RL_HITS_TOLD]; /**< number n, from 0, at n % RL_HITS_TOLD */
} RlHitsTold;

/** The first that whoever knows of `known` has not been told of and can still be. */
static inline unsigned
rl_hits_first_untold(const RlHitsTold *const hits, const unsigned known)
{
  return hits->count - known > RL_HITS_TOLD ? hits->count - RL_HITS_TOLD : known;
}

#endif
