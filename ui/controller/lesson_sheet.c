/* SPDX-License-Identifier: ISC */
#include "ui/controller/lesson_sheet.h"

#include "ui/controller/controller_state.h"

void
rl_controller_set_sheet_maker(RlController *const c, const RlControllerSheet make, void *const data)
{
  c->sheet.make  = make;
  c->sheet.data  = data;
  c->view.sheets = make;
}

/* A notice may name a folder whose name is not UTF-8: its bad bytes are shown as `?`. */
static void
writable_make(char *const text)
{
  for (ptrdiff_t bad; (bad = rl_slice_bad_byte(rl_slice(text))) >= 0;) {
    text[bad] = '?';
  }
}

void
rl_lesson_sheet_make(RlController *const c)
{
  const RlView *const v       = &c->view;
  const bool          planned = v->form && c->plan.planned_count;
  RlText              said    = rl_text_in(c->notice, sizeof(c->notice));
  RlSheet             sheet   = {
                  .form = v->form, .key = rl_view_key(v), .harp = rl_view_harp(v), .player = rl_view_player(v)};
  if (planned) {
    sheet.plan      = &c->plan;
    sheet.lane      = &c->lane;
    sheet.workspace = &c->scratch.lane;
  }
  if (!c->sheet.make) {
    return;
  }
  if (!v->form) {
    rl_text_add(&said, "There is no chart yet to print: choose a preset, or set chart_file.");
  } else if (planned && c->lane.too_many) {
    rl_text_add(&said,
                "The lesson sheet has no room for so many notes: more than 2048 in all. Take "
                "phrases out of the plan, or make two plans.");
  } else {
    c->sheet.make(c->sheet.data, &sheet, &said);
  }
  writable_make(c->notice);
}
