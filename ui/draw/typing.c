/* SPDX-License-Identifier: ISC */
#include "ui/draw/typing.h"

#include <math.h>

/* The caret of a line, in bytes from its beginning. */
enum { NO_CARET = -1, ALL_SELECTED = -2 };

/* Under a text of that width; a little wider than what is seen of it. */
static void
selection_draw(const RlScene *const s, const RlRect box, const double size, const double width)
{
  const double high = size * 1.3;
  const double more = fmin(size / 8, 4);
  rl_fill_box(
    &s->paint,
    (RlRect){box.x - more, box.y + (box.h - high) / 2, fmin(width, box.w) + 2 * more, high},
    size / 8, RL_INK_90);
}

/* One line with the caret at byte `caret`, or selected; scrolled so that the caret is in sight. */
static void
typed_line(const RlScene *const s, const RlRect box, const double size, const RlSlice line,
           const long caret)
{
  const bool    selected = caret == ALL_SELECTED;
  char          before[RL_REASON_MAX * 2], all[RL_REASON_MAX * 2];
  RlText        upto  = rl_text_in(before, sizeof(before));
  RlText        whole = rl_text_in(all, sizeof(all));
  const RlStyle style = {size, RL_MONOSPACE, selected ? RL_INK_ON_LIGHT : RL_INK_TEXT, RL_LEFT};
  rl_text_add_slice(&whole, line);
  rl_text_add_slice(&upto, (RlSlice){line.at, caret < 0 ? 0 : (size_t)caret});
  const double width = rl_write_width(&s->paint, style, all);
  const double at    = rl_write_width(&s->paint, style, before);
  const double shift = at > box.w - size ? at - box.w + size : 0;
  if (selected) {
    selection_draw(s, box, size, width);
  }
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
  typed_line(s, rl_layout_typing(box), size, rl_text_input_at(t, 0),
             t->all ? ALL_SELECTED : (long)t->caret);
}

void
rl_find_name_write(const int listed, const int all, const int shown, char name[RL_FIND_NAME_SIZE])
{
  RlText text = rl_text_in(name, RL_FIND_NAME_SIZE);
  rl_text_add(&text, "find");
  if (listed > shown || listed < all) {
    rl_text_add(&text, " among ");
    rl_text_add_int(&text, listed);
  }
  if (listed < all) {
    rl_text_add(&text, " of ");
    rl_text_add_int(&text, all);
  }
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
  char         help[48];
  RlText       text = rl_text_in(help, sizeof(help));
  rl_text_add(&text, "Bar ");
  rl_text_add_int(&text, v->edit.bar + 1);
  rl_text_add(&text, ". Enter keeps, Escape cancels");
  rl_fill_box(&s->paint, l->editor, 12, RL_INK_RAIL);
  rl_draw_typing(s, at, rl_layout_typing_size(l, v->edit.kind, at));
  rl_write_lines(&s->paint, words,
                 (RlStyle){l->value, RL_PLAIN, wrong ? RL_INK_90 : RL_INK_TEXT, RL_LEFT},
                 wrong ? v->edit.error : help, 2);
}

void
rl_draw_text(const RlScene *const s)
{
  const RlView *const   v     = s->view;
  const RlLayout *const l     = s->layout;
  const double          size  = l->line_pitch * 0.68;
  RlRect                area  = rl_rect_inset(l->editor, l->line_pitch / 3);
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
    RlRect       row  = rl_rect_cut_top(&area, l->line_pitch);
    if (line >= lines) {
      break;
    }
    rl_text_add_int(&text, (int64_t)line + 1);
    rl_write(&s->paint, rl_rect_cut_left(&row, size * 1.9),
             (RlStyle){size * 0.8, RL_MONOSPACE, RL_INK_QUIET, RL_RIGHT}, number);
    rl_rect_cut_left(&row, size * 0.7);
    typed_line(s, row, size, rl_text_input_at(v->edit.input, line),
               v->edit.input->all ? ALL_SELECTED
               : line == caret    ? (long)column
                                  : NO_CARET);
  }
  rl_write(&s->paint, l->problem,
           (RlStyle){l->value, RL_PLAIN, wrong ? RL_INK_90 : RL_INK_QUIET, RL_LEFT},
           wrong ? wrong
           : v->edit.kind == RL_EDIT_PLAN
             ? "bar 5: and a title; below, the phrases in ABC. Escape cancels."
             : "Headers, then bars between |. Escape cancels.");
}
