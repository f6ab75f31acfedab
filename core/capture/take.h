/* SPDX-License-Identifier: ISC */
/* A take: what somebody played on a MIDI instrument, with the times as they were played. MIDI
   messages in, notes out. No heap, no state but the take; not for the audio thread (time grows with
   the notes); any other, one at a time. core/capture/quantise puts the notes on the beat. */
#ifndef RL_CORE_CAPTURE_TAKE_H
#define RL_CORE_CAPTURE_TAKE_H

#include <stdbool.h>
#include <stdint.h>

enum { RL_TAKE_NOTES_MAX = 512, RL_TAKE_CHANNELS = 16 };

/** A note as it was played. */
typedef struct {
  double  at, ends;        /**< quarters along the song; ends > at once the note has ended */
  int16_t pitch;           /**< MIDI number, 0 to 127; of a note held bent, that of the bent note */
  uint8_t articulation;    /**< RlArticulation: scoop, fall and bend, from pitch bend */
  uint8_t key;             /**< the MIDI key played: its note off ends the note, */
  uint8_t channel;         /**< on this channel, 0 to 15 */
  bool    sounds;          /**< it has not ended yet */
  uint8_t hole, technique; /**< where it was heard (hole from 1; RlTechnique); hole 0: by MIDI */
  uint8_t sure;            /**< lifted from a record: how likely it is right, hundredths and one */
  bool    again;           /**< the same key was still held when this note began */
  double  bend_begin;      /**< semitones at its beginning */
  double  bend_sum;        /**< integral of the bend up to bend_since: semitones times quarters */
  double  bend_since;      /**< quarters: when the bend last changed */
} RlTakeNote;

/** The pitch bend of a channel. */
typedef struct {
  double  bend;   /**< semitones now */
  int16_t value;  /**< -8192..8191 */
  double  range;  /**< semitones either way: 2 until RPN 0 sets another (MIDI 1.0) */
  uint8_t rpn[2]; /**< registered parameter selected: fine, coarse */
} RlTakeChannel;

/** A take. About 25 KiB. */
typedef struct {
  uint16_t      notes;
  uint16_t      too_many;                /**< notes past RL_TAKE_NOTES_MAX, left out */
  uint16_t      ended;                   /**< all notes before this index have ended */
  RlTakeNote    note[RL_TAKE_NOTES_MAX]; /**< in order of `at` */
  RlTakeChannel channel[RL_TAKE_CHANNELS];
} RlTake;

/** Begins an empty take. */
void rl_take_begin(RlTake *take);

/** Begins another take on the same instrument: the channels' pitch bends stay as they are. */
void rl_take_again(RlTake *take);

/** Adds a MIDI channel message (MIDI 1.0) at `at` quarters along the song, not earlier than the one
    before: note on, note off, pitch bend, RPN 0 (bend range), all notes off, all sound off. All
    others are ignored, and so is a message of fewer bytes (`size`) than it needs, or with a data
    byte above 127. A note on for a key that is still held ends the note that sounds; a note off up
    to a twelfth of a quarter later belongs to that first note and is ignored. */
void rl_take_midi(RlTake *take, double at, const uint8_t *bytes, uint32_t size);

/** Adds a note that was lifted from a record: a MIDI number from `at` to `ends` quarters along the
    song, `sure` 0..1, scooped or not, falling at its end or not. Not earlier than the one before.
 */
void rl_take_lifted(RlTake *take, double at, double ends, int midi, float sure, bool scooped,
                    bool fell);

/** The note of that key that still sounds and began after `from` quarters was none: takes it back.
 */
void rl_take_withdraw(RlTake *take, uint8_t key, double from);

/** Moves the notes that still sound and began at `from` quarters or later into `next`, `by`
   quarters further along (negative: back). `next` becomes another take on the same instrument; what
   it held is lost. It must not be `take`. */
void rl_take_split(RlTake *take, double from, double by, RlTake *next);

/** Ends the take at `at` quarters, and with it the notes that still sound. */
void rl_take_end(RlTake *take, double at);

#endif
