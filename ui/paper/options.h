/* SPDX-License-Identifier: ISC */
/* The command line of the program reedlamp-sheet. */
#ifndef RL_UI_PAPER_OPTIONS_H
#define RL_UI_PAPER_OPTIONS_H

#include "ui/paper/sheet.h"
#include "ui/paper/status.h"

typedef enum { RL_SHEET_PDF, RL_SHEET_SVG, RL_SHEET_PNG, RL_SHEET_FORMATS } RlSheetFormat;

/** What was asked for. Texts are the arguments' own. */
typedef struct {
  const char   *chart, *plan, *output; /**< plan NULL: none. `-`: standard input or output */
  bool          has_harp, has_key;
  RlHarpChoice  harp; /**< its key only if has_harp */
  RlPlayer      player;
  RlShow        show;
  RlKey         key; /**< of the song, as it was written; only if has_key */
  RlPaperSize   size;
  RlSheetFormat format;
  const char   *message; /**< not NULL: to be printed, and nothing else done */
} RlSheetOptions;

/** Reads the command line; complains on stderr. */
RlSheetStatus rl_sheet_options_read(int count, char *const *arguments, RlSheetOptions *options);

#endif
