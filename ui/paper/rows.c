/* SPDX-License-Identifier: ISC */
#include "ui/paper/rows.h"

#include "ui/layout/layout.h"
#include "ui/paper/bar.h"
#include "ui/paper/chords.h"
#include "ui/paper/labels.h"
#include "ui/paper/pen.h"

#include <math.h>
#include <string.h>

/* Heights in points. */
enum { LABEL_HEIGHT = 12, TITLE_HEIGHT = 12, ANSWER_HEIGHT = 11 };

/* Chords may shrink this far before a row gets fewer bars; notes get a little more than they need,
   so that longer ones look longer. */
static const double chords_shrink = 0.86, notes_stretch = 1.06;

/* Bars side by side, in one of their versions. */
typedef struct {
  const RlSheet       *sheet;
  int                  n, count, cells; /* from bar n; cells: how many a full row holds */
  const RlSongVersion *version;         /* NULL: nothing sounds in them */
  char                 label[RL_LABEL_SIZE];
  bool                 degrees; /* on a line of their own */
  bool                 titles;  /* phrases begin here, or a bar with a phrase wants an answer too */
  bool                 answers;
} Row;

/* ---- what stands in a bar ---- */

static bool
begins_here(const RlSheet *const sheet, const RlPlanned *const planned, const int n,
            const int chorus)
{
  const bool ending = n >= sheet->form->bars;
  return planned->bar == n + 1 &&
         (ending || !planned->choruses ||
          (chorus <= RL_PLAN_CHORUSES && (planned->choruses >> (chorus - 1) & 1U)));
}

static void
title_add(const RlPlan *const plan, const int planned, const char *const more, RlText *const text)
{
  rl_text_add(text, text->used ? "; " : "");
  rl_text_add(text, plan->phrase[plan->planned[planned].phrase].title);
  rl_text_add(text, more);
}

/* Is the note part of its phrase's pickup? */
static bool
in_pickup(const RlSheet *const sheet, const RlLaneNote *const n)
{
  const RlPlanned *const planned = &sheet->plan->planned[n->planned];
  const double into = planned->beat / 1000.0 * 4 / sheet->form->bar[planned->bar - 1].unit;
  return n->at < (sheet->form->starts[RL_AXIS_QUARTERS][planned->bar - 1] + into) * RL_TICKS - 1;
}

/* Titles of phrases whose pickup begins in bar n, before their own bar. */
static void
pickups_write(const Row *const r, const int n, RlText *const text)
{
  RlSongSound     sounds[RL_SOUNDS_MAX];
  const RlSheet  *sheet = r->sheet;
  const RlSongBar bar   = rl_song_bar(sheet, n);
  const int       count = rl_song_sounds(sheet, &bar, r->version->chorus, sounds);
  int             last  = -1;
  for (int i = 0; i < count; ++i) {
    const RlLaneNote *const note = &sheet->lane->note[sounds[i].note[0]];
    if (note->planned != last && sounds[i].sound.at >= 0 && in_pickup(sheet, note) &&
        sheet->plan->planned[note->planned].bar != n + 1) {
      title_add(sheet->plan, note->planned, ", pickup", text);
      last = note->planned;
    }
  }
}

/* Has it notes in that chorus? Another phrase may have replaced it there. */
static bool
sounds_in(const RlSheet *const sheet, const int planned, const int chorus)
{
  return rl_lane_fate(sheet->lane, sheet->form, planned, chorus).lost <
         sheet->lane->phrase[planned].notes;
}

/* Is the same phrase planned on this bar a second time? Then it has been named already. */
static bool
named_before(const RlPlan *const plan, const int planned, const int bar)
{
  int i = 0;
  while (i < planned && !(plan->planned[i].bar == bar &&
                          plan->planned[i].phrase == plan->planned[planned].phrase)) {
    ++i;
  }
  return i < planned;
}

static void
titles_write(const Row *const r, const int n, RlText *const text)
{
  const RlPlan *const plan = r->sheet->plan;
  for (int i = 0; r->version && i < plan->planned_count; ++i) {
    const int chorus = r->version->chorus;
    if (begins_here(r->sheet, &plan->planned[i], n, chorus) && sounds_in(r->sheet, i, chorus) &&
        !named_before(plan, i, n + 1)) {
      title_add(plan, i, "", text);
    }
  }
  if (r->version) {
    pickups_write(r, n, text);
  }
}

static bool
answers(const RlSheet *const sheet, const int n)
{
  return sheet->plan && n >= 0 && rl_plan_answers(sheet->plan, n + 1);
}

/* ---- a row ---- */

static double
strip_top(const Row *const r)
{
  return (r->label[0] ? LABEL_HEIGHT : 0) + RL_CHORDS_HEIGHT +
         (r->degrees ? RL_CHORDS_DEGREE_HEIGHT : 0);
}

static double
row_height(const Row *const r)
{
  const double below = r->version   ? (r->titles ? TITLE_HEIGHT : 0) + RL_BAR_STRIP_HEIGHT
                       : r->answers ? ANSWER_HEIGHT
                                    : 0;
  return strip_top(r) + below;
}

/* The line to the left of bar n; a double one, its second thick, where the form or its ending ends.
 */
static void
bar_line(const RlPaint *const p, const RlForm *const f, const int n, const double x,
         const double from, const double to)
{
  const bool ends = n == f->bars || n == f->bars + f->ending_bars;
  rl_pen_line(p, x - (ends ? 3 : 0), from, x - (ends ? 3 : 0), to, 1);
  if (ends) {
    rl_pen_line(p, x, from, x, to, 2.4);
  }
}

/* Where all titles would be too small to read: the first, and how many more. The list below the
   form names each. */
static void
titles_shorten(const RlPaint *const p, const double width, char *const words, RlText *const text)
{
  static const double most  = 9 / 6.0; /* from nine points down to six */
  const RlStyle       style = {.size = 9, .font = RL_ITALIC};
  int                 more  = 0;
  for (const char *at = words; (at = strstr(at, "; ")); ++at) {
    ++more;
  }
  if (more && rl_write_width(p, style, words) > most * width) {
    const size_t first = rl_slice_until(rl_slice(words), ";");
    char         kept[RL_LABEL_SIZE];
    memcpy(kept, words, first);
    kept[first] = '\0';
    *text       = rl_text_in(words, RL_LABEL_SIZE);
    rl_text_add(text, kept);
    rl_text_add(text, " +");
    rl_text_add_int(text, more);
  }
}

static void
title_draw(const RlPaint *const p, const Row *const r, const int n, RlRect box, const bool sounds)
{
  char   words[RL_LABEL_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  titles_write(r, n, &text);
  rl_rect_cut_right(&box, 3);
  if (answers(r->sheet, n) && sounds) {
    rl_pen_write(p, rl_rect_cut_right(&box, 36), 9, RL_ITALIC, RL_RIGHT, "answer");
    rl_rect_cut_right(&box, 4);
  }
  titles_shorten(p, box.w, words, &text);
  rl_pen_write(p, box, 9, RL_ITALIC, RL_LEFT, words);
}

static void
notes_draw(const RlPaint *const p, const Row *const r, const int n, RlRect cell)
{
  RlBarLayout     notes;
  const RlSongBar bar = rl_song_bar(r->sheet, n);
  rl_bar_layout_make(r->sheet, &bar, r->version->chorus, &notes);
  if (r->titles) {
    RlRect title = rl_rect_cut_top(&cell, TITLE_HEIGHT);
    rl_rect_cut_left(&title, 4);
    title_draw(p, r, n, title, notes.sounds > 0);
  }
  rl_pen_line(p, cell.x, cell.y + RL_BAR_TAB_LINE, cell.x + cell.w, cell.y + RL_BAR_TAB_LINE, 0.8);
  rl_bar_draw(p, &notes, cell);
  if (!notes.sounds && answers(r->sheet, n)) {
    rl_pen_write(p, (RlRect){cell.x, cell.y + RL_BAR_TAB_TOP, cell.w, 11}, 11, RL_ITALIC, RL_MIDDLE,
                 "answer");
  }
}

static void
bar_draw(const RlPaint *const p, const Row *const r, const int n, const RlRect cell)
{
  RlRect rest = cell;
  rl_rect_cut_top(&rest, r->label[0] ? LABEL_HEIGHT : 0);
  RlRect chords =
    rl_rect_cut_top(&rest, RL_CHORDS_HEIGHT + (r->degrees ? RL_CHORDS_DEGREE_HEIGHT : 0));
  rl_chords_draw(p, r->sheet, n, chords);
  if (r->version) {
    notes_draw(p, r, n, rest);
  } else if (answers(r->sheet, n)) {
    rl_pen_write(p, (RlRect){rest.x + 18, rest.y, rest.w - 20, ANSWER_HEIGHT}, 10, RL_ITALIC,
                 RL_LEFT, "answer");
  }
}

static void
row_draw(const RlPaint *const p, const Row *const r, const RlRect box)
{
  const double top  = box.y + strip_top(r) + (r->titles ? TITLE_HEIGHT : 0);
  const double w    = box.w / r->cells;
  const double from = r->version ? top + RL_BAR_TAB_TOP
                                 : box.y + strip_top(r) - RL_CHORDS_HEIGHT + 1 -
                                     (r->degrees ? RL_CHORDS_DEGREE_HEIGHT : 0);
  const double to   = r->version ? top + RL_BAR_TAB_FOOT : box.y + row_height(r) - 1;
  rl_pen_write(p, (RlRect){box.x, box.y, box.w, LABEL_HEIGHT - 2}, 10, RL_BOLD, RL_LEFT, r->label);
  for (int i = 0; i < r->count; ++i) {
    bar_draw(p, r, r->n + i, (RlRect){box.x + i * w, box.y, w, box.h});
    if (i || r->n != r->sheet->form->bars) {
      bar_line(p, r->sheet->form, i ? r->n + i : -1, box.x + i * w, from, to);
    }
  }
  bar_line(p, r->sheet->form, r->n + r->count, box.x + r->count * w, from, to);
}

/* ---- dividing bars into rows ---- */

/* Does a section begin there, or the ending? */
static bool
opens(const RlForm *const f, const int n)
{
  return n <= 0 || n == f->bars || f->bar[n].section != f->bar[n - 1].section;
}

/* Is bar n the first bar of its section, repeated? */
static bool
begins_again(const RlForm *const f, const int n)
{
  int first = n;
  while (!opens(f, first)) {
    --first;
  }
  return first < n && f->bar[n].written == f->bar[first].written;
}

static void
label_write(const RlSheet *const sheet, const int n, const RlSongVersion *const v,
            RlText *const text)
{
  const RlForm *const f     = sheet->form;
  const bool          again = n > 0 && begins_again(f, n);
  if (n < 0) {
    rl_text_add(text, f->lead_in >= -n ? "lead-in" : "before bar 1");
  } else if (f->bar[n].section < f->sections && (opens(f, n) || again)) {
    rl_text_add_slice(text, rl_form_text(f, f->section[f->bar[n].section]));
  }
  if (again) {
    rl_text_add(text, text->used ? ", again" : "again");
  }
  if (v && v->name[0]) {
    rl_text_add(text, text->used ? ", " : "");
    rl_text_add(text, v->name);
  }
}

static Row
row_of(const RlSheet *const sheet, const int n, const int count, const int cells,
       const RlSongVersion *const v)
{
  Row    r     = {.sheet = sheet, .n = n, .count = count, .cells = cells, .version = v};
  RlText label = rl_text_in(r.label, sizeof(r.label));
  label_write(sheet, n, v, &label);
  for (int i = n; i < n + count; ++i) {
    char               words[RL_LABEL_SIZE];
    RlText             text = rl_text_in(words, sizeof(words));
    const RlBar *const bar  = rl_chords_bar(sheet, i);
    titles_write(&r, i, &text);
    r.degrees = r.degrees || (bar && bar->chords > 1);
    r.answers = r.answers || answers(sheet, i);
    r.titles  = r.titles || text.used || (v && answers(sheet, i));
  }
  return r;
}

/* How many of these bars fit into a row of that width in all of their versions: 4, 2 or 1. */
static int
cells_fit(const RlSheet *const sheet, const int n, const int count,
          const RlSongVersion *const versions, const int version_count, const double width)
{
  RlBarLayout notes;
  double      most = 0;
  for (int i = n; i < n + count; ++i) {
    const RlSongBar bar = rl_song_bar(sheet, i);
    most                = fmax(most, chords_shrink * rl_chords_width(sheet, i));
    for (int v = 0; v < version_count; ++v) {
      rl_bar_layout_make(sheet, &bar, versions[v].chorus, &notes);
      most = fmax(most, notes_stretch * rl_bar_layout_width(&notes));
    }
  }
  return most <= width / RL_ROW_BARS ? RL_ROW_BARS : most <= width / 2 ? 2 : 1;
}

static void
row_add(RlFlow *const f, const Row *const r)
{
  RlRect box, gap;
  if (rl_flow_reserve(f, row_height(r), &box)) {
    row_draw(&f->paint, r, box);
  }
  rl_flow_reserve(f, (r->version ? 2 : 4) + 8 * f->spacing, &gap);
}

/* Bars that belong into one row, in as many rows as they need, version by version. */
static void
bars_add(RlFlow *const f, const int n, const int count)
{
  const RlSheet *const sheet = f->sheet;
  RlSongVersion        versions[RL_SONG_VERSIONS_MAX];
  const int            kinds = rl_song_versions(sheet, n, count, versions);
  const int            cells = cells_fit(sheet, n, count, versions, kinds, f->text.w);
  for (int i = 0; i < count; i += cells) {
    const int part  = count - i < cells ? count - i : cells;
    const int shown = cells < count ? rl_song_versions(sheet, n + i, part, versions) : kinds;
    for (int v = 0; v < shown || v == 0; ++v) {
      const Row r = row_of(sheet, n + i, part, cells, shown ? &versions[v] : NULL);
      row_add(f, &r);
    }
  }
}

void
rl_rows_add(RlFlow *const f)
{
  const RlForm *const form = f->sheet->form;
  const int           all  = form->bars + form->ending_bars;
  int                 n    = -rl_song_pickup_bars(f->sheet);
  while (n < all) {
    const int end   = n < 0 ? 0 : all;
    int       count = 1;
    while (count < RL_ROW_BARS && n + count < end && !opens(form, n + count)) {
      ++count;
    }
    bars_add(f, n, count);
    n += count;
  }
}
