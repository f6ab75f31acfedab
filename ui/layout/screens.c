/* SPDX-License-Identifier: ISC */
#include "ui/layout/screens.h"

#include "ui/layout/spots.h"
#include "ui/model/fields.h"

#include <math.h>

static RlRect
inner(const RlRect box, const double x, const double y)
{
  return (RlRect){box.x + x, box.y + y, box.w - 2 * x, box.h - 2 * y};
}

/* The first entry in sight of a list that is scrolled. */
static int
first_shown(const RlView *const view, const int count, const int shown)
{
  const int last = count > shown ? count - shown : 0;
  return view->scroll < 0 ? 0 : view->scroll > last ? last : view->scroll;
}

void
rl_screens_place_harps(RlLayout *const l, const RlView *const view)
{
  const bool   wide    = l->shape == RL_SHAPE_FULL;
  const double m       = l->margin;
  const int    columns = wide ? 3 : 6;
  const RlRect keys =
    wide ? (RlRect){24, 108, 304, 352} : (RlRect){m, 22, l->w - 2 * m, l->h * 0.26};
  const double       w      = keys.w / columns;
  const int          rows   = RL_KEYS / columns;
  const double       h      = keys.h / rows;
  const RlActionKind back[] = {RL_ACTION_HARPS};
  l->owned                  = keys;
  for (int i = 0; i < RL_KEYS; ++i) {
    const int key = (i + 7) % RL_KEYS; /* from G up: the order of pitch in the standard register */
    const RlRect at = rl_rect_grid_cell(keys.x, keys.y, w, h, columns, i);
    rl_spots_add(l, RL_ACTION_HARP_OWN, key, rl_rect_inset(at, wide ? 4 : 2));
  }
  if (wide) {
    const RlField fields[] = {RL_FIELD_DRAW_BENDS, RL_FIELD_BLOW_BENDS, RL_FIELD_OVERBLOWS,
                              RL_FIELD_SONG_KEY,   RL_FIELD_REGISTER,   RL_FIELD_TUNING};
    for (int i = 0; i < 6; ++i) {
      rl_spots_add(l, RL_ACTION_FIELD_OPEN, (int)fields[i],
                   inner(rl_rect_grid_cell(24, 501, 152, 62, 2, i), 4, 3));
    }
  }
  rl_spots_add_buttons(l,
                       wide ? (RlRect){l->w - 156, l->h - 60, 132, 46}
                            : (RlRect){l->w - m - 76, l->h - m - 30, 76, 30},
                       back, 1, 0);
  l->ranking =
    wide ? (RlRect){376, 100, l->w - 400, l->h - 168}
         : (RlRect){m, keys.y + keys.h + 30, l->w - 2 * m, l->h - keys.y - keys.h - 30 - 40};
  l->rank_pitch  = wide ? 92 : 38;
  l->ranks_shown = (int)(l->ranking.h / l->rank_pitch);
  l->first_rank  = first_shown(view, view->harps.count, l->ranks_shown);
  for (int i = 0; i < l->ranks_shown && l->first_rank + i < view->harps.count; ++i) {
    RlRect row = {l->ranking.x, l->ranking.y + i * l->rank_pitch, l->ranking.w,
                  l->rank_pitch * 0.87};
    rl_spots_add(l, RL_ACTION_HARP_USE, l->first_rank + i, row);
  }
}

/* Where there are more phrases than fit, there is a field to search for titles. */
static void
library_place(RlLayout *const l, const RlView *const view, const double pitch)
{
  const int  count = view->phrases.library ? rl_view_listed(view) : 0;
  const bool finds =
    view->phrases.library && (rl_view_phrases(view) * pitch > l->library.h ||
                              view->edit.kind == RL_EDIT_FIND || rl_view_searches(view));
  RlRect rows = l->library;
  if (finds) {
    const RlRect row = rl_rect_cut_top(&rows, pitch);
    const RlRect at  = {row.x, row.y, row.w, pitch - 2};
    rl_spots_add(l, RL_ACTION_FIND, 0, at);
    if (view->edit.kind == RL_EDIT_FIND) {
      rl_spots_add(l, RL_ACTION_CARET, 0, at);
    }
  }
  l->phrases_shown = (int)(rows.h / pitch);
  l->first_phrase  = first_shown(view, count, l->phrases_shown);
  for (int i = 0; i < l->phrases_shown && l->first_phrase + i < count; ++i) {
    const int    phrase = rl_view_listed_phrase(view, l->first_phrase + i);
    const RlRect at     = {rows.x, rows.y + i * pitch, rows.w, pitch - 2};
    rl_spots_add(l, RL_ACTION_PHRASE_SELECT, phrase, at);
    if (view->edit.kind == RL_EDIT_TITLE && phrase == view->phrases.selected) {
      rl_spots_add(l, RL_ACTION_CARET, 0, at);
    }
  }
}

/* Rows of buttons, one below the other, cut off the top of `area`; how many stand in each. */
static void
rows_place(RlLayout *const l, RlRect *const area, const RlAction *action, const int *counts,
           const double high, const double gap)
{
  for (bool first = true; *counts; ++counts, first = false) {
    rl_rect_cut_top(area, first ? 0 : gap);
    RlRect       row = rl_rect_cut_top(area, high);
    const double w   = (row.w - gap * (*counts - 1)) / *counts;
    for (int i = 0; i < *counts; ++i, ++action) {
      rl_spots_add(l, action->kind, action->value, rl_rect_cut_left(&row, w));
      rl_rect_cut_left(&row, gap);
    }
  }
}

/* The buttons that correct a take, keep it or discard it. */
static void
take_buttons_place(RlLayout *const l, RlRect *const area, const double high, const double gap,
                   const bool wide)
{
  static const RlAction actions[] = {{RL_ACTION_NOTE_SELECT, -1}, {RL_ACTION_NOTE_SELECT, 1},
                                     {RL_ACTION_NOTE_SHIFT, -1},  {RL_ACTION_NOTE_SHIFT, 1},
                                     {RL_ACTION_NOTE_REMOVE, 0},  {RL_ACTION_TAKE_KEEP, 0},
                                     {RL_ACTION_TAKE_DISCARD, 0}};
  rl_rect_cut_top(area, gap);
  rows_place(l, area, actions, wide ? (const int[]){7, 0} : (const int[]){4, 3, 0}, high, gap);
}

/* The buttons that change a phrase of the library. */
static void
edit_buttons_place(RlLayout *const l, RlRect *const area, const double high, const double gap)
{
  static const RlAction actions[] = {
    {RL_ACTION_NOTE_SELECT, -1}, {RL_ACTION_NOTE_SELECT, 1},  {RL_ACTION_NOTE_SHIFT, -1},
    {RL_ACTION_NOTE_SHIFT, 1},   {RL_ACTION_NOTE_REMOVE, 0},  {RL_ACTION_NOTE_STEP, -1},
    {RL_ACTION_NOTE_STEP, 1},    {RL_ACTION_NOTE_SCOOP, 0},   {RL_ACTION_PHRASE_OVER, 0},
    {RL_ACTION_PHRASE_HARD, 0},  {RL_ACTION_PHRASE_TITLE, 0}, {RL_ACTION_PHRASE_REMARK, 0},
    {RL_ACTION_PHRASE_FEEL, 0},  {RL_ACTION_PHRASE_COPY, 0},  {RL_ACTION_PHRASE_DELETE, 0}};
  rl_rect_cut_top(area, gap);
  rows_place(l, area, actions, (const int[]){5, 5, 5, 0}, high, gap);
}

/* Where a remark or a feel is typed. */
static void
words_place(RlLayout *const l, const RlView *const view, RlRect *const area, const double high)
{
  l->phrase_typing = (RlRect){0};
  if (view->edit.kind == RL_EDIT_REMARK || view->edit.kind == RL_EDIT_FEEL) {
    l->phrase_typing = rl_rect_cut_top(area, high);
    rl_spots_add(l, RL_ACTION_CARET, 0, l->phrase_typing);
  }
}

/* Which bar, how it is moved, and into the plan with it. */
static void
put_buttons_place(RlLayout *const l, RlRect *const area, const double button)
{
  const double       m      = l->margin;
  const RlActionKind puts[] = {RL_ACTION_PHRASE_PUT, RL_ACTION_BAR_CLEAR};
  RlRect             row    = rl_rect_cut_top(area, button);
  const double       w      = (row.w - m) / 3;
  const RlRect       before = rl_rect_cut_left(&row, w);
  rl_rect_cut_left(&row, m / 2);
  rl_spots_add(l, RL_ACTION_PHRASE_BAR, -1, before);
  rl_spots_add(l, RL_ACTION_PHRASE_BAR, 1, rl_rect_cut_left(&row, w));
  rl_rect_cut_left(&row, m / 2);
  rl_spots_add(l, RL_ACTION_PHRASE_MOVE, 0, row);
  rl_rect_cut_top(area, m / 2);
  rl_spots_add_buttons(l, rl_rect_cut_top(area, button), puts, 2, m / 2);
}

/* The ways to take the selected phrase, a row each. */
static void
ways_place(RlLayout *const l, const RlView *const view, RlRect *const area, const double button)
{
  const double high = fmin(button * 1.5, area->h / fmax(view->phrases.way_count, 1));
  for (int i = 0; i < view->phrases.way_count; ++i) {
    RlRect row = rl_rect_cut_top(area, high);
    rl_spots_add(l, RL_ACTION_WAY_TAKE, i, rl_rect_cut_top(&row, row.h - 4));
  }
}

/* What stands below the buttons of the panels. */
static void
panel_content_place(RlLayout *const l, const RlView *const view, RlRect *const area,
                    const double button, const double gap)
{
  static const RlAction list[] = {{RL_ACTION_LIST_ORDER, 0},
                                  {RL_ACTION_LIST_OVER, 0},
                                  {RL_ACTION_LIST_LENGTH, 0},
                                  {RL_ACTION_LIST_HARD, 0}};
  if (view->phrases.panel == RL_PHRASE_PANEL_EDIT) {
    edit_buttons_place(l, area, button, gap);
  } else if (view->phrases.panel == RL_PHRASE_PANEL_WAYS) {
    rl_rect_cut_top(area, gap);
    ways_place(l, view, area, button);
  } else {
    rl_rect_cut_top(area, gap);
    rows_place(l, area, list, (const int[]){2, 2, 0}, button, gap);
  }
}

/* What can be done with the selected phrase, and with the list. */
static void
panel_place(RlLayout *const l, const RlView *const view, RlRect area, const double button,
            const bool wide)
{
  static const RlAction panels[] = {{RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT},
                                    {RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_WAYS},
                                    {RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LIST}};
  const double          gap      = wide ? l->margin / 2 : l->margin / 1.5;
  const bool            take     = rl_view_is_take(view, view->phrases.selected);
  const RlPhrasePanel   panel    = view->phrases.panel;
  const bool open = panel != RL_PHRASE_PANEL_PUT && !(take && panel == RL_PHRASE_PANEL_EDIT);
  if (!open) {
    put_buttons_place(l, &area, button);
  }
  if (take && !open) {
    take_buttons_place(l, &area, button, gap, wide);
  }
  if (wide || open || !take) { /* the small window has no room for them below a take's */
    rl_rect_cut_top(&area, open ? 0 : gap);
    rows_place(l, &area, panels + take, (const int[]){3 - take, 0}, button, gap);
  }
  if (open) {
    panel_content_place(l, view, &area, button, gap);
  }
  rl_rect_cut_top(&area, l->margin);
  words_place(l, view, &area, button);
  l->about = area;
}

/* Undo and redo, left of what stands at the end of the head. */
static void
steps_place(RlLayout *const l, const bool wide)
{
  static const RlActionKind steps[] = {RL_ACTION_UNDO, RL_ACTION_REDO};
  rl_rect_cut_right(&l->head, wide ? 12 : 6);
  RlRect at = rl_rect_cut_right(&l->head, wide ? 180 : 96);
  rl_rect_cut_bottom(&at, wide ? 6 : 2);
  rl_spots_add_buttons(l, at, steps, 2, wide ? 12 : 6);
}

void
rl_screens_place_phrases(RlLayout *const l, const RlView *const view)
{
  const bool         wide   = l->shape == RL_SHAPE_FULL;
  const bool         tall   = l->h > l->w;
  const double       m      = l->margin;
  const double       button = wide ? 46 : 30;
  RlRect             area   = {m, m, l->w - 2 * m, l->h - 2 * m};
  RlRect             foot   = rl_rect_cut_bottom(&area, button);
  const RlActionKind ends[] = {RL_ACTION_SHEET, RL_ACTION_PLAN_TEXT, RL_ACTION_PHRASES};
  const bool         sheets = wide && view->sheets; /* elsewhere among the settings */
  const RlRect       back   = rl_rect_cut_right(&foot, button * (sheets ? 8.25 : 5.5));
  rl_rect_cut_right(&foot, m);
  l->problem = (RlRect){foot.x, foot.y - 4, foot.w, foot.h + 8};
  rl_rect_cut_bottom(&area, m);
  l->head                           = rl_rect_cut_top(&area, wide ? 44 : 26);
  static const RlActionKind takes[] = {RL_ACTION_KEEP_LAST, RL_ACTION_CAPTURE};
  RlRect                    capture = rl_rect_cut_right(&l->head, wide ? 272 : 136);
  rl_rect_cut_bottom(&capture, wide ? 6 : 2);
  rl_spots_add_buttons(l, capture, takes, 2, wide ? 12 : 6);
  steps_place(l, wide);
  l->library = tall ? rl_rect_cut_top(&area, area.h * 0.45) : rl_rect_cut_left(&area, area.w * 0.3);
  library_place(l, view, wide ? 38 : 23);
  rl_rect_cut_left(&area, tall ? 0 : m * 1.3);
  rl_rect_cut_top(&area, tall ? m * 1.3 : 0);
  l->preview = rl_rect_cut_top(&area, l->lane_high * (wide ? 1.3 : 1));
  rl_rect_cut_top(&area, l->value * 2.4);
  panel_place(l, view, area, button, wide);
  rl_spots_add_buttons(l, back, ends + !sheets, 2 + sheets, l->margin / 3);
}

void
rl_screens_place_text(RlLayout *const l)
{
  const double       m         = l->margin;
  const double       button    = l->shape == RL_SHAPE_FULL ? 46 : 30;
  const RlActionKind actions[] = {RL_ACTION_EDIT_KEEP, RL_ACTION_EDIT_CANCEL};
  RlRect             area      = {m, m, l->w - 2 * m, l->h - 2 * m};
  RlRect             foot      = rl_rect_cut_bottom(&area, button);
  rl_spots_add_buttons(l, rl_rect_cut_right(&foot, button * 6), actions, 2, 8);
  rl_rect_cut_right(&foot, 8);
  l->problem = foot;
  l->head    = rl_rect_cut_top(&area, button);
  rl_rect_cut_bottom(&area, m / 2);
  l->editor      = area;
  l->line_pitch  = l->shape == RL_SHAPE_FULL ? 27 : 19;
  l->lines_shown = (int)((area.h - m) / l->line_pitch);
  rl_spots_add(l, RL_ACTION_CARET, 0, area);
}
