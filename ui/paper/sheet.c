/* SPDX-License-Identifier: ISC */
#include "ui/paper/sheet.h"

#include <assert.h>

static const struct {
  const char *name;
  double      w, h;
} sizes[RL_PAPERS] = {[RL_PAPER_A4]     = {"a4", 210 / 25.4 * 72, 297 / 25.4 * 72},
                      [RL_PAPER_LETTER] = {"letter", 8.5 * 72, 11 * 72}};

const char *
rl_paper_name(const RlPaperSize size)
{
  assert(size < RL_PAPERS);
  return sizes[size].name;
}

RlRect
rl_paper_rect(const RlPaperSize size)
{
  assert(size < RL_PAPERS);
  return (RlRect){0, 0, sizes[size].w, sizes[size].h};
}

void
rl_sheet_aim(RlSheet *const sheet, RlTargetLineWorkspace *const scratch, RlTargetLine *const line)
{
  if (sheet->show == RL_SHOW_TARGETS) {
    const RlHarp harp = rl_harp_make(sheet->harp);
    rl_target_line_find(sheet->form, sheet->key, &harp, sheet->player, scratch, line);
    sheet->line = line;
  }
}
