/* SPDX-License-Identifier: ISC */
/* The lesson sheet of the chart and plan in force, made when a button asks for it. */
#ifndef RL_UI_CONTROLLER_LESSON_SHEET_H
#define RL_UI_CONTROLLER_LESSON_SHEET_H

#include "ui/controller/controller.h"

typedef struct {
  RlControllerSheet make; /**< NULL: there are no sheets */
  void             *data;
} RlLessonSheet;

/** Makes the sheet; a notice says where its file lies, or why there is none. */
void rl_lesson_sheet_make(RlController *controller);

#endif
