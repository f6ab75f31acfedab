/* SPDX-License-Identifier: ISC */
/* The window's lesson sheets, drawn and written in a thread of their own: a large one takes a third
   of a second, and the window goes on drawing meanwhile. One sheet at a time. All functions here
   belong to the window's thread, and none of them waits for a sheet but rl_sheet_thread_close(). */
#ifndef RL_UI_PAPER_SHEET_THREAD_H
#define RL_UI_PAPER_SHEET_THREAD_H

#include "ui/paper/sheet.h"

typedef struct RlSheetThread RlSheetThread;

/** No thread runs until there is a sheet to draw. NULL without memory. */
RlSheetThread *rl_sheet_thread_open(void);

/** Waits for the sheet that is being drawn, if there is one: its file is whole. */
void rl_sheet_thread_close(RlSheetThread *thread);

/** Begins to draw a copy of `sheet`, whose content is filled in but not its size, and to keep it as
    rl_documents_keep() does: environment and folder are those of now. False: it cannot, and `said`
    gets why and the way out. Not while another sheet is drawn. `thread` is an RlSheetThread. */
bool rl_sheet_thread_begin(void *thread, const RlSheet *sheet, RlText *said);

/** Is the sheet that was begun finished? True once for each, and `said` gets where it lies, or what
    is wrong and the way out. */
bool rl_sheet_thread_ready(void *thread, RlText *said);

#endif
