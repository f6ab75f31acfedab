/* SPDX-License-Identifier: ISC */
/* What comes in on `midi_in` goes out on `midi_out` as long as nothing is planned; the foot
   switches' controllers are kept away from it. The audio thread's; real-time safe. */
#ifndef RL_PLUGIN_RT_MIDI_THRU_H
#define RL_PLUGIN_RT_MIDI_THRU_H

#include "plugin/protocol/atoms.h"
#include "plugin/rt/midi_out.h"

/** The state; zeroed at the beginning. A bit for each note of each channel. */
typedef struct {
  uint32_t on[16][4];  /* it went out and sounds */
  uint32_t due[16][4]; /* its end found no room */
  bool     late;       /* any of those */
} RlMidiThru;

/** A block begins, after rl_midi_out_begin(): ends what could not be ended in the one before. */
void rl_midi_thru_begin(RlMidiThru *thru, RlMidiOut *out);

/** A MIDI message comes at `frame`. `open`: all goes through; else only what ends something does.
 */
void rl_midi_thru_hear(RlMidiThru *thru, RlMidiOut *out, int64_t frame, const RlAtom *atom,
                       bool open);

#endif
