/* SPDX-License-Identifier: ISC */
/* reedlamp-sheet's own parts: what was asked for, what was read, what is written. One thread; for
   the program alone. */
#ifndef RL_UI_PAPER_SHEET_H
#define RL_UI_PAPER_SHEET_H

#include "ui/paper/paper.h"

/** How the program ends. */
typedef enum {
  RL_SHEET_DONE,
  RL_SHEET_INPUT, /**< a chart or plan that is wrong or cannot be read */
  RL_SHEET_USAGE, /**< options that are not understood */
  RL_SHEET_OUTPUT /**< a file that cannot be written */
} RlSheetEnd;

typedef enum { RL_SHEET_PDF, RL_SHEET_SVG, RL_SHEET_PNG, RL_SHEET_FORMATS } RlSheetFormat;

enum { RL_SHEET_DPI = 200 /**< of PNG */ };

/** What was asked for. */
typedef struct {
  const char   *chart, *plan, *output; /**< plan NULL: none. `-`: stdin, stdout */
  bool          has_harp, has_key;
  RlHarpChoice  harp; /**< its key only if has_harp */
  RlPlayer      player;
  RlKey         key; /**< of the song, as it was written */
  RlPaperSize   size;
  RlSheetFormat format;
  const char   *said; /**< not NULL: to be printed, and nothing else done */
} RlSheetOptions;

/** All that a sheet is made of. About 260 KiB: keep it off the stack. */
typedef struct {
  RlForm          form;
  RlPlan          plan;
  RlLane          lane;
  RlLaneWorkspace room;
  RlPaper         paper; /**< points to the others */
} RlSheet;

/** Prints `reedlamp-sheet: where: why` to stderr; `where` may be NULL. Returns `end`. */
RlSheetEnd rl_sheet_complain(RlSheetEnd end, const char *where, const char *why);

/** Reads the command line. */
RlSheetEnd rl_sheet_options(int count, char *const *arguments, RlSheetOptions *wish);

/** Reads chart and plan, chooses a harp if none was asked for. */
RlSheetEnd rl_sheet_read(const RlSheetOptions *wish, RlSheet *sheet);

/** Draws all pages, then writes them; each file is there whole or not at all. */
RlSheetEnd rl_sheet_write(const RlSheetOptions *wish, const RlSheet *sheet);

#endif
