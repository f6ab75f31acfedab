/* SPDX-License-Identifier: ISC */
/* reedlamp-sheet: a chart, a plan and a harp as the lesson sheet, on paper. */
#include "ui/paper/input.h"
#include "ui/paper/output.h"

#include <stdio.h>

int
main(const int count, char **const arguments)
{
  static RlSheetInput input;
  RlSheetOptions      options;
  RlSheetStatus       status = rl_sheet_options_read(count, arguments, &options);
  if (status == RL_SHEET_OK && options.message) {
    fputs(options.message, stdout);
  } else if (status == RL_SHEET_OK) {
    status = rl_sheet_input_read(&options, &input);
    status = status == RL_SHEET_OK ? rl_sheet_output_write(&options, &input.sheet) : status;
  }
  return fflush(stdout) == 0
           ? (int)status
           : (int)rl_sheet_complain(RL_SHEET_NOT_WRITTEN, "standard output", "cannot be written");
}
