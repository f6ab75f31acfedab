/* SPDX-License-Identifier: ISC */
/* The picture of what a take was lifted from, on its way from the worker to the window, and where
   its sound is kept. */
#ifndef RL_PLUGIN_SHARED_PICTURE_H
#define RL_PLUGIN_SHARED_PICTURE_H

#include "core/ear/phrase/picture.h"
#include "core/phrase/phrase.h"

/** A picture. About 36 KiB. */
typedef struct {
  char     title[RL_PHRASE_TITLE_SIZE]; /**< of the take */
  int      columns;                     /**< 0: there is none */
  float    begins, ends; /**< quarters from the first beat of the tune's bar: the edges */
  uint32_t keeping;      /**< where its sound is: in the keeping of that number, */
  int64_t  first;        /**< from that sample on, */
  uint32_t samples;      /**< so many */
  uint8_t  cell[RL_LIFT_PICTURE_COLUMNS * RL_LIFT_PICTURE_ROWS]; /**< column by column */
} RlPicture;

#endif
