/* SPDX-License-Identifier: ISC */
#include "ui/layout/play.h"

#include "ui/layout/comb.h"
#include "ui/layout/measures.h"
#include "ui/layout/rows.h"
#include "ui/layout/settings.h"
#include "ui/layout/spots.h"

#include <math.h>

static void
editor_place(RlLayout *const l, const RlView *const view)
{
  const RlRect       bar = rl_layout_bar(l, view->edit.bar);
  const double       h   = l->shape == RL_SHAPE_FULL ? 152 : 84;
  const double       y = fmin(fmax(bar.y - 8, l->rows.y), l->h - h - rl_measures(l->shape)->margin);
  const RlActionKind actions[] = {RL_ACTION_EDIT_KEEP, RL_ACTION_EDIT_CANCEL, RL_ACTION_BAR_INSERT,
                                  RL_ACTION_BAR_DELETE};
  RlRect             box;
  l->editor   = (RlRect){l->rows.x - 4, y, fmax(l->rows.w, 260) + 8, h};
  l->editor.x = fmin(l->editor.x, l->w - l->editor.w - 2);
  l->live     = l->spots;
  box         = rl_rect_inset(l->editor, h / 16);
  rl_spots_add(l, RL_ACTION_CARET, 0, rl_rect_cut_top(&box, h * 0.32));
  rl_spots_add_buttons(l, rl_rect_cut_bottom(&box, h * 0.22), actions, 4, 6);
}

/* What writes down: the chosen bars in place of what is played, while there are any. */
static RlActionKind
writer_of(const RlView *const view, const RlActionKind otherwise)
{
  int first, last;
  return rl_view_chosen(view, &first, &last) ? RL_ACTION_BARS_LIFT : otherwise;
}

/* The line after a chorus; a click opens the picture of all. */
static void
chorus_place(RlLayout *const l, const RlView *const view, RlRect *const area, const double high)
{
  if (view->practice && view->practice->count) {
    l->chorus = rl_rect_cut_bottom(area, high);
    rl_rect_cut_bottom(area, 8);
    rl_spots_add(l, RL_ACTION_CHORUS, 0, l->chorus);
  }
}

static void
play_full(RlLayout *const l, const RlView *const view)
{
  static const RlActionKind upper[] = {RL_ACTION_STAGE, RL_ACTION_CHART_TEXT, RL_ACTION_HARPS,
                                       RL_ACTION_PRACTICE};
  static const RlActionKind lower[] = {RL_ACTION_NOTE_NAMES, RL_ACTION_TRAINER, RL_ACTION_UNDO,
                                       RL_ACTION_REDO};
  const double              left    = l->gutter + RL_HOLES * RL_COLUMN + 44;
  RlRect side = {left, 24, l->w - left - 24, l->h - 24 - 88 - rl_lane_height(l, view)};
  rl_settings_place_row(l, view, (RlRect){24, l->h - 72, l->w - 48, 56});
  const RlRect under = rl_rect_cut_bottom(&side, 32);
  rl_rect_cut_bottom(&side, 6);
  rl_spots_add_buttons(l, rl_rect_cut_bottom(&side, 32), upper, 4, 8);
  rl_spots_add_buttons(l, under, lower, 4, 8);
  rl_rect_cut_bottom(&side, 12);
  if (*view->problem) {
    l->problem = rl_rect_cut_bottom(&side, 64);
    rl_rect_cut_bottom(&side, 8);
  } else if (rl_view_by_ear(view)) {
    l->hearing = rl_rect_cut_bottom(&side, 64);
    rl_rect_cut_bottom(&side, 8);
  }
  chorus_place(l, view, &side, 44);
  l->head              = rl_rect_cut_top(&side, 72);
  RlRect       corner  = rl_rect_cut_right(&l->head, 112);
  const RlRect phrases = rl_rect_cut_top(&corner, 22);
  const RlRect keep    = rl_rect_cut_bottom(&corner, 22);
  rl_rect_cut_right(&l->head, 12);
  rl_spots_add(l, RL_ACTION_CHARTS, 0, l->head);
  rl_rows_place(l, view, side, 64, 128);
  rl_spots_add(l, RL_ACTION_PHRASES, 0, phrases);
  rl_rect_cut_top(&corner, 3);
  rl_rect_cut_bottom(&corner, 3);
  rl_spots_add(l, writer_of(view, RL_ACTION_CAPTURE), 0, corner);
  rl_spots_add(l, RL_ACTION_KEEP_LAST, 0, keep);
}

static void
play_small(RlLayout *const l, const RlView *const view)
{
  const RlActionKind actions[] = {writer_of(view, RL_ACTION_SETTINGS)};
  RlRect             strip_at  = {8, l->h - 44, l->w - 16, 38};
  l->row_cells                 = RL_ROW_BARS + 1;
  rl_spots_add_buttons(l, rl_rect_cut_right(&strip_at, 76), actions, 1, 0);
  rl_rect_cut_right(&strip_at, 6);
  if (*view->problem) {
    l->problem = strip_at;
  } else {
    rl_rows_place(l, view, strip_at, 38, 38);
  }
}

static void
play_tall(RlLayout *const l, const RlView *const view)
{
  const RlActionKind actions[] = {writer_of(view, RL_ACTION_BAR_ONE), RL_ACTION_TAP,
                                  RL_ACTION_SETTINGS};
  RlRect             under     = {10, l->h - rl_measures(RL_SHAPE_TALL)->below + 8, l->w - 20,
                                  rl_measures(RL_SHAPE_TALL)->below - 18};
  rl_spots_add_buttons(l, rl_rect_cut_bottom(&under, 44), actions, 3, 6);
  rl_rect_cut_bottom(&under, 8);
  if (*view->problem) {
    l->problem = rl_rect_cut_bottom(&under, 44);
  } else if (rl_view_by_ear(view)) {
    l->hearing = rl_rect_cut_bottom(&under, 44);
  }
  chorus_place(l, view, &under, 38);
  l->head = rl_rect_cut_top(&under, 34);
  rl_spots_add(l, RL_ACTION_CHARTS, 0, l->head);
  rl_rows_place(l, view, under, 48, 64);
}

void
rl_play_place(RlLayout *const l, const RlView *const view)
{
  if (l->shape == RL_SHAPE_FULL) {
    play_full(l, view);
  } else if (l->shape == RL_SHAPE_SMALL) {
    play_small(l, view);
  } else {
    play_tall(l, view);
  }
  if (view->edit.kind == RL_EDIT_BAR) {
    editor_place(l, view);
  }
}
