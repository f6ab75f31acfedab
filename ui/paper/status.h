/* SPDX-License-Identifier: ISC */
/* How the program reedlamp-sheet ends, and what it says if that is not well. */
#ifndef RL_UI_PAPER_STATUS_H
#define RL_UI_PAPER_STATUS_H

/** Its exit status. */
typedef enum {
  RL_SHEET_OK,
  RL_SHEET_BAD_INPUT,   /**< a chart or plan that is wrong or cannot be read */
  RL_SHEET_BAD_OPTIONS, /**< a command line that is not understood */
  RL_SHEET_NOT_WRITTEN  /**< a file that cannot be written */
} RlSheetStatus;

/** Prints `reedlamp-sheet: where: why` to stderr; `where` may be NULL. Returns `status`. */
RlSheetStatus rl_sheet_complain(RlSheetStatus status, const char *where, const char *why);

#endif
