/* SPDX-License-Identifier: ISC */
/* The products of the newest block with the sound before it, by lag, from spectra: a block's own is
   made once and serves until it is past the longest lag. Transforms of 256 points keep an order of
   their own, in which they are multiplied. */
#ifndef RL_CORE_EAR_PLAYER_PRODUCTS_H
#define RL_CORE_EAR_PLAYER_PRODUCTS_H

enum {
  RL_PRODUCTS_BLOCK = 128,
  RL_PRODUCTS_SIZE  = 2 * RL_PRODUCTS_BLOCK,
  RL_PRODUCTS_TURNS = RL_PRODUCTS_SIZE - 4, /**< of three stages: 3 * (64 + 16 + 4) */
  RL_PRODUCTS_KEPT  = 8                     /**< blocks */
};

/** Complex numbers. */
typedef struct {
  float re[RL_PRODUCTS_SIZE], im[RL_PRODUCTS_SIZE];
} RlSpectrum;

typedef struct {
  int        newest;
  float      turn_re[RL_PRODUCTS_TURNS], turn_im[RL_PRODUCTS_TURNS];
  RlSpectrum block[RL_PRODUCTS_KEPT];
} RlProducts;

void rl_products_init(RlProducts *products);

/** Takes RL_PRODUCTS_BLOCK samples; fills `to` with their products with the sound `lag` earlier,
   for lags from 0 to `lags` (a multiple of 4, at most 768) less one. */
void rl_products_block(RlProducts *products, const float *block, float *to, int lags);

#endif
