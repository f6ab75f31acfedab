/* SPDX-License-Identifier: ISC */
#include "ui/draw/chart.h"

#include "ui/draw/fill.h"
#include "ui/model/music_signs.h"

#include <math.h>

enum { DEGREE_HIGH = 24 /* a line of two is at least so high if there are degrees in it */ };

typedef enum { BAR_PLAIN, BAR_NOW, BAR_NEXT } State;

static const struct {
  RlInk name, degree;
} inks[] = {
  [BAR_PLAIN] = {RL_INK_TEXT, RL_INK_QUIET},
  [BAR_NOW]   = {RL_INK_ON_LIGHT, RL_INK_ON_LIGHT},
  [BAR_NEXT]  = {RL_INK_ON_NEXT, RL_INK_ON_NEXT},
};

int
rl_draw_sounding_chord(const RlView *const v)
{
  const RlPlace place = rl_view_place(v);
  const int     index = v->form && rl_view_placed(v) ? rl_view_index(v) : -1;
  int           last  = -1;
  for (int i = 0; index >= 0 && v->form->bar[index].chords > 1 && i < v->form->bar[index].chords;
       ++i) {
    const RlFormChord *const chord = &v->form->chord[v->form->bar[index].first_chord + i];
    last                           = chord->beat <= place.beat ? i : last;
  }
  return last;
}

static void
degree_write(const RlScene *const s, const RlRect box, const RlChord chord, const State state,
             const double size)
{
  const RlHarmony h = rl_harmony_of(chord, rl_view_key(s->view));
  char            ascii[RL_CHORD_SIZE], words[RL_WORDS_SIZE];
  RlText          name = rl_text_in(ascii, sizeof(ascii));
  RlText          text = rl_text_in(words, sizeof(words));
  if (h.sounding) {
    rl_harmony_degree(&h, &name);
    rl_music_signs(ascii, &text);
    rl_write(&s->paint, box, (RlStyle){size, RL_PLAIN, inks[state].degree, RL_MIDDLE}, words);
  }
}

static void
name_write(const RlScene *const s, const RlChord chord, RlText *const text)
{
  const RlHarmony h = rl_harmony_of(chord, rl_view_key(s->view));
  char            ascii[RL_CHORD_SIZE];
  RlText          name = rl_text_in(ascii, sizeof(ascii));
  rl_harmony_name(&h, &name);
  rl_music_signs(ascii, text);
}

static void
chord_write(const RlScene *const s, RlRect box, const RlChord chord, const State state,
            const double most, const bool degrees)
{
  char   words[RL_WORDS_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  name_write(s, chord, &text);
  const double size = fmin(most, box.h * (degrees ? 0.42 : 0.8));
  RlRect       top  = degrees ? rl_rect_cut_top(&box, box.h * 0.58) : box;
  if (degrees) {
    top.y += top.h * 0.12;
  }
  rl_write(&s->paint, top, (RlStyle){size, RL_BOLD, inks[state].name, RL_MIDDLE}, words);
  if (degrees) {
    box.h *= 0.75;
    degree_write(s, box, chord, state, size * 0.64);
  }
}

/* The size of the smallest of a bar's names, were they in so many columns. */
static double
smallest_name(const RlScene *const s, const RlRect box, const RlBar *const bar, const int columns)
{
  const int     rows  = (bar->chords + columns - 1) / columns;
  const double  w     = box.w / columns - 2;
  const double  most  = s->layout->name;
  const RlStyle style = {most, RL_BOLD, RL_INK_TEXT, RL_MIDDLE};
  double        size  = fmin(most, (box.h / rows - 2) * 0.8);
  for (int i = 0; i < bar->chords; ++i) {
    char   words[RL_WORDS_SIZE];
    RlText text = rl_text_in(words, sizeof(words));
    name_write(s, s->view->form->chord[bar->first_chord + i].chord, &text);
    size = fmin(size, most * w / fmax(rl_write_width(&s->paint, style, words), 1));
  }
  return size;
}

/* As many columns as leave the names largest. Two chords stand one over the other where there is
   room for their degrees beside them. */
static int
columns_of(const RlScene *const s, const RlRect box, const RlBar *const bar)
{
  int best = 1;
  if (bar->chords == 2 && box.h > 2 * DEGREE_HIGH) {
    return 1;
  }
  for (int columns = 2; columns <= bar->chords; ++columns) {
    best = smallest_name(s, box, bar, columns) > smallest_name(s, box, bar, best) ? columns : best;
  }
  return best;
}

static void
chords_write(const RlScene *const s, const RlRect box, const RlBar *const bar, const State state)
{
  const int    n       = bar->chords;
  const int    columns = n > 1 ? columns_of(s, box, bar) : 1;
  const int    rows    = (n + columns - 1) / columns;
  const double w       = box.w / columns;
  const double h       = box.h / rows;
  const double most    = n > 1 ? smallest_name(s, box, bar, columns) : s->layout->name;
  for (int i = 0; i < n; ++i) {
    const RlChord chord = s->view->form->chord[bar->first_chord + i].chord;
    RlRect        part  = rl_rect_grid_cell(box.x, box.y, w, h, columns, i);
    if (state == BAR_NOW && i == rl_draw_sounding_chord(s->view)) {
      rl_fill_box(&s->paint, rl_rect_inset(part, -1), fmin(6, part.h / 5), RL_INK_100);
    }
    if (n == 2 && columns == 1 && h > DEGREE_HIGH) {
      degree_write(s, rl_rect_cut_right(&part, w * 0.34), chord, state, part.h * 0.3);
    }
    chord_write(s, rl_rect_inset(part, 1), chord, state, most, n == 1 && box.h > 44);
  }
}

static bool
meter_changes(const RlForm *const f, const int index)
{
  const RlBar *const bar  = &f->bar[index];
  const RlBar *const prev = index > 0 && index != f->bars ? bar - 1 : NULL;
  return prev ? prev->beats != bar->beats || prev->unit != bar->unit
              : bar->beats != f->meter_beats || bar->unit != f->meter_unit;
}

/* Writes the meter of a bar where it changes, into a strip cut off the top of its cell, if the cell
   is tall enough. */
static void
meter_write(const RlScene *const s, RlRect *const box, const int index, const State state)
{
  const RlForm *const f    = s->view->form;
  const double        size = s->layout->label;
  char                words[RL_WORDS_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  if (!meter_changes(f, index) || box->h < 4 * size) {
    return;
  }
  rl_text_add_int(&text, f->bar[index].beats);
  rl_text_add(&text, "/");
  rl_text_add_int(&text, f->bar[index].unit);
  RlRect strip = rl_rect_cut_top(box, size * 1.1);
  rl_rect_cut_left(&strip, 4);
  rl_write(&s->paint, strip, (RlStyle){size, RL_BOLD, inks[state].degree, RL_LEFT}, words);
}

/* Writes the name of a section into the gap above its first bar. */
static void
section_write(const RlScene *const s, const RlRect at, const int index)
{
  const RlForm *const f    = s->view->form;
  const RlBar *const  bar  = &f->bar[index];
  const bool          head = index == 0 || index == f->bars || bar[-1].section != bar->section;
  const double        gap  = s->layout->row_pitch / 8;
  char                words[RL_WORDS_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  if (bar->section < f->sections && head && gap > 5 && s->layout->rows_shown > 1) {
    rl_text_add_slice(&text, rl_form_text(f, f->section[bar->section]));
    rl_write(&s->paint, (RlRect){at.x + 4, at.y - gap - 1, at.w - 8, gap + 2},
             (RlStyle){fmin(s->layout->label, gap * 1.1), RL_PLAIN, RL_INK_QUIET, RL_LEFT}, words);
  }
}

static void
line_draw(const RlScene *const s, const double x, const RlRect at)
{
  rl_set_ink(&s->paint, RL_INK_BAR_LINE, 1);
  cairo_rectangle(s->paint.cr, x - 1, at.y, 2, at.h);
  cairo_fill(s->paint.cr);
}

static void
bar_draw(const RlScene *const s, const int index, const State state)
{
  const RlRect at    = rl_layout_bar(s->layout, index);
  const RlRect light = rl_rect_inset(at, fmin(5, fmin(at.w / 16, at.h / 12)));
  const double r     = fmin(10, at.h / 5);
  if (at.w == 0 || !rl_paint_wants(&s->paint, rl_rect_inset(at, -8 - s->layout->row_pitch / 8))) {
    return;
  }
  const RlForm *const f = s->view->form;
  line_draw(s, at.x, at);
  line_draw(s, at.x + at.w, at);
  if (index == 0 || index == f->bars) {
    line_draw(s, at.x - 5, at);
  }
  if (index == f->bars - 1 || index == f->bars + f->ending_bars - 1) {
    line_draw(s, at.x + at.w + 5, at);
  }
  if (state == BAR_NOW) {
    rl_path_box(&s->paint, rl_rect_inset(light, -5), r + 5);
    rl_set_ink(&s->paint, RL_INK_GLOW, 0.16);
    cairo_fill(s->paint.cr);
    rl_fill_box(&s->paint, light, r, RL_INK_90);
  } else if (state == BAR_NEXT) {
    const double fill = (double)rl_fill_steps(s->view) / RL_FILL_STEPS;
    cairo_save(s->paint.cr);
    cairo_rectangle(s->paint.cr, light.x, light.y + light.h * (1 - fill), light.w, light.h);
    cairo_clip(s->paint.cr);
    rl_fill_box(&s->paint, light, r, RL_INK_NEXT_FILL);
    cairo_restore(s->paint.cr);
    rl_edge_box(&s->paint, light, r, 2, RL_INK_NEXT_EDGE);
  }
  RlRect box = rl_rect_inset(light, fmin(3, light.h / 14));
  meter_write(s, &box, index, state);
  chords_write(s, box, &s->view->form->bar[index], state);
  section_write(s, at, index);
  int first, last;
  if (rl_view_chosen(s->view, &first, &last) && index >= first && index <= last) {
    rl_edge_box(&s->paint, rl_rect_inset(at, 1), r, 3, RL_INK_TEXT);
  }
  if (s->view->edit.error_bar >= 0 &&
      s->view->form->bar[index].written == s->view->edit.error_bar) {
    rl_edge_box(&s->paint, light, r, 3, RL_INK_TARGET);
  }
}

/* That an old chart is read as it was, and the way out of it; in a low head only the first. Cut
   from the foot of the box. */
static void
rules_draw(const RlScene *const s, RlRect *const box, RlText *const text)
{
  static const char way_out[] = "older rules: take out chart-rules";
  const double      size      = box->h * 0.4;
  if (s->view->form->rules != 1) {
    return;
  }
  if (size < 11) {
    rl_text_add(text, "; older rules");
  } else {
    rl_write(&s->paint, rl_rect_cut_bottom(box, box->h / 2),
             (RlStyle){fmin(size, 17), RL_PLAIN, RL_INK_NEXT_NAME, RL_LEFT}, way_out);
  }
}

static void
head_draw(const RlScene *const s)
{
  const RlForm *const f   = s->view->form;
  RlRect              box = s->layout->head;
  char                words[RL_WORDS_SIZE];
  char                key[RL_NAME_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  RlText              name = rl_text_in(key, sizeof(key));
  if (s->view->screen == RL_SCREEN_PLAY) { /* it opens the charts, as a setting opens its list */
    rl_fill_box(&s->paint, box, fmin(8, box.h / 4), RL_INK_TOOTH);
    rl_rect_cut_left(&box, fmin(8, box.h / 6));
    rl_rect_cut_right(&box, fmin(8, box.h / 6));
  }
  rl_text_add_slice(&text, rl_form_text(f, f->title));
  rl_write(&s->paint, rl_rect_cut_top(&box, box.h * 0.55),
           (RlStyle){fmin(24, box.h * 0.45), RL_BOLD, RL_INK_TEXT, RL_LEFT},
           words[0] ? words : "Untitled");
  text = rl_text_in(words, sizeof(words));
  rl_text_add_int(&text, f->bars);
  rl_text_add(&text, f->bars == 1 ? " bar in " : " bars in ");
  rl_key_write(rl_view_key(s->view), &name);
  rl_music_signs(key, &text);
  rl_text_add(&text, ", ");
  rl_text_add_int(&text, f->meter_beats);
  rl_text_add(&text, "/");
  rl_text_add_int(&text, f->meter_unit);
  if (f->feel.length) {
    rl_text_add(&text, ", ");
    rl_text_add_slice(&text, rl_form_text(f, f->feel));
  }
  rules_draw(s, &box, &text);
  rl_write(&s->paint, box, (RlStyle){fmin(17, box.h * 0.8), RL_PLAIN, RL_INK_QUIET, RL_LEFT},
           words);
}

void
rl_draw_chart(const RlScene *const s)
{
  const RlLayout *const l = s->layout;
  if (!s->view->form || l->rows.w == 0) {
    return;
  }
  const int now  = rl_view_index(s->view);
  const int next = rl_view_next_bar(s->view);
  if (l->head.h > 0) {
    head_draw(s);
  }
  for (int pass = 0; pass < 2; ++pass) { /* lit bars lie over the bar lines of the others */
    for (int i = l->row_bar[l->first_row]; i < l->row_bar[l->row_count]; ++i) {
      const State state = i == now ? BAR_NOW : i == next ? BAR_NEXT : BAR_PLAIN;
      if (rl_layout_bar(l, i).w == 0) {
        break;
      }
      if ((state != BAR_PLAIN) == pass) {
        bar_draw(s, i, state);
      }
    }
  }
}
