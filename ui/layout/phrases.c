/* SPDX-License-Identifier: ISC */
#include "ui/layout/phrases.h"

#include "ui/layout/lane.h"
#include "ui/layout/spots.h"

#include <math.h>

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
  l->first_phrase  = rl_spots_first_shown(view, count, l->phrases_shown);
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

/* What each panel has, in rows. */
enum { PANEL_BUTTONS = 16, PANEL_ROWS = 4 };

static const struct {
  RlAction action[PANEL_BUTTONS];
  int      row[PANEL_ROWS]; /* how many stand in each */
} panels[RL_PHRASE_PANELS] = {
  [RL_PHRASE_PANEL_EDIT]  = {{{RL_ACTION_NOTE_SELECT, -1},
                              {RL_ACTION_NOTE_SELECT, 1},
                              {RL_ACTION_NOTE_UNSURE, 0},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_ACCEPT},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_EARLIER},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_LATER},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_LOWER},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_HIGHER},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_SCOOP},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_FALL},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_SHORTER},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_LONGER},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_SPLIT},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_JOIN},
                              {RL_ACTION_NOTE_EDIT, RL_NOTE_INSERT}},
                             {5, 6, 5}},
  [RL_PHRASE_PANEL_ABOUT] = {{{RL_ACTION_PHRASE_TITLE, 0},
                              {RL_ACTION_PHRASE_REMARK, 0},
                              {RL_ACTION_PHRASE_FEEL, 0},
                              {RL_ACTION_PHRASE_COPY, 0},
                              {RL_ACTION_PHRASE_OVER, 0},
                              {RL_ACTION_PHRASE_HARD, 0},
                              {RL_ACTION_PHRASE_DELETE, 0}},
                             {4, 3}},
  [RL_PHRASE_PANEL_LIST]  = {{{RL_ACTION_LIST_ORDER, 0},
                              {RL_ACTION_LIST_OVER, 0},
                              {RL_ACTION_LIST_LENGTH, 0},
                              {RL_ACTION_LIST_HARD, 0}},
                             {2, 2}},
};

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
    RlRect       row  = rl_rect_cut_top(area, high);
    RlRect       way  = rl_rect_cut_top(&row, row.h - 4);
    const RlRect hear = rl_rect_cut_right(&way, button * 1.9);
    rl_rect_cut_right(&way, 4);
    rl_spots_add(l, RL_ACTION_WAY_TAKE, i, way);
    rl_spots_add(l, RL_ACTION_HEAR_WAY, i, hear);
  }
}

/* What plays the selected phrase; of a take from the track also what it was lifted from. */
static void
listen_place(RlLayout *const l, const RlView *const view, RlRect *const area, const double button,
             const double gap)
{
  static const RlAction lifted[] = {{RL_ACTION_HEAR, 0},
                                    {RL_ACTION_HEAR_RECORD, 0},
                                    {RL_ACTION_HEAR_BOTH, 0},
                                    {RL_ACTION_HEAR_SPEED, 0},
                                    {RL_ACTION_HEAR_STOP, 0}};
  static const RlAction other[]  = {
     {RL_ACTION_HEAR, 0}, {RL_ACTION_HEAR_SPEED, 0}, {RL_ACTION_HEAR_STOP, 0}};
  const bool record = rl_view_lifted(view);
  rows_place(l, area, record ? lifted : other,
             record ? (const int[]){3, 2, 0} : (const int[]){3, 0}, button, gap);
}

/* Which panel is open; a take has no title and no tags before it is kept. */
static RlPhrasePanel
panel_open(const RlView *const view)
{
  const RlPhrasePanel panel = view->phrases.panel;
  return panel == RL_PHRASE_PANEL_ABOUT && rl_view_is_take(view, view->phrases.selected)
           ? RL_PHRASE_PANEL_PUT
           : panel;
}

/* The buttons that open the panels. */
static void
panel_names_place(RlLayout *const l, const RlView *const view, RlRect *const area,
                  const double button, const double gap)
{
  RlAction  action[RL_PHRASE_PANELS];
  const int take  = rl_view_is_take(view, view->phrases.selected);
  int       count = 0;
  for (int p = RL_PHRASE_PANEL_EDIT; p < RL_PHRASE_PANELS; ++p) {
    if (!take || p != RL_PHRASE_PANEL_ABOUT) {
      action[count++] = (RlAction){RL_ACTION_PHRASE_PANEL, p};
    }
  }
  rows_place(l, area, action, (const int[]){count, 0}, button, gap);
}

/* What can be done with the selected phrase, and with the list. */
static void
panel_place(RlLayout *const l, const RlView *const view, RlRect area, const double button,
            const bool wide)
{
  static const RlAction takes[] = {{RL_ACTION_TAKE_KEEP, 0}, {RL_ACTION_TAKE_DISCARD, 0}};
  const double          gap     = wide ? l->margin / 2 : l->margin / 1.5;
  const RlPhrasePanel   panel   = panel_open(view);
  if (panel == RL_PHRASE_PANEL_PUT) {
    put_buttons_place(l, &area, button);
    rl_rect_cut_top(&area, gap);
    if (rl_view_is_take(view, view->phrases.selected)) {
      rows_place(l, &area, takes, (const int[]){2, 0}, button, gap);
      rl_rect_cut_top(&area, gap);
    }
  }
  panel_names_place(l, view, &area, button, gap);
  if (panel == RL_PHRASE_PANEL_WAYS) {
    rl_rect_cut_top(&area, gap);
    ways_place(l, view, &area, button);
  } else if (panel == RL_PHRASE_PANEL_LISTEN) {
    rl_rect_cut_top(&area, gap);
    listen_place(l, view, &area, button, gap);
  } else if (panel != RL_PHRASE_PANEL_PUT) {
    rl_rect_cut_top(&area, gap);
    rows_place(l, &area, panels[panel].action, panels[panel].row, button, gap);
  }
  rl_rect_cut_top(&area, l->margin);
  words_place(l, view, &area, button);
  l->about = area;
}

/* A spot on every note in sight, while they are corrected. */
static void
notes_place(RlLayout *const l, const RlView *const view)
{
  RlLaneBar bars[RL_LANE_BARS_MAX];
  double    now = 0;
  if (!rl_view_corrects(view) || !view->form) {
    return;
  }
  const RlView shown = rl_lane_preview(view);
  const int    count = rl_lane_in_sight(&shown, l->lane_bars, bars, &now);
  for (int b = 0; b < count; ++b) {
    const RlRect at = rl_lane_bar_at(l, l->preview, b);
    for (int i = 0; i < view->phrases.onsets; ++i) {
      const double from = rl_lane_onset(view, i);
      const double end  = fmin(from + view->phrases.onset[i].lasts, bars[b].to);
      const double x    = rl_lane_x(at, &bars[b], from);
      if (from >= bars[b].from && from < bars[b].to) {
        rl_spots_add(
          l, RL_ACTION_NOTE_PICK, i,
          (RlRect){x, at.y + at.h * 0.24, rl_lane_x(at, &bars[b], end) - x, at.h * 0.58});
      }
    }
  }
}

/* The tab of the selected phrase; under it what it was lifted from, where that is known: in a small
   window in place of the words. */
static void
preview_place(RlLayout *const l, const RlView *const view, RlRect *const area, const bool wide)
{
  const bool   picture = view->phrases.picture && rl_view_corrects(view);
  const double words   = l->value * 2.4;
  l->preview           = rl_rect_cut_top(area, l->lane_high * (wide && !picture ? 1.3 : 1));
  if (picture) {
    rl_rect_cut_top(area, wide ? 4 : 2);
    l->strip = rl_rect_cut_top(area, wide ? 68 : words - 6);
    rl_rect_cut_top(area, wide ? 0 : 4);
  }
  l->changes = rl_rect_cut_top(area, picture && !wide ? 0 : words);
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
rl_phrases_place(RlLayout *const l, const RlView *const view)
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
  preview_place(l, view, &area, wide);
  panel_place(l, view, area, button, wide);
  rl_spots_add_buttons(l, back, ends + !sheets, 2 + sheets, l->margin / 3);
  notes_place(l, view);
}
