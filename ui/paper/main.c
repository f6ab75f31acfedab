/* SPDX-License-Identifier: ISC */
/* reedlamp-sheet: a chart, a plan and a harp as the lesson sheet, on paper. */
#include "ui/paper/sheet.h"

#include <stdio.h>

RlSheetEnd
rl_sheet_complain(const RlSheetEnd end, const char *const where, const char *const why)
{
  fprintf(stderr, "reedlamp-sheet: %s%s%s\n", where ? where : "", where ? ": " : "", why);
  return end;
}

int
main(const int count, char **const arguments)
{
  static RlSheet sheet;
  RlSheetOptions wish;
  RlSheetEnd     end = rl_sheet_options(count, arguments, &wish);
  if (end == RL_SHEET_DONE && wish.said) {
    fputs(wish.said, stdout);
  } else if (end == RL_SHEET_DONE) {
    end = rl_sheet_read(&wish, &sheet);
    end = end == RL_SHEET_DONE ? rl_sheet_write(&wish, &sheet) : end;
  }
  return fflush(stdout) == 0
           ? (int)end
           : (int)rl_sheet_complain(RL_SHEET_OUTPUT, "standard output", "cannot be written");
}
