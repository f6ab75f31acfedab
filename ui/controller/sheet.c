/* SPDX-License-Identifier: ISC */
/* The lesson sheet of what is in force, at the press of a button. */
#include "ui/controller/controller_state.h"

void
rl_controller_sheets_by(RlController *const b, const RlControllerSheet make, void *const data)
{
  b->sheet_make  = make;
  b->sheet_data  = data;
  b->view.sheets = make;
}

/* Folders may be called anything; only what can be written is shown. */
static void
writable_make(char *const text)
{
  for (ptrdiff_t bad; (bad = rl_slice_bad_byte(rl_slice(text))) >= 0;) {
    text[bad] = '?';
  }
}

void
rl_controller_lesson(RlController *const b)
{
  const RlView *const v       = &b->view;
  const bool          planned = v->form && b->plan.planned_count;
  RlText              said    = rl_text_in(b->notice, sizeof(b->notice));
  RlSheet             sheet   = {
                  .form = v->form, .key = rl_view_key(v), .harp = rl_view_harp(v), .player = rl_view_player(v)};
  if (planned) {
    sheet.plan      = &b->plan;
    sheet.lane      = &b->lane;
    sheet.workspace = &b->lane_room;
  }
  if (!b->sheet_make) {
    return;
  }
  if (!v->form) {
    rl_text_add(&said,
                "There is no chart yet to put on paper: choose a preset, or set chart_file.");
  } else if (planned && b->lane.too_many) {
    rl_text_add(&said,
                "The lesson sheet has no room for so many notes: more than 2048 in all. Take "
                "phrases out of the plan, or make two plans.");
  } else {
    b->sheet_make(b->sheet_data, &sheet, &said);
  }
  writable_make(b->notice);
}
