/* SPDX-License-Identifier: ISC */
#include "ui/draw/charts.h"

#include "ui/draw/chart.h"
#include "ui/draw/typing.h"
#include "ui/layout/rows.h"
#include "ui/model/music_signs.h"

#include <math.h>
#include <string.h>

/* ---- the list ---- */

static RlInk
ink_of(const RlEntryKind kind)
{
  return kind == RL_ENTRY_WRONG || kind == RL_ENTRY_GONE ? RL_INK_90 : RL_INK_QUIET;
}

/* `12 bars in Bb, 4/4, swing`, the key with its music signs. */
static void
chart_write(const char *const about, RlText *const text)
{
  static const char in[] = " in ";
  const char *const mark = strstr(about, in);
  const char *const key  = mark ? mark + sizeof(in) - 1 : about;
  char              name[RL_NAME_SIZE];
  RlText            ascii = rl_text_in(name, sizeof(name));
  rl_text_add_slice(&ascii, (RlSlice){key, mark ? strcspn(key, ",") : 0});
  rl_text_add_slice(text, (RlSlice){about, (size_t)(key - about)});
  rl_music_signs(name, text);
  rl_text_add(text, key + ascii.used);
}

static void
about_write(const RlEntry *const entry, const bool reading, RlText *const text)
{
  switch (entry->kind) {
  case RL_ENTRY_PARENT:
    rl_text_add(text, "the folder above");
    break;
  case RL_ENTRY_FOLDER:
    rl_text_add(text, "folder");
    break;
  case RL_ENTRY_UNREAD:
    rl_text_add(text, reading ? "being read" : "not read");
    break;
  case RL_ENTRY_GONE:
    rl_text_add(text, "gone; was it moved or deleted?");
    break;
  case RL_ENTRY_CHART:
    chart_write(entry->about, text);
    break;
  default:
    rl_text_add(text, entry->about);
    break;
  }
}

/* The end of a path, as much of it as there is room for: `.../charts/slow`. */
static void
path_fit(const RlScene *const s, const double width, const char *const path, RlText *const text)
{
  char        shown[RL_PATH_SIZE];
  RlText      clean = rl_text_in(shown, sizeof(shown));
  const char *from  = shown;
  rl_file_name_write(path, &clean);
  const RlStyle style = {s->layout->value, RL_PLAIN, RL_INK_TEXT, RL_LEFT};
  const double  room  = width - s->layout->value * 2;
  while (strlen(from) > 12 && rl_write_width(&s->paint, style, from) > room) {
    const char *const slash = strchr(from + 1, '/');
    if (!slash) {
      break;
    }
    from = slash;
  }
  rl_text_add(text, from == shown ? "" : "...");
  rl_text_add(text, from);
}

/* At the right end of a line: the file's name; of a recent chart its folder. */
static void
file_draw(const RlScene *const s, const RlEntry *const entry, const RlInk ink, RlRect *const box)
{
  const char *const slash  = strrchr(entry->path, '/');
  const bool        recent = s->view->charts.place == RL_CHARTS_RECENT;
  char              words[RL_PATH_SIZE];
  RlText            text  = rl_text_in(words, sizeof(words));
  const RlStyle     style = {fmin(s->layout->value * 0.8, box->h * 0.92), RL_PLAIN, ink, RL_RIGHT};
  if (entry->kind != RL_ENTRY_CHART || box->w < s->layout->value * 20) {
    return; /* its name stands there already, or there is no room */
  }
  if (recent) {
    char   folder[RL_PATH_SIZE];
    RlText path = rl_text_in(folder, sizeof(folder));
    rl_text_add_slice(&path, (RlSlice){entry->path, (size_t)(slash - entry->path)});
    path_fit(s, box->w * 0.5, folder, &text);
  } else {
    rl_file_name_write(slash + 1, &text);
  }
  const double w = fmin(rl_write_width(&s->paint, style, words) + 1, box->w * 0.5);
  rl_write(&s->paint, rl_rect_cut_right(box, w), style, words);
  rl_rect_cut_right(box, style.size);
}

static void
row_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlView *const  v     = s->view;
  const RlEntry *const entry = &v->charts.list->entry[spot->action.value];
  const bool           here  = spot->action.value == v->charts.selected;
  const bool           plain = entry->kind <= RL_ENTRY_FOLDER;
  const double         size  = s->layout->value;
  RlRect               box   = rl_rect_inset(spot->at, spot->at.h / 12);
  char                 words[RL_ENTRY_ABOUT_SIZE + 32];
  RlText               about = rl_text_in(words, sizeof(words));
  about_write(entry, v->charts.reading, &about);
  if (here) {
    rl_fill_box(&s->paint, spot->at, fmin(8, spot->at.h / 4), RL_INK_90);
  }
  rl_rect_cut_left(&box, size / 3);
  const RlRect label = rl_rect_cut_top(&box, box.h * 0.57);
  rl_rect_cut_top(&box, size / 12);
  rl_write(&s->paint, label,
           (RlStyle){fmin(size, label.h * 0.8), plain ? RL_PLAIN : RL_BOLD,
                     here ? RL_INK_ON_LIGHT : RL_INK_TEXT, RL_LEFT},
           entry->label);
  file_draw(s, entry, here ? RL_INK_ON_LIGHT : RL_INK_QUIET, &box);
  rl_write(&s->paint, box,
           (RlStyle){fmin(size * 0.8, box.h * 0.92), RL_PLAIN,
                     here ? RL_INK_ON_LIGHT : ink_of(entry->kind), RL_LEFT},
           words);
}

/* A field: what is typed into it, else what it holds, else its name. */
static void
field_draw(const RlScene *const s, const RlRect at, const RlEdit edit, const char *const holds,
           const char *const name)
{
  const RlView *const v    = s->view;
  const double        size = s->layout->value;
  const bool          full = holds && *holds;
  if (v->edit.kind == edit && v->edit.input) {
    rl_draw_typing(s, at, size);
  } else {
    rl_edge_box(&s->paint, at, fmin(8, at.h / 4), 1, RL_INK_EDGE);
    rl_write(&s->paint, rl_rect_inset(at, at.h / 8),
             (RlStyle){size, RL_PLAIN, full ? RL_INK_TEXT : RL_INK_QUIET, RL_LEFT},
             full ? holds : name);
  }
}

static void
fields_draw(const RlScene *const s)
{
  const RlView *const v = s->view;
  char                words[RL_PATH_SIZE + 8];
  char                name[RL_FIND_NAME_SIZE];
  const int           listed = rl_view_charts_listed(v);
  const bool          up     = v->charts.list && listed &&
                  v->charts.list->entry[rl_view_listed_chart(v, 0)].kind == RL_ENTRY_PARENT;
  for (int i = 0; i < s->layout->spots; ++i) {
    const RlSpot *const spot = &s->layout->spot[i];
    if (spot->action.kind == RL_ACTION_FIND) {
      rl_find_name_write(listed - up, listed - up, s->layout->entries_shown - up, name);
      field_draw(s, spot->at, RL_EDIT_FIND, v->charts.query, name);
    } else if (spot->action.kind == RL_ACTION_CHARTS_PATH) {
      RlText text = rl_text_in(words, sizeof(words));
      if (v->charts.place == RL_CHARTS_PRESETS) {
        rl_text_add(&text, "the charts that come along");
      } else {
        path_fit(s, spot->at.w, v->charts.folder, &text);
      }
      field_draw(s, spot->at, RL_EDIT_PATH, words, "type a folder");
    }
  }
}

static void
list_draw(const RlScene *const s)
{
  const RlView *const   v     = s->view;
  const RlLayout *const l     = s->layout;
  const int             n     = rl_view_charts_listed(v);
  RlRect                under = l->charts;
  rl_fill_box(&s->paint, rl_rect_inset(l->charts, -4), 8, RL_INK_TOOTH);
  for (int i = 0; i < l->spots; ++i) {
    if (l->spot[i].action.kind == RL_ACTION_CHART_SELECT) {
      row_draw(s, &l->spot[i]);
    }
  }
  if (!n) {
    rl_rect_cut_top(&under, l->value * 2.6);
    rl_write_lines(&s->paint, rl_rect_inset(under, l->value / 2),
                   (RlStyle){l->value, RL_PLAIN, RL_INK_QUIET, RL_LEFT},
                   v->charts.reading ? "being read"
                   : v->charts.query && v->charts.query[0]
                     ? "nothing has these words; Escape lists all"
                     : "no charts here",
                   2);
  }
}

/* ---- the selected chart ---- */

static void
form_draw(const RlScene *const s)
{
  RlView     view             = *s->view;
  RlLayout   layout           = *s->layout;
  RlRect     area             = s->layout->chart_shown;
  const bool wide             = s->layout->shape == RL_SHAPE_FULL;
  view.form                   = s->view->charts.form;
  view.report                 = (RlPlaceReport){0};
  view.edit                   = (RlViewEdit){.error_bar = -1, .list = RL_NO_FIELD};
  view.follow                 = true;
  view.port[RL_PORT_SONG_KEY] = 12; /* the chart's own */
  layout.head                 = rl_rect_cut_top(&area, wide ? 72 : 36);
  layout.row_cells            = RL_ROW_BARS;
  rl_rows_divide(&layout, view.form);
  rl_rows_place(&layout, &view, area, wide ? 64 : 30, wide ? 104 : 48);
  rl_draw_chart(&(RlScene){s->paint, &view, &layout});
}

/* The chart, or what is wrong with it. */
static void
shown_draw(const RlScene *const s)
{
  const RlLayout *const l     = s->layout;
  const RlView *const   v     = s->view;
  const char *const     wrong = v->charts.wrong;
  if (v->charts.form) {
    form_draw(s);
  } else if (wrong && *wrong) {
    rl_write_lines(&s->paint, l->chart_shown, (RlStyle){l->value, RL_PLAIN, RL_INK_90, RL_LEFT},
                   wrong, 4);
  } else if (v->charts.selected < 0) {
    rl_write_lines(&s->paint, l->chart_shown, (RlStyle){l->value, RL_PLAIN, RL_INK_QUIET, RL_LEFT},
                   "Choose a chart to look at; choose it again to open it.", 3);
  }
}

/* What plays, and where it came from. */
static void
file_write(const RlView *const v, RlText *const text)
{
  if (!v->form) {
    return;
  }
  rl_text_add(text, "Now: ");
  rl_text_add_slice(text, rl_form_text(v->form, v->form->title));
  rl_text_add(text, v->form->title.length ? ", " : "a chart without a title, ");
  rl_text_add(text, !v->charts.file || !v->charts.file[0] ? "in no file"
                    : v->charts.saved                     ? "in "
                                                          : "changed since it was read from ");
  rl_file_name_write(v->charts.file ? v->charts.file : "", text);
}

static void
words_draw(const RlScene *const s)
{
  const RlView *const v    = s->view;
  const bool          said = v->charts.words && v->charts.words[0];
  char                words[RL_PROBLEM_SIZE + RL_PATH_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  if (said) {
    rl_text_add(&text, v->charts.words);
  } else {
    file_write(v, &text);
  }
  rl_write_lines(&s->paint, s->layout->problem,
                 (RlStyle){s->layout->value * 0.94, RL_PLAIN,
                           said && v->charts.alarm ? RL_INK_90 : RL_INK_QUIET, RL_LEFT},
                 words, 2);
}

void
rl_draw_charts(const RlScene *const s)
{
  const RlLayout *const l = s->layout;
  if (l->head.w > 0) {
    rl_write(&s->paint, l->head, (RlStyle){26, RL_BOLD, RL_INK_TEXT, RL_LEFT}, "Charts");
  }
  if (s->view->charts.list) {
    list_draw(s);
  }
  fields_draw(s);
  shown_draw(s);
  if (!*s->view->problem) { /* else it stands there */
    words_draw(s);
  }
}

/* ---- what is asked ---- */

static void
key_draw(const RlScene *const s, const RlSpot *const spot)
{
  char   name[RL_NAME_SIZE], words[RL_WORDS_SIZE];
  RlText ascii = rl_text_in(name, sizeof(name));
  RlText text  = rl_text_in(words, sizeof(words));
  rl_key_write(rl_key_named(spot->action.value % 12, spot->action.value >= 12), &ascii);
  rl_music_signs(name, &text);
  rl_fill_box(&s->paint, spot->at, 6, RL_INK_TOOTH);
  rl_write(&s->paint, rl_rect_inset(spot->at, 3),
           (RlStyle){s->layout->value, RL_BOLD, RL_INK_TEXT, RL_MIDDLE}, words);
}

void
rl_draw_charts_asking(const RlScene *const s)
{
  const RlView *const   v     = s->view;
  const RlLayout *const l     = s->layout;
  const bool            wrong = v->edit.error && *v->edit.error;
  if (l->asking.w <= 0) {
    return;
  }
  rl_fill_box(&s->paint, l->asking, 12, RL_INK_RAIL);
  rl_edge_box(&s->paint, l->asking, 12, 2, RL_INK_90);
  rl_write_lines(&s->paint, l->asked,
                 (RlStyle){l->value, RL_PLAIN, wrong ? RL_INK_90 : RL_INK_TEXT, RL_LEFT},
                 wrong ? v->edit.error : v->charts.question, 3);
  for (int i = l->live; i < l->spots; ++i) {
    if (l->spot[i].action.kind == RL_ACTION_CHART_KEY) {
      key_draw(s, &l->spot[i]);
    } else if (l->spot[i].action.kind == RL_ACTION_CARET && v->edit.input) {
      rl_draw_typing(s, l->spot[i].at, l->value);
    }
  }
}
