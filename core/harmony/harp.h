/* SPDX-License-Identifier: ISC */
/* The harmonica: every note that each hole can sound, and by which technique. Ten holes, one blow
   and one draw reed in each. HARPS.md is the reference. Pure; real-time safe, any thread. */
#ifndef RL_CORE_HARMONY_HARP_H
#define RL_CORE_HARMONY_HARP_H

#include "core/harmony/pitch.h"

enum { RL_HOLES = 10 };

/** How a note is made. A bend is a semitone deeper than the one before it here. */
typedef enum {
  RL_BLOW,
  RL_DRAW,
  RL_BLOW_1, /**< blown, bent down 1 semitone */
  RL_BLOW_2,
  RL_BLOW_3,
  RL_DRAW_1,
  RL_DRAW_2,
  RL_DRAW_3,
  RL_OVERBLOW,
  RL_OVERDRAW,
  RL_TECHNIQUES
} RlTechnique;

/** How the reeds are tuned, in the order of the port `tuning`. */
typedef enum {
  RL_RICHTER,
  RL_RAISED_THIRD_BLOW,
  RL_COUNTRY,
  RL_NATURAL_MINOR,
  RL_HARMONIC_MINOR,
  RL_SOLO,
  RL_TUNINGS
} RlTuning;

/** Which harp is played. */
typedef struct {
  uint8_t  key;   /**< 0..11, C = 0: the note of hole 1 blow */
  int8_t   range; /**< -1 low, 0 standard, 1 high: octaves */
  RlTuning tuning;
} RlHarpChoice;

/** What the player can do. */
typedef struct {
  uint8_t draw_bends; /**< 0..3 semitones */
  uint8_t blow_bends; /**< 0..3 semitones */
  bool    overblows;  /**< and overdraws */
} RlPlayer;

/** The notes of one harp: MIDI numbers by [hole - 1][technique], 0 where there is none. */
typedef struct {
  uint8_t note[RL_HOLES][RL_TECHNIQUES];
} RlHarp;

/** `blow`, `draw2`, `overblow`: the names that OSC sends (HARPS.md). */
const char *rl_technique_name(RlTechnique technique);

/** Semitones a technique bends down: 0 to 3. */
int rl_technique_bend(RlTechnique technique);

/** Is it a draw note? */
bool rl_technique_draws(RlTechnique technique);

/** `Richter`, `raised third blow`, … */
const char *rl_tuning_name(RlTuning tuning);

/** All notes of a harp. In the standard register hole 1 blow lies from G3 (MIDI 55) on a G harp
    up to F#4 (66) on an F# harp (common practice). A bend sounds the semitones strictly between
    a hole's two reeds and belongs to the higher one; an overblow or overdraw sounds a semitone
    above the higher reed. Two reeds in one chamber: Bahnson, Antaki, Beery, J. Acoust. Soc. Am.
    103(4), 1998, 2134-2144 (bends between the two notes, overblows outside; the semitone is
    common practice). */
RlHarp rl_harp_make(RlHarpChoice choice);

/** Can this player use the technique? */
bool rl_player_can(RlPlayer player, RlTechnique technique);

/** The position 1..12 in which a harp plays a key: fifths up from the harp's own key. */
int rl_harp_position(int harp_key, int song_key);

/** Appends a note as tab: `4` blow, `-4` draw, then a `'` for each semitone bent, `o` for an
    overblow or overdraw. Breath as a sign is common practice among players, no source. */
void rl_tab_write(int hole, RlTechnique technique, RlText *text);

#endif
