/* SPDX-License-Identifier: ISC */
/* The sound of the track on its way from the audio thread to where its last minute is kept, in
   chunks that know where along the song they are. One writer, one reader, neither waits: what finds
   no room is dropped, and the next chunk's frame says so. */
#ifndef RL_PLUGIN_SHARED_TRACK_RING_H
#define RL_PLUGIN_SHARED_TRACK_RING_H

#include "plugin/shared/slots.h"

#include <stdbool.h>
#include <stdint.h>

enum {
  RL_TRACK_FRAMES = 256, /**< in a chunk, at most */
  RL_TRACK_CHUNKS = 512  /**< 2.7 s at 48 kHz, 0.7 s at 192 */
};

/** What is true of all of a chunk. The music moves in it. */
typedef struct {
  int64_t  frame;    /**< the first, since the beginning */
  double   quarters; /**< along the song, there; as rl_form_quarters() */
  double   rate;     /**< quarters a frame */
  unsigned chart;    /**< RlSnapshot.version[RL_CHART] */
  uint32_t run;      /**< another number after every stop, locate and end of a loop */
} RlTrackHead;

typedef struct {
  RlTrackHead head;
  uint32_t    frames;
  bool        stereo; /**< else both sides are the same */
  float       sound[2][RL_TRACK_FRAMES];
} RlTrackChunk;

/** Zeroed at the beginning. About 1 MiB. */
typedef struct {
  RlSlots      slots;
  uint32_t     filled; /* frames in the chunk being written; the writer's own */
  RlTrackChunk chunk[RL_TRACK_CHUNKS];
} RlTrackRing;

/** Adds `frames` frames that `head` is true of; `right` may be NULL. The audio thread; real-time
    safe. */
void rl_track_ring_put(RlTrackRing *ring, const RlTrackHead *head, const float *left,
                       const float *right, uint32_t frames);

/** The oldest chunk that is complete, NULL if there is none; and done with it. The keeper. */
const RlTrackChunk *rl_track_ring_peek(const RlTrackRing *ring);
void                rl_track_ring_drop(RlTrackRing *ring);

#endif
