/* SPDX-License-Identifier: ISC */
/* The one track of a Standard MIDI File of type 0 (MIDI Manufacturers Association, RP-001), as it
   grows. */
#ifndef RL_UI_LISTEN_TRACK_H
#define RL_UI_LISTEN_TRACK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum { RL_TRACK_DIVISION = 960 /**< ticks of a quarter */ };

/** A track; begins as {0}. Want of memory is told at its end. */
typedef struct {
  uint8_t *bytes;
  size_t   size, room;
  bool     broken;
  uint32_t wait; /**< ticks from the event before to the next one */
} RlTrack;

/** Adds a channel message of up to three bytes, or a meta event; the next follows at once. */
void rl_track_event(RlTrack *track, const uint8_t *bytes, size_t size);
void rl_track_meta(RlTrack *track, int type, const void *bytes, size_t size);

/** Adds a tempo; returns the seconds a quarter lasts as the file has it. */
double rl_track_tempo(RlTrack *track, double seconds);

/** Ends it and writes the file; false if it cannot be written or memory was wanting. The track is
    empty then. */
bool rl_track_write(RlTrack *track, FILE *file);

#endif
