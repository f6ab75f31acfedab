/* SPDX-License-Identifier: ISC */
/* Which place of the form was heard at which frame of the host's song, every half second of it: a
   loop's second pass, or a locate to where the song has been heard, is known at once. The listener
   writes, any thread reads; real-time safe. */
#ifndef RL_PLUGIN_SHARED_PLACES_H
#define RL_PLUGIN_SHARED_PLACES_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

enum { RL_PLACES = 4096 /**< 34 minutes */, RL_PLACES_EACH = 2 /**< a second */ };

/** Zeroed at the beginning. */
typedef struct {
  _Atomic uint64_t place[RL_PLACES];
} RlPlaces;

/** A place: felt beats since bar 1 of chorus 1, and felt beats a minute. */
typedef struct {
  double felt, tempo;
} RlFeltPlace;

/** At a frame of the song there was that place. `rate` in frames a second. */
void rl_places_keep(RlPlaces *places, double rate, int64_t song, RlFeltPlace place);

/** The place at a frame of the song, if it was kept there or within half a second. */
bool rl_places_find(const RlPlaces *places, double rate, int64_t song, RlFeltPlace *place);

/** They hold no longer. */
void rl_places_forget(RlPlaces *places);

#endif
