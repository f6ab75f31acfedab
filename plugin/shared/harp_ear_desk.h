/* SPDX-License-Identifier: ISC */
/* The ear for the player on its way between worker and audio thread, and what is heard with it. The
   worker makes an ear for one hand and lends it; where the hand is another one it makes another, so
   that nothing long is done in run(). Each pointer has one owner: who takes it out. */
#ifndef RL_PLUGIN_SHARED_HARP_EAR_DESK_H
#define RL_PLUGIN_SHARED_HARP_EAR_DESK_H

#include "core/ear/player/reed_ear.h"

#include <stdatomic.h>

/** An ear, and whose it is. */
typedef struct {
  uint32_t  hand; /**< rl_harp_ear_hand() that it was made for; does not change */
  RlReedEar ear;
} RlHarpEarLoan;

/** Zeroed at the beginning. */
typedef struct {
  _Atomic uint32_t         wanted;   /**< the audio thread wants an ear for this hand; 0: none */
  _Atomic(RlHarpEarLoan *) offered;  /**< to the audio thread */
  _Atomic(RlHarpEarLoan *) returned; /**< by the audio thread */
} RlHarpEarDesk;

/** Harp and player in one number, never 0. */
static inline uint32_t
rl_harp_ear_hand(const RlHarpChoice harp, const RlPlayer player)
{
  return 1U | (uint32_t)harp.key << 1U | (uint32_t)(harp.range + 1) << 5U |
         (uint32_t)harp.tuning << 7U | (uint32_t)player.draw_bends << 11U |
         (uint32_t)player.blow_bends << 13U | (player.overblows ? 1U << 15U : 0U);
}

/** The same the other way round. */
static inline void
rl_harp_ear_unpack(const uint32_t hand, RlHarpChoice *const harp, RlPlayer *const player)
{
  *harp   = (RlHarpChoice){.key    = (uint8_t)(hand >> 1U & 15U),
                           .range  = (int8_t)((int)(hand >> 5U & 3U) - 1),
                           .tuning = (RlTuning)(hand >> 7U & 15U)};
  *player = (RlPlayer){.draw_bends = (uint8_t)(hand >> 11U & 3U),
                       .blow_bends = (uint8_t)(hand >> 13U & 3U),
                       .overblows  = (hand >> 15U & 1U) != 0};
}

/** What the player plays, as it is told. */
typedef struct {
  unsigned changes;     /**< another number: this is new */
  bool     listens;     /**< harp_from is not 0 */
  RlPlayed played;      /**< frames since the plugin's first */
  double   rate;        /**< of those, a second */
  int      chorus, bar; /**< where in the form it began; bar 0: nowhere */
  float    beat;        /**< from 1 */
} RlHeardNow;

#endif
