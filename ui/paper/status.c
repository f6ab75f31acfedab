/* SPDX-License-Identifier: ISC */
#include "ui/paper/status.h"

#include <stdio.h>

RlSheetStatus
rl_sheet_complain(const RlSheetStatus status, const char *const where, const char *const why)
{
  fprintf(stderr, "reedlamp-sheet: %s%s%s\n", where ? where : "", where ? ": " : "", why);
  return status;
}
