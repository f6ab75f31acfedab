/* SPDX-License-Identifier: ISC */
/* Chart and plan from files or standard input, and the harp, for the program reedlamp-sheet. */
#ifndef RL_UI_PAPER_INPUT_H
#define RL_UI_PAPER_INPUT_H

#include "ui/paper/options.h"

/** All that a sheet is made of. About 270 KiB: keep it off the stack. */
typedef struct {
  RlForm          form;
  RlPlan          plan;
  RlLane          lane;
  RlTargetLine    line;
  RlLaneWorkspace workspace;
  RlSheet         sheet; /**< fitted; points to the others */
} RlSheetInput;

/** Reads what the options name, and chooses a harp if none was asked for; complains on stderr. */
RlSheetStatus rl_sheet_input_read(const RlSheetOptions *options, RlSheetInput *input);

#endif
