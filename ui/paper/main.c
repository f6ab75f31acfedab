/* SPDX-License-Identifier: ISC */
/* reedlamp-sheet: a chart, a plan and a harp as the lesson sheet, on paper. */
#include "ui/paper/program.h"

#include <stdio.h>

RlSheetStatus
rl_sheet_complain(const RlSheetStatus end, const char *const where, const char *const why)
{
  fprintf(stderr, "reedlamp-sheet: %s%s%s\n", where ? where : "", where ? ": " : "", why);
  return end;
}

int
main(const int count, char **const arguments)
{
  static RlSheetInput sheet;
  RlSheetOptions      wish;
  RlSheetStatus       end = rl_sheet_options(count, arguments, &wish);
  if (end == RL_SHEET_OK && wish.said) {
    fputs(wish.said, stdout);
  } else if (end == RL_SHEET_OK) {
    end = rl_sheet_read(&wish, &sheet);
    end = end == RL_SHEET_OK ? rl_sheet_write(&wish, &sheet) : end;
  }
  return fflush(stdout) == 0
           ? (int)end
           : (int)rl_sheet_complain(RL_SHEET_NOT_WRITTEN, "standard output", "cannot be written");
}
