/* SPDX-License-Identifier: ISC */
#include "ui/controller/lesson_sheet.h"

#include "ui/controller/controller_state.h"

#include <string.h>

void
rl_controller_set_sheets(RlController *const c, const RlControllerSheets *const sheets)
{
  c->sheets      = sheets ? *sheets : (RlControllerSheets){0};
  c->view.sheets = sheets;
}

/* A notice may name a folder whose name is not UTF-8: its bad bytes are shown as `?`. */
static void
writable_make(char *const text)
{
  for (ptrdiff_t bad; (bad = rl_slice_bad_byte(rl_slice(text))) >= 0;) {
    text[bad] = '?';
  }
}

/* Why no sheet can be begun now; NULL: one can. */
static const char *
hindrance(const RlController *const c)
{
  const RlView *const v = &c->view;
  if (v->drawing_sheet) {
    return "A lesson sheet is being drawn already. Wait until this window says where it is.";
  }
  if (!v->form) {
    return "There is no chart yet to print: choose a preset, or set chart_file.";
  }
  return c->plan.planned_count && c->lane.too_many
           ? "The lesson sheet has no room for so many notes: more than 2048 in all. Take phrases "
             "out of the plan, or make two plans."
           : NULL;
}

void
rl_lesson_sheet_make(RlController *const c)
{
  RlView *const v = &c->view;
  if (!c->sheets.begin) {
    return;
  }
  RlText            said = rl_text_in(c->notice, sizeof(c->notice));
  const char *const why  = hindrance(c);
  if (why) {
    rl_text_add(&said, why);
    return;
  }
  RlSheet sheet = {.form   = v->form,
                   .key    = rl_view_key(v),
                   .harp   = rl_view_harp(v),
                   .player = rl_view_player(v),
                   .show   = rl_view_show(v)};
  if (c->plan.planned_count) {
    sheet.plan      = &c->plan;
    sheet.lane      = &c->lane;
    sheet.workspace = &c->scratch.lane;
  }
  v->drawing_sheet = c->sheets.begin(c->sheets.data, &sheet, &said);
  writable_make(c->notice);
}

void
rl_lesson_sheet_advance(RlController *const c)
{
  char   words[sizeof(c->notice)];
  RlText said = rl_text_in(words, sizeof(words));
  if (c->view.drawing_sheet && c->sheets.ready(c->sheets.data, &said)) {
    writable_make(words);
    memcpy(c->notice, words, sizeof(words));
    c->view.drawing_sheet = false;
    c->redraw.all         = true;
  }
}
