/* SPDX-License-Identifier: ISC */
/* The products of the newest block with the sound before it, by lag, from spectra: a block's own is
   made once and serves until it is past the longest lag. Transforms of 256 points keep an order of
   their own, in which they are multiplied. */
#ifndef RL_CORE_EAR_PLAYER_PRODUCTS_H
#define RL_CORE_EAR_PLAYER_PRODUCTS_H

#include <stdint.h>

enum {
  RL_PRODUCTS_BLOCK = 128,
  RL_PRODUCTS_SIZE  = 2 * RL_PRODUCTS_BLOCK,
  RL_PRODUCTS_TURNS = RL_PRODUCTS_SIZE - 4, /**< of three stages: 3 * (64 + 16 + 4) */
  RL_PRODUCTS_KEPT  = 8,                    /**< blocks */
  RL_PRODUCTS_BINS  = 96                    /**< of rl_products_spectrum(), 93.75 Hz apart */
};

/** Complex numbers. */
typedef struct {
  float re[RL_PRODUCTS_SIZE], im[RL_PRODUCTS_SIZE];
} RlSpectrum;

typedef struct {
  int        newest;
  float      turn_re[RL_PRODUCTS_TURNS], turn_im[RL_PRODUCTS_TURNS];
  uint8_t    place[RL_PRODUCTS_BINS]; /* in an order of their own */
  float      middle_re[RL_PRODUCTS_BINS], middle_im[RL_PRODUCTS_BINS];
  RlSpectrum block;                  /* the newest */
  RlSpectrum pair[RL_PRODUCTS_KEPT]; /* each with the one before it */
} RlProducts;

void rl_products_init(RlProducts *products);

/** Takes RL_PRODUCTS_BLOCK samples; fills `to` with their products with the sound `lag` earlier,
   for lags from 0 to `lags` (a multiple of 4, at most 768) less one. */
void rl_products_block(RlProducts *products, const float *block, float *to, int lags);

/** The spectrum of the newest block, the first RL_PRODUCTS_BINS bins from 0 Hz up; as if the
   block's middle were at time 0. */
void rl_products_spectrum(const RlProducts *products, float *re, float *im);

#endif
