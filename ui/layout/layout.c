/* SPDX-License-Identifier: ISC */
#include "ui/layout/layout.h"

#include "ui/layout/comb_extent.h"
#include "ui/model/fields.h"

#include <math.h>
#include <string.h>

/* The measures of each shape, in its own units. */
static const struct {
  double w, h;
  double margin, gutter, rail, gap;
  double below;              /* kept free under the comb */
  double label, value, name; /* sizes of words */
  double hole;
  double lane; /* height of the lane, where there is one */
  int    lane_bars;
} plans[RL_SHAPES] = {
  [RL_SHAPE_FULL]  = {1280, 720, 24, 76, 56, 4, 96, 13, 17, 28, 26, 148, 3},
  [RL_SHAPE_STAGE] = {1280, 720, 16, 80, 60, 4, 16, 15, 17, 28, 34, 172, 3},
  [RL_SHAPE_SMALL] = {480, 320, 8, 32, 26, 2, 50, 11, 13, 16, 16, 74, 2},
  [RL_SHAPE_TALL]  = {360, 740, 10, 12, 36, 2, 296, 12, 14, 20, 18, 104, 2},
};

/* From this size on there is room for the full window. */
enum { FULL_W = 960, FULL_H = 540 };

static const double column = 76; /* of the full window's comb; what is left over is the chart's */

static RlShape
shape_of(const RlView *const view, const int width, const int height)
{
  const bool tall = height > width;
  const bool full = width >= FULL_W && height >= FULL_H;
  return tall                              ? RL_SHAPE_TALL
         : !full                           ? RL_SHAPE_SMALL
         : view->screen == RL_SCREEN_STAGE ? RL_SHAPE_STAGE
                                           : RL_SHAPE_FULL;
}

void
rl_layout_spot(RlLayout *const l, const RlActionKind kind, const int value, const RlRect at)
{
  if (l->spots < RL_SPOTS_MAX) {
    l->spot[l->spots++] = (RlSpot){{kind, value}, at};
  }
}

/* ---- the comb ---- */

static void
comb_place(RlLayout *const l, const RlView *const view, const double right, const double bottom)
{
  const RlHarp       harp   = rl_harp_make(rl_view_harp(view));
  const RlCombExtent extent = rl_comb_extent(&harp, rl_view_player(view));
  const double       top    = plans[l->shape].margin;
  l->gutter                 = plans[l->shape].gutter;
  l->rail_h                 = plans[l->shape].rail;
  l->gap                    = plans[l->shape].gap;
  l->above                  = extent.rows[0] + 1;
  l->below                  = extent.rows[1] + 1;
  l->comb_x                 = l->gutter;
  l->pitch_x                = (right - l->comb_x) / RL_HOLES;
  l->pitch_y                = (bottom - top - l->rail_h - 2 * l->gap) / (l->above + l->below);
  l->rail_y                 = top + l->above * l->pitch_y + l->gap;
  const double under = l->rail_y + l->rail_h + l->gap + (l->below - extent.next_rows) * l->pitch_y;
  const double side  = l->comb_x + (extent.high - 1) * l->pitch_x;
  const double pad   = l->pitch_y / 9;
  l->now             = (RlRect){l->comb_x + pad / 4, top, extent.low * l->pitch_x - pad,
                                extent.now_rows * l->pitch_y - pad};
  l->next = (RlRect){side + pad * 2, under + pad, right - side - 2.5 * pad, bottom - under - pad};
}

RlRect
rl_layout_cell(const RlLayout *const l, const int hole, const RlTechnique technique)
{
  const bool   draws = rl_technique_draws(technique);
  const double level = rl_comb_level(technique);
  const double y     = draws ? l->rail_y + l->rail_h + l->gap + level * l->pitch_y
                             : l->rail_y - l->gap - (level + 1) * l->pitch_y;
  return (RlRect){l->comb_x + (hole - 1) * l->pitch_x, y, l->pitch_x, l->pitch_y};
}

/* ---- the lane ---- */

/* How much of the height it takes, the gap above it included. */
static double
lane_height(const RlLayout *const l, const RlView *const view)
{
  const bool comb = view->screen == RL_SCREEN_PLAY || view->screen == RL_SCREEN_STAGE;
  return comb && rl_view_has_lane(view) ? plans[l->shape].lane + plans[l->shape].margin / 2 : 0;
}

/* Across the window, right above what lies under the comb. */
static void
lane_place(RlLayout *const l, const RlView *const view, const double under)
{
  const double high = lane_height(l, view);
  const double m    = plans[l->shape].margin;
  const double x    = l->shape == RL_SHAPE_TALL ? m : l->gutter;
  if (high > 0) {
    l->lane = (RlRect){x, l->h - under - plans[l->shape].lane, l->w - x - m, plans[l->shape].lane};
    if (view->screen == RL_SCREEN_PLAY) {
      rl_layout_spot(l, RL_ACTION_LANE, 0, l->lane);
    }
  }
}

/* ---- buttons and settings ---- */

void
rl_layout_buttons(RlLayout *const l, const RlRect area, const RlActionKind *const actions,
                  const int count, const double gap)
{
  const double w = (area.w - gap * (count - 1)) / count;
  for (int i = 0; i < count; ++i) {
    rl_layout_spot(l, actions[i], 0, (RlRect){area.x + i * (w + gap), area.y, w, area.h});
  }
}

/* Widths of the settings in the row under the full window, and of what follows them. */
static const struct {
  RlActionKind kind;
  int          value;
  double       width;
} strip[] = {
  {RL_ACTION_FIELD_OPEN, RL_FIELD_SONG_KEY, 76},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_HARP_KEY, 76},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_REGISTER, 92},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_TUNING, 112},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_POSITION, 76},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_START_BAR, 80},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_COUNT_BY, 76},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_CLOCK, 64},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_DRAW_BENDS, 96},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_BLOW_BENDS, 96},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_OVERBLOWS, 88},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_OSC, 56},
  {RL_ACTION_BAR_ONE, 0, 108},
  {RL_ACTION_TAP, 0, 48},
  {RL_ACTION_STOP, 0, 52},
};

enum { STRIP = sizeof(strip) / sizeof(strip[0]) };

static void
strip_place(RlLayout *const l, RlRect area)
{
  double all = 0;
  for (int i = 0; i < STRIP; ++i) {
    all += strip[i].width;
  }
  const double gap     = 4;
  const double stretch = (area.w - gap * (STRIP - 1)) / all;
  for (int i = 0; i < STRIP; ++i) {
    rl_layout_spot(l, strip[i].kind, strip[i].value,
                   rl_rect_cut_left(&area, strip[i].width * stretch));
    rl_rect_cut_left(&area, gap);
  }
}

/* The same on a page of their own. */
static void
settings_place(RlLayout *const l, const RlView *const view)
{
  const double       m       = plans[l->shape].margin;
  const int          columns = l->h > l->w ? 2 : 5;
  const RlActionKind last    = view->sheets ? RL_ACTION_SHEET : RL_ACTION_SETTINGS;
  const RlActionKind more[]  = {
     RL_ACTION_HARPS,   RL_ACTION_PHRASES, RL_ACTION_CAPTURE, RL_ACTION_CHART_TEXT, last,
     RL_ACTION_SETTINGS};
  const int    all  = STRIP + (int)(sizeof(more) / sizeof(more[0])) - !view->sheets;
  const int    rows = (all + columns - 1) / columns;
  const double gap  = m / 2;
  const double w    = (l->w - 2 * m + gap) / columns;
  const double h    = (l->h - 2 * m + gap) / rows;
  for (int i = 0; i < all; ++i) {
    RlRect at = rl_rect_grid_cell(m, m, w, h, columns, i);
    at.w -= gap;
    at.h = fmin(h - gap, 56);
    if (i < STRIP) {
      rl_layout_spot(l, strip[i].kind, strip[i].value, at);
    } else {
      rl_layout_spot(l, more[i - STRIP], 0, at);
    }
  }
}

/* The open list: over what it belongs to, clear of the edges. */
static void
list_place(RlLayout *const l, const RlView *const view)
{
  const RlField field = (RlField)view->edit.list;
  const int     count = rl_field_choices(field);
  RlRect        from  = {l->w / 2, l->h / 2, 0, 0};
  for (int i = 0; i < l->spots; ++i) {
    if (l->spot[i].action.kind == RL_ACTION_FIELD_OPEN &&
        l->spot[i].action.value == view->edit.list) {
      from = l->spot[i].at;
    }
  }
  const bool   typed = rl_field_typed(field);
  const double small = l->shape == RL_SHAPE_FULL ? 1 : 0.62;
  const double w     = (field == RL_FIELD_TUNING ? 150 : field == RL_FIELD_OSC ? 160 : 92) * small;
  const double h     = 52 * small;
  const double pad   = 12 * small;
  const int    fit   = (int)fmin(6, (l->w - 4 * pad) / w);
  const int    columns = count > fit ? fit : count;
  const int    rows    = (count + columns - 1) / columns;
  const double full_w  = columns * w + 2 * pad;
  const double head    = 30 * small + (typed ? h + pad : 0);
  const double full_h  = rows * h + head + 2 * pad;
  const double x       = fmax(pad, fmin(from.x, l->w - full_w - pad));
  const double y       = from.y > full_h + pad ? from.y - full_h - pad / 2
                                               : fmax(pad, fmin(from.y + from.h, l->h - full_h - pad));
  l->list              = (RlRect){x, y, full_w, full_h};
  l->live              = l->spots; /* nothing else can be done meanwhile but leave it */
  rl_layout_spot(l, RL_ACTION_LIST_CLOSE, 0, (RlRect){0, 0, l->w, l->h});
  l->list_typing =
    typed ? (RlRect){x + pad, y + pad + 30 * small, full_w - 2 * pad, h} : (RlRect){0, 0, 0, 0};
  for (int i = 0; i < count; ++i) {
    const RlRect at = rl_rect_grid_cell(x + pad, y + pad + head, w, h, columns, i);
    rl_layout_spot(l, RL_ACTION_FIELD_CHOOSE, i, rl_rect_inset(at, 3 * small));
  }
}

/* Over everything, at the foot. No spot: whatever is done next takes it away. */
static void
notice_place(RlLayout *const l)
{
  const double w = fmin(l->w - 2 * l->margin, l->value * 46);
  const double h = l->value * (l->w < l->value * 40 ? 7.2 : 4.8);
  l->notice      = (RlRect){(l->w - w) / 2, l->h - l->margin - h, w, h};
}

/* ---- pages ---- */

static void
editor_place(RlLayout *const l, const RlView *const view)
{
  const RlRect       bar = rl_layout_bar(l, view->edit.bar);
  const double       h   = l->shape == RL_SHAPE_FULL ? 152 : 84;
  const double       y   = fmin(fmax(bar.y - 8, l->rows.y), l->h - h - plans[l->shape].margin);
  const RlActionKind actions[] = {RL_ACTION_EDIT_KEEP, RL_ACTION_EDIT_CANCEL, RL_ACTION_BAR_INSERT,
                                  RL_ACTION_BAR_DELETE};
  RlRect             box;
  l->editor   = (RlRect){l->rows.x - 4, y, fmax(l->rows.w, 260) + 8, h};
  l->editor.x = fmin(l->editor.x, l->w - l->editor.w - 2);
  l->live     = l->spots;
  box         = rl_rect_inset(l->editor, h / 16);
  rl_layout_spot(l, RL_ACTION_CARET, 0, rl_rect_cut_top(&box, h * 0.32));
  rl_layout_buttons(l, rl_rect_cut_bottom(&box, h * 0.22), actions, 4, 6);
}

static void
play_full(RlLayout *const l, const RlView *const view)
{
  static const RlActionKind actions[] = {RL_ACTION_STAGE, RL_ACTION_CHART_TEXT, RL_ACTION_HARPS,
                                         RL_ACTION_NOTE_NAMES};
  const double              left      = l->gutter + RL_HOLES * column + 44;
  RlRect side = {left, 24, l->w - left - 24, l->h - 24 - 88 - lane_height(l, view)};
  strip_place(l, (RlRect){24, l->h - 72, l->w - 48, 56});
  rl_layout_buttons(l, rl_rect_cut_bottom(&side, 48), actions, 4, 8);
  rl_rect_cut_bottom(&side, 12);
  if (*view->problem) {
    l->problem = rl_rect_cut_bottom(&side, 64);
    rl_rect_cut_bottom(&side, 8);
  }
  l->head              = rl_rect_cut_top(&side, 72);
  RlRect       corner  = rl_rect_cut_right(&l->head, 112);
  const RlRect phrases = rl_rect_cut_top(&corner, 34);
  rl_rect_cut_top(&corner, 4);
  rl_rect_cut_right(&l->head, 12);
  rl_layout_rows_place(l, view, side, 64, 128);
  rl_layout_bars(l);
  rl_layout_spot(l, RL_ACTION_PHRASES, 0, phrases);
  rl_layout_spot(l, RL_ACTION_CAPTURE, 0, corner);
}

static void
play_small(RlLayout *const l, const RlView *const view)
{
  const RlActionKind actions[] = {RL_ACTION_SETTINGS};
  RlRect             strip_at  = {8, l->h - 44, l->w - 16, 38};
  l->row_cells                 = RL_ROW_BARS + 1;
  rl_layout_buttons(l, rl_rect_cut_right(&strip_at, 76), actions, 1, 0);
  rl_rect_cut_right(&strip_at, 6);
  if (*view->problem) {
    l->problem = strip_at;
  } else {
    rl_layout_rows_place(l, view, strip_at, 38, 38);
    rl_layout_bars(l);
  }
}

static void
play_tall(RlLayout *const l, const RlView *const view)
{
  const RlActionKind actions[] = {RL_ACTION_BAR_ONE, RL_ACTION_TAP, RL_ACTION_SETTINGS};
  RlRect             under     = {10, l->h - plans[RL_SHAPE_TALL].below + 8, l->w - 20,
                                  plans[RL_SHAPE_TALL].below - 18};
  rl_layout_buttons(l, rl_rect_cut_bottom(&under, 44), actions, 3, 6);
  rl_rect_cut_bottom(&under, 8);
  if (*view->problem) {
    l->problem = rl_rect_cut_bottom(&under, 44);
  }
  l->head = rl_rect_cut_top(&under, 34);
  rl_layout_rows_place(l, view, under, 48, 64);
  rl_layout_bars(l);
}

void
rl_layout_make(RlLayout *const l, const RlView *const view, const int width, const int height)
{
  memset(l, 0, sizeof(*l));
  l->shape           = shape_of(view, width, height);
  const double w     = plans[l->shape].w;
  const double h     = plans[l->shape].h;
  l->unit            = fmin(width / w, height / h);
  l->w               = width / l->unit;
  l->h               = height / l->unit;
  l->label           = plans[l->shape].label;
  l->value           = plans[l->shape].value;
  l->name            = plans[l->shape].name;
  l->hole            = plans[l->shape].hole;
  l->row_cells       = RL_ROW_BARS;
  l->margin          = plans[l->shape].margin;
  l->lane_high       = plans[l->shape].lane;
  l->lane_bars       = plans[l->shape].lane_bars;
  const bool   full  = l->shape == RL_SHAPE_FULL;
  const bool   stage = view->screen == RL_SCREEN_STAGE;
  const double under = stage ? plans[l->shape].margin : plans[l->shape].below;
  rl_layout_rows_cut(l, view->form);
  comb_place(l, view,
             full ? plans[0].gutter + RL_HOLES * column : l->w - plans[l->shape].margin / 1.5,
             l->h - under - lane_height(l, view));
  lane_place(l, view, under);
  switch (view->screen) {
  case RL_SCREEN_STAGE:
    rl_layout_spot(l, RL_ACTION_STAGE, 0, (RlRect){0, 0, l->w, l->h});
    break;
  case RL_SCREEN_SETTINGS:
    settings_place(l, view);
    break;
  case RL_SCREEN_HARPS:
    rl_layout_harps(l, view);
    break;
  case RL_SCREEN_PHRASES:
    rl_layout_phrases(l, view);
    break;
  case RL_SCREEN_TEXT:
    rl_layout_text(l);
    break;
  default:
    if (full) {
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
  if (view->edit.list != RL_NO_FIELD) {
    list_place(l, view);
  }
  if (view->notice && *view->notice) {
    notice_place(l);
  }
}

/* ---- finding ---- */

int
rl_layout_hit(const RlLayout *const l, const double x, const double y)
{
  for (int i = l->spots - 1; i >= l->live; --i) {
    if (rl_rect_contains(l->spot[i].at, x / l->unit, y / l->unit)) {
      return i;
    }
  }
  return -1;
}

int
rl_layout_towards(const RlLayout *const l, const int from, const int dx, const int dy)
{
  if (from < l->live || from >= l->spots) {
    return l->spots > l->live ? l->live : -1;
  }
  const RlRect a    = l->spot[from].at;
  int          best = from;
  double       near = HUGE_VAL;
  for (int i = l->live; i < l->spots; ++i) {
    const RlRect b     = l->spot[i].at;
    const double x     = b.x + b.w / 2 - a.x - a.w / 2;
    const double y     = b.y + b.h / 2 - a.y - a.h / 2;
    const double ahead = x * dx + y * dy;
    const double aside = fabs(x * dy) + fabs(y * dx);
    const double far   = ahead + 3 * aside;
    if (i != from && ahead > 1 && far < near) {
      near = far;
      best = i;
    }
  }
  return best;
}
