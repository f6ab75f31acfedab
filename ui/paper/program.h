/* SPDX-License-Identifier: ISC */
/* reedlamp-sheet's own parts: what was asked for, what was read, what is written. One thread; for
   the program alone. */
#ifndef RL_UI_PAPER_PROGRAM_H
#define RL_UI_PAPER_PROGRAM_H

#include "ui/paper/sheet.h"

/** How the program ends. */
typedef enum {
  RL_SHEET_OK,
  RL_SHEET_BAD_INPUT,   /**< a chart or plan that is wrong or cannot be read */
  RL_SHEET_BAD_OPTIONS, /**< options that are not understood */
  RL_SHEET_NOT_WRITTEN  /**< a file that cannot be written */
} RlSheetStatus;

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
  RlLaneWorkspace workspace;
  RlSheet         sheet; /**< points to the others */
} RlSheetInput;

/** Prints `reedlamp-sheet: where: why` to stderr; `where` may be NULL. Returns `end`. */
RlSheetStatus rl_sheet_complain(RlSheetStatus end, const char *where, const char *why);

/** Reads the command line. */
RlSheetStatus rl_sheet_options(int count, char *const *arguments, RlSheetOptions *wish);

/** Reads chart and plan, chooses a harp if none was asked for. */
RlSheetStatus rl_sheet_read(const RlSheetOptions *wish, RlSheetInput *input);

/** Draws all pages, then writes them; each file is there whole or not at all. */
RlSheetStatus rl_sheet_write(const RlSheetOptions *wish, const RlSheetInput *input);

#endif
