/* SPDX-License-Identifier: ISC */
#include "ui/layout/settings.h"

#include "ui/layout/measures.h"
#include "ui/layout/spots.h"
#include "ui/model/fields.h"

#include <math.h>

/* The row below the full window: the settings and the buttons after them, with their widths. */
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
  {RL_ACTION_FIELD_OPEN, RL_FIELD_SHOW, 84},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_HARP_FROM, 72},
  {RL_ACTION_FIELD_OPEN, RL_FIELD_OSC, 56},
  {RL_ACTION_BAR_ONE, 0, 108},
  {RL_ACTION_TAP, 0, 48},
  {RL_ACTION_STOP, 0, 52},
};

enum { STRIP = sizeof(strip) / sizeof(strip[0]) };

/* By ear the host's bars mean nothing: two buttons stand in the place of what counts them. */
static RlAction
strip_action(const RlView *const view, const int i)
{
  const RlAction a     = {strip[i].kind, strip[i].value};
  const bool     field = a.kind == RL_ACTION_FIELD_OPEN && rl_view_by_ear(view);
  return field && a.value == RL_FIELD_START_BAR  ? (RlAction){RL_ACTION_HALF_TIME, 0}
         : field && a.value == RL_FIELD_COUNT_BY ? (RlAction){RL_ACTION_DOUBLE_TIME, 0}
                                                 : a;
}

static void
strip_add(RlLayout *const l, const RlView *const view, const int i, const RlRect at)
{
  const RlAction action = strip_action(view, i);
  rl_spots_add(l, action.kind, action.value, at);
}

_Static_assert((int)STRIP >= (int)RL_FIELD_SHOW_GROWS, "every setting before that is in the row");

void
rl_settings_place_row(RlLayout *const l, const RlView *const view, RlRect area)
{
  double all = 0;
  for (int i = 0; i < STRIP; ++i) {
    all += strip[i].width;
  }
  const double gap     = 4;
  const double stretch = (area.w - gap * (STRIP - 1)) / all;
  for (int i = 0; i < STRIP; ++i) {
    strip_add(l, view, i, rl_rect_cut_left(&area, strip[i].width * stretch));
    rl_rect_cut_left(&area, gap);
  }
}

void
rl_settings_place_screen(RlLayout *const l, const RlView *const view)
{
  const double       m       = rl_measures(l->shape)->margin;
  const int          columns = l->h > l->w ? 2 : 5;
  const RlActionKind last    = view->sheets ? RL_ACTION_SHEET : RL_ACTION_SETTINGS;
  const RlActionKind more[]  = {RL_ACTION_HARPS,
                                RL_ACTION_PHRASES,
                                RL_ACTION_CAPTURE,
                                RL_ACTION_KEEP_LAST,
                                RL_ACTION_CHART_TEXT,
                                RL_ACTION_CHARTS,
                                RL_ACTION_TRAINER,
                                RL_ACTION_PRACTICE,
                                RL_ACTION_UNDO,
                                RL_ACTION_REDO,
                                last,
                                RL_ACTION_SETTINGS};
  const int          all     = STRIP + (int)(sizeof(more) / sizeof(more[0])) - !view->sheets;
  const int          rows    = (all + columns - 1) / columns;
  const double       gap     = m / 2;
  const double       w       = (l->w - 2 * m + gap) / columns;
  const double       h       = (l->h - 2 * m + gap) / rows;
  for (int i = 0; i < all; ++i) {
    RlRect at = rl_rect_grid_cell(m, m, w, h, columns, i);
    at.w -= gap;
    at.h = fmin(h - gap, 56);
    if (i < STRIP) {
      strip_add(l, view, i, at);
    } else {
      rl_spots_add(l, more[i - STRIP], 0, at);
    }
  }
}

/* Where the setting itself stands; the middle of the window where it is not in sight. */
static RlRect
spot_of(const RlLayout *const l, const RlField field)
{
  RlRect at = {l->w / 2, l->h / 2, 0, 0};
  for (int i = 0; i < l->spots; ++i) {
    const RlAction action = l->spot[i].action;
    if (action.kind == RL_ACTION_FIELD_OPEN && action.value == (int)field) {
      at = l->spot[i].at;
    }
  }
  return at;
}

void
rl_settings_place_list(RlLayout *const l, const RlView *const view)
{
  const RlField field = (RlField)view->edit.list;
  const int     count = rl_field_entries(view, field);
  const RlRect  from  = spot_of(l, field);
  const bool    typed = rl_field_typed(field);
  const double  small = l->shape == RL_SHAPE_FULL ? 1 : 0.62;
  const double  w     = (field == RL_FIELD_TUNING ? 150 : field == RL_FIELD_OSC ? 160 : 92) * small;
  const double  h     = 52 * small;
  const double  pad   = 12 * small;
  const int     fit   = (int)fmin(6, (l->w - 4 * pad) / w);
  const int     columns = count > fit ? fit : count;
  const int     rows    = (count + columns - 1) / columns;
  const double  full_w  = columns * w + 2 * pad;
  const double  head    = 30 * small + (typed ? h + pad : 0);
  const double  full_h  = rows * h + head + 2 * pad;
  const double  x       = fmax(pad, fmin(from.x, l->w - full_w - pad));
  const double  y       = from.y > full_h + pad ? from.y - full_h - pad / 2
                                                : fmax(pad, fmin(from.y + from.h, l->h - full_h - pad));
  l->list               = (RlRect){x, y, full_w, full_h};
  l->live               = l->spots; /* nothing else can be used meanwhile */
  rl_spots_add(l, RL_ACTION_LIST_CLOSE, 0, (RlRect){0, 0, l->w, l->h});
  l->list_typing =
    typed ? (RlRect){x + pad, y + pad + 30 * small, full_w - 2 * pad, h} : (RlRect){0, 0, 0, 0};
  if (typed) {
    rl_spots_add(l, RL_ACTION_CARET, 0, l->list_typing);
  }
  for (int i = 0; i < count; ++i) {
    const RlRect at = rl_rect_grid_cell(x + pad, y + pad + head, w, h, columns, i);
    rl_spots_add(l, RL_ACTION_FIELD_CHOOSE, i, rl_rect_inset(at, 3 * small));
  }
}
