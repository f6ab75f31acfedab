/* SPDX-License-Identifier: ISC */
/* The sound that a take was lifted from, as a picture: half steps over time. Plain data. */
#ifndef RL_UI_MODEL_PICTURE_H
#define RL_UI_MODEL_PICTURE_H

#include "core/phrase/phrase.h"

enum { RL_VIEW_PICTURE_COLUMNS = 512, RL_VIEW_PICTURE_ROWS = 72 /**< at most */ };

/** Some columns of a picture, as the plugin tells them (plugin/PORTS.md, Pictures). */
typedef struct {
  char           title[RL_PHRASE_TITLE_SIZE]; /**< of the take */
  int            rows, lowest, columns;       /**< of the whole picture; a MIDI number */
  double         begins, ends; /**< in quarter notes from the first beat of the tune's bar */
  int            first, count; /**< columns of this part */
  const uint8_t *cell;         /**< rows * count: column by column, from the lowest row up */
} RlViewPicturePart;

/** A whole picture. */
typedef struct {
  char    title[RL_PHRASE_TITLE_SIZE];
  int     rows, lowest, columns;
  double  begins, ends;
  uint8_t cell[RL_VIEW_PICTURE_COLUMNS * RL_VIEW_PICTURE_ROWS]; /**< 0 nothing, 255 the loudest */
} RlViewPicture;

#endif
