/* SPDX-License-Identifier: ISC */
/* Sound to be listened to, on its way between worker and audio thread. The worker makes it whole
   and lends it; the audio thread plays it and gives it back. Each pointer has one owner: who takes
   it out. */
#ifndef RL_PLUGIN_SHARED_AUDITION_DESK_H
#define RL_PLUGIN_SHARED_AUDITION_DESK_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

/** Sound of one side, at the plugin's rate, from silence to silence. */
typedef struct {
  uint32_t number;  /**< from 1; does not change */
  bool     refused; /**< given back unheard, since the music rolled */
  uint32_t frames;
  float    sound[];
} RlAuditionLoan;

/** Zeroed at the beginning. */
typedef struct {
  _Atomic uint32_t          wanted;   /**< the number of what should sound; 0: nothing */
  _Atomic(RlAuditionLoan *) offered;  /**< to the audio thread */
  _Atomic(RlAuditionLoan *) returned; /**< by the audio thread */
} RlAuditionDesk;

#endif
