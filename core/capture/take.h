/* SPDX-License-Identifier: ISC */
/* A take: what somebody played on an instrument that speaks MIDI, as it was played, off the grid.
   MIDI messages in, notes out. No heap; one thread at a time; not for the audio thread (time grows
   with the notes). core/capture/quantise puts it on the beat. */
#ifndef RL_CORE_CAPTURE_TAKE_H
#define RL_CORE_CAPTURE_TAKE_H

#include <stdbool.h>
#include <stdint.h>

enum { RL_TAKE_NOTES_MAX = 512, RL_TAKE_CHANNELS = 16 };

/** A note as it was played. */
typedef struct {
  double  at, ends;     /**< quarters along the song; ends > at once it is over */
  int16_t pitch;        /**< MIDI number; where it was held bent, that of the bent note */
  uint8_t articulation; /**< RlArticulation: scoop and bend, from pitch bend */
  uint8_t key;          /**< as it came: channel and key that end it */
  uint8_t channel;
  bool    sounds;     /**< its end is still to come */
  bool    again;      /**< its key was struck before it had been let go */
  double  bend_begin; /**< semitones at its beginning */
  double  bend_sum;   /**< semitones times quarters, since */
  double  bend_since; /**< quarters: the bend that stands now began here */
} RlTakeNote;

/** What a channel's bender does. */
typedef struct {
  double  bend;  /**< semitones now */
  int16_t value; /**< -8192..8191 */
  double  range; /**< semitones either way: 2 unless RPN 0 says otherwise (MIDI 1.0) */
  uint8_t rpn[2];
} RlTakeChannel;

/** A take. About 37 KiB. */
typedef struct {
  uint16_t      notes;
  uint16_t      too_many;                /**< notes there was no room for */
  uint16_t      ended;                   /**< so many from the first on have ended */
  RlTakeNote    note[RL_TAKE_NOTES_MAX]; /**< by beginning */
  RlTakeChannel channel[RL_TAKE_CHANNELS];
} RlTake;

/** Begins an empty take. */
void rl_take_begin(RlTake *take);

/** Begins another one on the same instrument: its benders stand as they do. */
void rl_take_again(RlTake *take);

/** Heeds a MIDI channel message at `at` quarters along the song (never earlier than the one
   before): note on, note off, pitch bend, RPN 0, all notes off, all sound off. The others are no
   part of a phrase. A note on for a note that sounds ends it first, and a note off right behind it
   is that one's. `size` is 1 to 3 bytes; fewer than the message needs, and it is passed over. */
void rl_take_midi(RlTake *take, double at, const uint8_t *bytes, uint32_t size);

/** Moves the notes that still sound and began at `from` quarters or later into `next`, another take
   on the same instrument, `by` quarters further along. What `next` held is forgotten. */
void rl_take_split(RlTake *take, double from, double by, RlTake *next);

/** It is over at `at`: so are the notes that still sound. */
void rl_take_end(RlTake *take, double at);

#endif
