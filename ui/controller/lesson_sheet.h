/* SPDX-License-Identifier: ISC */
/* The lesson sheet of the chart and plan in force, made when a button asks for it. */
#ifndef RL_UI_CONTROLLER_LESSON_SHEET_H
#define RL_UI_CONTROLLER_LESSON_SHEET_H

#include "ui/controller/controller.h"

/** Begins to make the sheet; a notice says why not, where it cannot. */
void rl_lesson_sheet_make(RlController *controller);

/** Looks whether it is finished; then a notice says where its file lies, or why there is none. */
void rl_lesson_sheet_advance(RlController *controller);

#endif
