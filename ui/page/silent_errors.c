/* SPDX-License-Identifier: ISC */
/* Replaces core's abc_error.c and chart_error.c on phones, where no error of a chart or a phrase is
   shown: since nothing uses the texts of the errors, the linker leaves them out. */
#include "core/abc/reader.h"
#include "core/chart/reader.h"

bool
rl_chart_reader_fail_with(RlChartReader *const r, const char *const before, const RlSlice quoted,
                          const char *const after)
{
  (void)before;
  (void)quoted;
  (void)after;
  *r->error = (RlChartError){.line = r->line, .bar = r->bar};
  return false;
}

bool
rl_chart_reader_fail(RlChartReader *const r, const char *const reason)
{
  return rl_chart_reader_fail_with(r, reason, (RlSlice){NULL, 0}, "");
}

bool
rl_abc_fail_with(RlAbcReader *const r, const RlAbcMark mark, const char *const before,
                 const RlSlice quoted, const char *const after)
{
  (void)before;
  (void)quoted;
  (void)after;
  *r->error = (RlAbcError){.line = mark.line, .column = mark.column};
  return false;
}

bool
rl_abc_fail(RlAbcReader *const r, const RlAbcMark mark, const char *const reason)
{
  return rl_abc_fail_with(r, mark, reason, (RlSlice){NULL, 0}, "");
}
