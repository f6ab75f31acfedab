/* SPDX-License-Identifier: ISC */
#include "ui/controller/scrolling.h"

#include "ui/controller/controller_state.h"

static const double scroll_time = 8; /* seconds that the chart stays where it was scrolled to */

/* What is longer than the window, and how much of it is in sight. */
typedef struct {
  int count, shown, first, step; /* step: of the wheel */
} Long;

static Long
long_of(const RlController *const c)
{
  const RlView *const   v = &c->view;
  const RlLayout *const l = &c->redraw.layout;
  switch (v->screen) {
  case RL_SCREEN_TEXT:
    return (Long){(int)rl_text_input_lines(&c->editing.input), l->lines_shown, v->scroll, 3};
  case RL_SCREEN_PHRASES:
    return (Long){rl_view_listed(v), l->phrases_shown, v->scroll, 3};
  case RL_SCREEN_CHARTS:
    return (Long){rl_view_charts_listed(v), l->entries_shown, v->scroll, 3};
  case RL_SCREEN_HARPS:
    return (Long){v->harps.count, l->ranks_shown, v->scroll, 1};
  case RL_SCREEN_PLAY:
    return (Long){v->edit.kind == RL_EDIT_NOTHING ? l->row_count : 0, l->rows_shown,
                  v->follow ? l->first_row : v->scroll, 1};
  default:
    return (Long){0, 0, 0, 1};
  }
}

/* Scrolls by so many entries; true if that is possible. */
static bool
scroll_by(RlController *const c, const int by, const double now)
{
  RlView *const v    = &c->view;
  const Long    all  = long_of(c);
  const int     last = all.count > all.shown ? all.count - all.shown : 0;
  const int     from = all.first > last ? last : all.first; /* the list may have become shorter */
  const int     to   = from + by;
  v->scroll          = to < 0 ? 0 : to > last ? last : to;
  if (v->screen == RL_SCREEN_PLAY) { /* till the music is followed again */
    v->follow          = false;
    c->scrolling.since = now;
  }
  c->redraw.all = true;
  return v->scroll != from;
}

void
rl_scrolling_by(RlController *const c, const int steps, const double now)
{
  scroll_by(c, steps * long_of(c).step, now);
}

/* Past the end of a list there is more of it, if it is longer than the window. */
static bool
list_end(RlController *const c, const int key, const double now)
{
  const RlLayout *const l    = &c->redraw.layout;
  const int             spot = c->view.focus;
  const int             by   = key == RL_KEY_DOWN ? 1 : key == RL_KEY_UP ? -1 : 0;
  if (!by || spot < l->live || spot >= l->spots) {
    return false;
  }
  const RlActionKind kind = l->spot[spot].action.kind;
  const int          next = spot + by;
  const bool         last = next < 0 || next >= l->spots || l->spot[next].action.kind != kind;
  return (kind == RL_ACTION_PHRASE_SELECT || kind == RL_ACTION_CHART_SELECT ||
          kind == RL_ACTION_HARP_USE) &&
         last && scroll_by(c, by, now);
}

bool
rl_scrolling_key(RlController *const c, const int key, const double now)
{
  const Long all  = long_of(c);
  const int  most = all.shown > 1 ? all.shown - 1 : 1;
  switch (key) {
  case RL_KEY_PAGE_UP:
    return scroll_by(c, -most, now);
  case RL_KEY_PAGE_DOWN:
    return scroll_by(c, most, now);
  case RL_KEY_HOME:
    return scroll_by(c, -all.count, now);
  case RL_KEY_END:
    return scroll_by(c, all.count, now);
  default:
    return list_end(c, key, now);
  }
}

void
rl_scrolling_follow_caret(RlController *const c)
{
  size_t     column;
  const int  line  = (int)rl_text_input_line(&c->editing.input, &column);
  const int  shown = c->redraw.layout.lines_shown > 1 ? c->redraw.layout.lines_shown : 1;
  int *const top   = &c->view.scroll;
  *top             = line < *top ? line : line >= *top + shown ? line - shown + 1 : *top;
}

void
rl_scrolling_advance(RlController *const c, const double now)
{
  RlView *const v = &c->view;
  if (!v->follow && v->screen == RL_SCREEN_PLAY && now - c->scrolling.since > scroll_time) {
    v->follow     = true;
    c->redraw.all = true;
  }
}
