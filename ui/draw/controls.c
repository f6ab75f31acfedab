/* SPDX-License-Identifier: ISC */
/* Settings, buttons and lists: what a hand can change. */
#include "ui/draw/draw.h"
#include "ui/model/fields.h"

#include <math.h>
#include <string.h>

static const char *const words_of[RL_ACTIONS] = {
  [RL_ACTION_CHART_TEXT]   = "edit chart",
  [RL_ACTION_EDIT_KEEP]    = "keep",
  [RL_ACTION_BAR_INSERT]   = "add behind",
  [RL_ACTION_BAR_DELETE]   = "take out",
  [RL_ACTION_EDIT_CANCEL]  = "give up",
  [RL_ACTION_STAGE]        = "stage",
  [RL_ACTION_SETTINGS]     = "settings",
  [RL_ACTION_HARPS]        = "which harp?",
  [RL_ACTION_NOTE_NAMES]   = "note names",
  [RL_ACTION_BAR_ONE]      = "bar one is now",
  [RL_ACTION_TAP]          = "tap",
  [RL_ACTION_STOP]         = "stop",
  [RL_ACTION_PHRASES]      = "phrases",
  [RL_ACTION_PHRASE_BAR]   = "bar",
  [RL_ACTION_PHRASE_MOVE]  = "moved",
  [RL_ACTION_PHRASE_PUT]   = "put on bar",
  [RL_ACTION_BAR_CLEAR]    = "free bar",
  [RL_ACTION_PLAN_TEXT]    = "plan as text",
  [RL_ACTION_CAPTURE]      = "take down",
  [RL_ACTION_NOTE_SELECT]  = "note",
  [RL_ACTION_NOTE_SHIFT]   = "",
  [RL_ACTION_NOTE_REMOVE]  = "note out",
  [RL_ACTION_TAKE_KEEP]    = "keep",
  [RL_ACTION_TAKE_DISCARD] = "discard",
  [RL_ACTION_SHEET]        = "lesson sheet",
};

/* What the take button says: what it does, or what is going on. */
static void
capture_words(const RlView *const v, RlText *const text)
{
  const int notes = v->report.taking - 2;
  if (notes < 0) {
    rl_text_add(text, v->report.taking ? "listening" : words_of[RL_ACTION_CAPTURE]);
  } else {
    rl_text_add_int(text, notes);
    rl_text_add(text, notes == 1 ? " note" : " notes");
  }
}

static void
phrases_words(const RlView *const v, RlText *const text)
{
  const int takes = v->phrases.takes ? v->phrases.takes->phrase_count : 0;
  rl_text_add(text, words_of[RL_ACTION_PHRASES]);
  if (takes) {
    rl_text_add(text, " +");
    rl_text_add_int(text, takes);
  }
}

/* What a button is called here and now. */
static void
button_words(const RlView *const v, const RlAction d, RlText *const text)
{
  const bool back = (d.kind == RL_ACTION_HARPS && v->screen == RL_SCREEN_HARPS) ||
                    (d.kind == RL_ACTION_SETTINGS && v->screen == RL_SCREEN_SETTINGS) ||
                    (d.kind == RL_ACTION_PHRASES && v->screen == RL_SCREEN_PHRASES);
  switch (d.kind) {
  case RL_ACTION_PHRASE_MOVE:
    rl_text_add(text, rl_move_name((RlMove)v->phrases.planned.move));
    return;
  case RL_ACTION_CAPTURE:
    capture_words(v, text);
    return;
  case RL_ACTION_PHRASES:
    if (!back) {
      phrases_words(v, text);
      return;
    }
    break;
  default:
    break;
  }
  rl_text_add(text, back                                              ? "back"
                    : d.kind == RL_ACTION_NOTE_NAMES && v->note_names ? "degrees"
                                                                      : words_of[d.kind]);
  if (d.kind == RL_ACTION_PHRASE_BAR || d.kind == RL_ACTION_NOTE_SELECT) {
    rl_text_add(text, d.value < 0 ? " before" : " after");
  } else if (d.kind == RL_ACTION_NOTE_SHIFT) {
    rl_text_add(text, d.value < 0 ? "earlier" : "later");
  } else if (d.kind == RL_ACTION_PHRASE_PUT || d.kind == RL_ACTION_BAR_CLEAR) {
    rl_text_add(text, " ");
    rl_text_add_int(text, v->phrases.planned.bar);
  }
}

/* Does it do anything now? Only the player's clock can be stopped. */
static bool
live(const RlView *const v, const RlActionKind kind)
{
  const bool taps = v->port[RL_PORT_CLOCK] > 0;
  return !(kind == RL_ACTION_STOP && !taps) &&
         !(kind == RL_ACTION_TAP && !taps && rl_view_placed(v));
}

static void
focus_draw(const RlScene *const s, const int spot, const double radius)
{
  const RlSpot *const at = &s->layout->spot[spot];
  const bool stage       = at->action.kind == RL_ACTION_STAGE && s->view->screen == RL_SCREEN_STAGE;
  if (spot == s->view->focus && !stage) {
    rl_edge_box(&s->paint, rl_rect_inset(at->at, -2), radius + 2, 3, RL_INK_TEXT);
  }
}

static bool
pressed(const RlView *const v, const RlAction action)
{
  return v->pressed.kind == action.kind && v->pressed.value == action.value;
}

static void
button_draw(const RlScene *const s, const RlSpot *const spot)
{
  const bool down = pressed(s->view, spot->action) ||
                    (spot->action.kind == RL_ACTION_CAPTURE && s->view->report.taking);
  const bool   on  = live(s->view, spot->action.kind);
  const double r   = fmin(8, spot->at.h / 4);
  const RlInk  ink = down ? RL_INK_ON_LIGHT : on ? RL_INK_TEXT : RL_INK_QUIET;
  char         words[RL_WORDS_SIZE];
  RlText       text = rl_text_in(words, sizeof(words));
  button_words(s->view, spot->action, &text);
  if (down) {
    rl_fill_box(&s->paint, spot->at, r, RL_INK_90);
  } else {
    rl_edge_box(&s->paint, spot->at, r, on ? 2 : 1, on ? RL_INK_EDGE : RL_INK_BAR_LINE);
  }
  rl_write(&s->paint, rl_rect_inset(spot->at, fmin(6, spot->at.h / 6)),
           (RlStyle){s->layout->value, on, ink, RL_MIDDLE}, words);
}

static void
field_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlLayout *const l = s->layout;
  char                  words[RL_WORDS_SIZE];
  RlText                text = rl_text_in(words, sizeof(words));
  RlRect                box  = rl_rect_inset(spot->at, fmin(8, spot->at.h / 7));
  const bool            down = pressed(s->view, spot->action);
  rl_field_value(s->view, (RlField)spot->action.value, &text);
  rl_fill_box(&s->paint, spot->at, fmin(8, spot->at.h / 4), down ? RL_INK_RAIL : RL_INK_TOOTH);
  rl_write(&s->paint, rl_rect_cut_top(&box, box.h * 0.45),
           (RlStyle){l->label, RL_PLAIN, RL_INK_QUIET, RL_LEFT},
           rl_field_label((RlField)spot->action.value));
  rl_write(&s->paint, box, (RlStyle){l->value, RL_BOLD, RL_INK_TEXT, RL_LEFT}, words);
}

/* What is wrong, in words. */
void
rl_draw_problem(const RlScene *const s)
{
  const RlRect  box   = s->layout->problem;
  const RlStyle style = {s->layout->value * 0.94, RL_PLAIN, RL_INK_ON_NEXT, RL_LEFT};
  if (*s->view->problem && box.w > 0 && s->view->screen != RL_SCREEN_TEXT) {
    rl_fill_box(&s->paint, box, 8, RL_INK_NEXT_FILL);
    rl_write_lines(&s->paint, rl_rect_inset(box, fmin(6, box.h / 8)), style, s->view->problem,
                   box.h > 60 ? 3 : 2);
  }
}

/* What is said once. */
void
rl_draw_notice(const RlScene *const s)
{
  const RlRect  box   = s->layout->notice;
  const RlStyle style = {s->layout->value, RL_PLAIN, RL_INK_TEXT, RL_LEFT};
  if (box.w > 0) {
    rl_fill_box(&s->paint, box, 10, RL_INK_RAIL);
    rl_edge_box(&s->paint, box, 10, 2, RL_INK_90);
    rl_write_lines(&s->paint, rl_rect_inset(box, style.size * 0.6), style, s->view->notice,
                   box.h > style.size * 6 ? 5 : 3);
  }
}

void
rl_draw_controls(const RlScene *const s, const int from, const int to)
{
  for (int i = from; i < to; ++i) {
    const RlSpot *const spot = &s->layout->spot[i];
    const RlActionKind  d    = spot->action.kind;
    if (!s->paint.watch && !rl_paint_sees(&s->paint, rl_rect_inset(spot->at, -6))) {
      continue;
    }
    if (d == RL_ACTION_FIELD_OPEN) {
      field_draw(s, spot);
    } else if (words_of[d] && !(d == RL_ACTION_STAGE && s->view->screen == RL_SCREEN_STAGE)) {
      button_draw(s, spot);
    }
    if (d != RL_ACTION_CARET) {
      focus_draw(s, i, 8);
    }
  }
}

/* ---- typing ---- */

/* One line with the caret in it; where it is longer than the box, the end near the caret shows. */
static void
typed_line(const RlScene *const s, const RlRect box, const double size, const RlSlice line,
           const long caret)
{
  char          before[RL_REASON_MAX * 2], all[RL_REASON_MAX * 2];
  RlText        upto  = rl_text_in(before, sizeof(before));
  RlText        whole = rl_text_in(all, sizeof(all));
  const RlStyle style = {size, RL_MONOSPACE, RL_INK_TEXT, RL_LEFT};
  rl_text_add_slice(&whole, line);
  rl_text_add_slice(&upto, (RlSlice){line.at, caret < 0 ? 0 : (size_t)caret});
  const double width = rl_write_width(&s->paint, style, all);
  const double at    = rl_write_width(&s->paint, style, before);
  const double shift = at > box.w - size ? at - box.w + size : 0;
  cairo_save(s->paint.cr);
  cairo_rectangle(s->paint.cr, box.x, box.y, box.w, box.h);
  cairo_clip(s->paint.cr);
  rl_write(&s->paint, (RlRect){box.x - shift, box.y, fmax(width, 1) + 1, box.h}, style, all);
  if (caret >= 0) {
    rl_set_ink(&s->paint, RL_INK_90, 1);
    cairo_rectangle(s->paint.cr, box.x + at - shift, box.y + box.h / 2 - size * 0.6,
                    fmax(1.5, size / 12), size * 1.2);
    cairo_fill(s->paint.cr);
  }
  cairo_restore(s->paint.cr);
}

void
rl_draw_typing(const RlScene *const s, const RlRect box, const double size)
{
  const RlTextInput *const t = s->view->edit.input;
  rl_fill_box(&s->paint, box, 8, RL_INK_GROUND);
  rl_edge_box(&s->paint, box, 8, 2, RL_INK_90);
  typed_line(s, rl_rect_inset(box, fmin(10, box.h / 6)), size, rl_text_input_at(t, 0),
             (long)t->caret);
}

void
rl_draw_editor(const RlScene *const s)
{
  const RlView *const   v = s->view;
  const RlLayout *const l = s->layout;
  if (v->edit.kind != RL_EDIT_BAR || l->live >= l->spots) {
    return;
  }
  const RlRect at    = l->spot[l->live].at;
  const RlRect words = {at.x + 2, at.y + at.h + 1, at.w - 4, l->editor.h * 0.31};
  const bool   wrong = v->edit.error && *v->edit.error;
  rl_fill_box(&s->paint, l->editor, 12, RL_INK_RAIL);
  rl_draw_typing(s, at, fmin(l->name, at.h * 0.6));
  rl_write_lines(&s->paint, words,
                 (RlStyle){l->value, RL_PLAIN, wrong ? RL_INK_90 : RL_INK_TEXT, RL_LEFT},
                 wrong ? v->edit.error : "Enter keeps, Escape gives up", 2);
}

void
rl_draw_list(const RlScene *const s)
{
  const RlView *const   v = s->view;
  const RlLayout *const l = s->layout;
  if (v->edit.list == RL_NO_FIELD) {
    return;
  }
  const RlField field = (RlField)v->edit.list;
  RlRect        box   = rl_rect_inset(l->list, 10);
  const bool    wrong = v->edit.error && *v->edit.error;
  rl_fill_box(&s->paint, l->list, 12, RL_INK_RAIL);
  rl_edge_box(&s->paint, l->list, 12, 2, RL_INK_EDGE);
  rl_write(&s->paint, rl_rect_cut_top(&box, l->value * 1.3),
           (RlStyle){l->value, RL_BOLD, RL_INK_TEXT, RL_LEFT},
           wrong ? v->edit.error : rl_field_label(field));
  if (l->list_typing.w > 0 && v->edit.input) {
    rl_draw_typing(s, l->list_typing, l->value);
  }
  for (int i = 0; i < l->spots; ++i) {
    const RlSpot *const spot = &l->spot[i];
    if (spot->action.kind == RL_ACTION_FIELD_CHOOSE) {
      char       words[RL_WORDS_SIZE];
      RlText     text   = rl_text_in(words, sizeof(words));
      const bool chosen = rl_field_chosen(v, field) == spot->action.value;
      rl_field_choice(v, field, spot->action.value, &text);
      rl_fill_box(&s->paint, spot->at, 8, chosen ? RL_INK_90 : RL_INK_TOOTH);
      rl_write(&s->paint, rl_rect_inset(spot->at, 5),
               (RlStyle){l->value, RL_BOLD, chosen ? RL_INK_ON_LIGHT : RL_INK_TEXT, RL_MIDDLE},
               words);
      focus_draw(s, i, 8);
    }
  }
}

/* ---- the chart as text ---- */

void
rl_draw_text(const RlScene *const s)
{
  const RlView *const   v     = s->view;
  const RlLayout *const l     = s->layout;
  const double          size  = l->line_pitch * 0.68;
  RlRect                page  = rl_rect_inset(l->editor, l->line_pitch / 3);
  const char *const     wrong = v->edit.error && *v->edit.error ? v->edit.error : NULL;
  if (!v->edit.input) {
    return;
  }
  rl_write(&s->paint, l->head, (RlStyle){l->value * 1.4, RL_BOLD, RL_INK_TEXT, RL_LEFT},
           v->edit.kind == RL_EDIT_PLAN ? "The plan as text" : "The chart as text");
  rl_fill_box(&s->paint, l->editor, 8, RL_INK_TOOTH);
  rl_edge_box(&s->paint, l->editor, 8, 2, RL_INK_EDGE);
  size_t       column;
  const size_t caret = rl_text_input_line(v->edit.input, &column);
  const size_t lines = rl_text_input_lines(v->edit.input);
  for (int i = 0; i < l->lines_shown; ++i) {
    const size_t line = (size_t)v->scroll + (size_t)i;
    char         number[16];
    RlText       text = rl_text_in(number, sizeof(number));
    RlRect       row  = rl_rect_cut_top(&page, l->line_pitch);
    if (line >= lines) {
      break;
    }
    rl_text_add_int(&text, (int64_t)line + 1);
    rl_write(&s->paint, rl_rect_cut_left(&row, size * 1.9),
             (RlStyle){size * 0.8, RL_MONOSPACE, RL_INK_QUIET, RL_RIGHT}, number);
    rl_rect_cut_left(&row, size * 0.7);
    typed_line(s, row, size, rl_text_input_at(v->edit.input, line),
               line == caret ? (long)column : -1);
  }
  rl_write(&s->paint, l->problem,
           (RlStyle){l->value, RL_PLAIN, wrong ? RL_INK_90 : RL_INK_QUIET, RL_LEFT},
           wrong ? wrong
           : v->edit.kind == RL_EDIT_PLAN
             ? "bar 9: and a title; below, the phrases in ABC. Escape gives up."
             : "Headers, then bars between |. Escape gives up.");
}
