/* SPDX-License-Identifier: ISC */
/* The lamps: what every note of the harp is worth over a chord. LAMPS.md is the reference. Pure;
   real-time safe, any thread. */
#ifndef RL_CORE_HARMONY_LAMPS_H
#define RL_CORE_HARMONY_LAMPS_H

#include "core/harmony/chord.h"
#include "core/harmony/harp.h"

/** The role of a note now, dullest first. */
typedef enum {
  RL_ROLE_OFF,
  RL_ROLE_REACH, /**< the player cannot reach it */
  RL_ROLE_PASS,  /**< pass through it */
  RL_ROLE_SAFE,  /**< safe to hold */
  RL_ROLE_BLUE,  /**< a blue note of the key */
  RL_ROLE_CHORD, /**< 6, 9, 11, 13 of the chord */
  RL_ROLE_FIFTH,
  RL_ROLE_ROOT,
  RL_ROLE_SEVENTH,
  RL_ROLE_THIRD,
  RL_ROLES
} RlRole;

/** `third`, `blue`, …: the names that OSC sends (LAMPS.md). */
const char *rl_role_name(RlRole role);

/** What a pitch class is worth over a chord, whether or not a player can reach it. */
typedef struct {
  RlRole   role;
  RlDegree degree;     /**< against the chord's root; against the key with N.C. */
  float    brightness; /**< 0, 0.2, 0.3, 0.5, 0.6, 0.7, 0.9 or 1 */
  bool     blue;       /**< a blue note of the key, whatever its role */
} RlWorth;

/** The worth of pitch class `note` (any number of semitones above C) over `now` in `key`. LAMPS.md
    has the rule, its order and its numbers (common practice in jazz and blues teaching, no
    source). */
RlWorth rl_worth_of(int note, const RlHarmony *now, RlKey key);

/** How much of all that is shown: the port `show`. Each level shows what the one before does. */
typedef enum {
  RL_SHOW_TARGETS = 1, /**< the note to land on alone */
  RL_SHOW_CHORD,       /**< and the tones of the chord */
  RL_SHOW_SAFE,        /**< and safe and blue notes */
  RL_SHOW_ALL,         /**< and what one may pass through */
  RL_SHOWS
} RlShow;

/** A lamp that is out. */
extern const RlWorth rl_worth_out;

/** The worth as it is shown: what lies beyond `show` is out. `target`: it is the note to land on.
 */
RlWorth rl_worth_shown(RlWorth worth, RlShow show, bool target);

/** One lamp; `note` 0 where the harp has no such note, and then the rest means nothing. */
typedef struct {
  uint8_t note; /**< MIDI number */
  RlWorth worth;
} RlLamp;

/** All lamps of a harp by [hole - 1][technique]. */
typedef struct {
  RlLamp lamp[RL_HOLES][RL_TECHNIQUES];
} RlLamps;

/** Lights the harp. A note the player cannot make has the role reach and brightness 0, and keeps
    its degree and blue flag. */
RlLamps rl_lamps_light(const RlHarp *harp, RlPlayer player, const RlHarmony *now, RlKey key);

/** Puts out what lies beyond `show`; the note to land on over this chord is `technique` of `hole`,
    none with hole 0. */
void rl_lamps_show(RlLamps *lamps, RlShow show, int hole, int technique);

#endif
