/* SPDX-License-Identifier: ISC */
/* Sheets into files, for the program reedlamp-sheet. */
#ifndef RL_UI_PAPER_OUTPUT_H
#define RL_UI_PAPER_OUTPUT_H

#include "ui/paper/options.h"

enum { RL_SHEET_DPI = 200 /**< pixels an inch of PNG */ };

/** Draws all pages of a fitted sheet, then writes them: all files whole, or none of them. Complains
    on stderr; the process ignores SIGPIPE and SIGXFSZ from then on. */
RlSheetStatus rl_sheet_output_write(const RlSheetOptions *options, const RlSheet *sheet);

#endif
