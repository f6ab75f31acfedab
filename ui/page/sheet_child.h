/* SPDX-License-Identifier: ISC */
/* Draws a lesson sheet of the state for one pupil. Only in a child process of the server: fonts and
   static memory stay behind. */
#ifndef RL_UI_PAGE_SHEET_CHILD_H
#define RL_UI_PAGE_SHEET_CHILD_H

#include "ui/page/sheet_jobs.h"

/** An RlSheetJobDraw. A plan that cannot be read is left out, and so are its phrases on bars that
    the chart does not have: as on the page. */
RlSheetJobResult rl_sheet_child(const RlPageState *state, const RlSheetRequest *request, int to);

#endif
