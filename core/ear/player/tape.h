/* SPDX-License-Identifier: ISC */
/* The newest sound at RL_EAR_RATE with its running energy, and the products of its newest block
   with all earlier sound: sums of one, two, four or eight blocks are autocorrelations over 128,
   256, 512 or 1024 samples, any window for the price of one. */
#ifndef RL_CORE_EAR_PLAYER_TAPE_H
#define RL_CORE_EAR_PLAYER_TAPE_H

#include "core/ear/four.h"
#include "core/ear/player/products.h"
#include "core/ear/player/reeds.h"

#include <stdbool.h>

enum {
  RL_TAPE_BLOCK  = RL_PRODUCTS_BLOCK, /**< samples, 5.3 ms */
  RL_TAPE_BLOCKS = 8,                 /**< blocks of the longest window */
  RL_TAPE_WINDOW = RL_TAPE_BLOCK * RL_TAPE_BLOCKS,
  RL_TAPE_KEPT   = RL_TAPE_WINDOW + RL_REED_LAGS + 64,
  RL_TAPE_SIZE   = 8192
};

/** The windows. */
enum { RL_NEWEST, RL_SHORTEST, RL_SHORT, RL_LONG, RL_WINDOWS };

typedef struct {
  int        lags, end;
  float      before, between, passed, hold; /* two high passes */
  float      low[2];                        /* two low passes */
  float      lows, lows_long; /**< mean square of what lies below the harp, 20 ms, two seconds */
  int        newest;          /**< row of `product` */
  float      sound[RL_TAPE_SIZE];
  double     energy[RL_TAPE_SIZE + 1];
  RlProducts products;
  float      product[RL_TAPE_BLOCKS][RL_REED_LAGS];
  float alike[RL_WINDOWS][RL_REED_LAGS]; /**< -1..1: how alike the window is to itself, by lag; see
                                            rl_tape_compare() */
} RlTape;

/** `lowest`: Hz; what lies well below is taken out. */
void rl_tape_init(RlTape *tape, int lags, float lowest);

/** Room for what comes next: as many samples as the block lacks, *lacks, 1 to RL_TAPE_BLOCK. */
float *rl_tape_room(RlTape *tape, int *lacks);

/** So many were put there. True when the block is full, which rl_tape_block() must be told at once.
 */
bool rl_tape_put(RlTape *tape, int samples);

/** A block is full: its lows are taken out; its energy and products. */
void rl_tape_block(RlTape *tape);

/** Mean square of the newest `samples`, at most RL_TAPE_WINDOW. */
float rl_tape_power(const RlTape *tape, int samples);

/** Fills `alike`. */
void rl_tape_compare(RlTape *tape);

/** The same for one lag. */
float rl_tape_alike(const RlTape *tape, int window, int lag);

/** `alike` between the samples: cubic through four. */
float  rl_tape_between(const RlTape *tape, int window, float lag);
RlFour rl_tape_four_between(const RlTape *tape, int window, RlFour lags);

/** What is left of the sound when combs at these lags have taken it away, as a share of its power:
 * 0 if it has these periods alone. */
float rl_tape_left(const RlTape *tape, int window, const float *lags, int count);

#endif
