/* SPDX-License-Identifier: ISC */
/* What every part of the picture draws from. */
#ifndef RL_UI_DRAW_SCENE_H
#define RL_UI_DRAW_SCENE_H

#include "ui/layout/layout.h"
#include "ui/paint/text.h"

typedef struct {
  RlPaint         paint;
  const RlView   *view;
  const RlLayout *layout;
} RlScene;

/** Bytes for the words of a label, a chord or a countdown, the NUL included. */
enum { RL_WORDS_SIZE = 96 };

#endif
