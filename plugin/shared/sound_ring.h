/* SPDX-License-Identifier: ISC */
/* The sound of the track on its way from the audio thread to the listener, in chunks that know
   which frames they are. One writer, one reader, neither waits: what finds no room is dropped, and
   the next chunk's frame says so. */
#ifndef RL_PLUGIN_SHARED_SOUND_RING_H
#define RL_PLUGIN_SHARED_SOUND_RING_H

#include "plugin/shared/slots.h"

#include <stdbool.h>
#include <stdint.h>

enum {
  RL_SOUND_FRAMES    = 256,  /**< in a chunk, at most */
  RL_SOUND_CHUNKS    = 1024, /**< 5 s at 48 kHz, 1.3 s at 192 */
  RL_SOUND_KEY_HEARD = -1
};

#define RL_SONG_UNKNOWN INT64_MIN

/** What the player says about what is heard, at the first frame of a chunk. */
typedef enum {
  RL_WORD_NONE,
  RL_WORD_BAR_ONE,
  RL_WORD_TEMPO, /**< felt beats a minute: RlSoundHead.tempo */
  RL_WORD_HALF,
  RL_WORD_DOUBLE,
  RL_WORD_FORGET
} RlWord;

/** What is true of all of a chunk. */
typedef struct {
  int64_t  frame; /**< the first, since the beginning */
  int64_t  song;  /**< the same in the host's song; RL_SONG_UNKNOWN */
  unsigned chart; /**< RlSnapshot.version[RL_CHART] */
  int8_t   key;   /**< pitch class of the tonic; RL_SOUND_KEY_HEARD: to be found */
  bool     rolling, freewheel;
  uint8_t  word; /**< RlWord */
  float    tempo;
} RlSoundHead;

typedef struct {
  RlSoundHead head;
  uint32_t    frames;
  float       sound[RL_SOUND_FRAMES]; /**< both sides, added */
} RlSoundChunk;

/** Zeroed at the beginning. About 1 MiB. */
typedef struct {
  RlSlots      slots;
  uint32_t     filled; /* frames in the chunk being written; the writer's own */
  RlSoundChunk chunk[RL_SOUND_CHUNKS];
} RlSoundRing;

/** Adds `frames` frames that `head` is true of; `right` may be NULL. False if some of it found no
   room; then a word of `head` may not have gone through. The audio thread; real-time safe. */
bool rl_sound_ring_put(RlSoundRing *ring, const RlSoundHead *head, const float *left,
                       const float *right, uint32_t frames);

/** The oldest chunk that is complete, NULL if there is none; and done with it. The listener. */
const RlSoundChunk *rl_sound_ring_peek(const RlSoundRing *ring);
void                rl_sound_ring_drop(RlSoundRing *ring);

/** How many chunks are complete and not dropped. Any thread. */
uint32_t rl_sound_ring_waiting(const RlSoundRing *ring);

/** Empties it. While neither thread touches it. */
void rl_sound_ring_clear(RlSoundRing *ring);

#endif
