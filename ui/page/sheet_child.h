/* SPDX-License-Identifier: ISC */
/* Draws the lesson sheet of what was heard, for one pupil. In a child of the server alone: it
   leaves fonts and memory behind. */
#ifndef RL_UI_PAGE_SHEET_CHILD_H
#define RL_UI_PAGE_SHEET_CHILD_H

#include "ui/page/sheet_jobs.h"

/** An RlSheetJobDraw. A plan that cannot be read, or that the chart has no bars for, is left out as
   far as it goes, as on the page. */
RlSheetJobEnd rl_sheet_child(const RlPageState *heard, const RlSheetJobWish *wish, int to);

#endif
