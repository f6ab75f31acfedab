/* SPDX-License-Identifier: ISC */
#include "ui/paper/combs.h"

#include "core/harmony/lamps.h"
#include "ui/layout/comb_extent.h"
#include "ui/layout/layout.h"
#include "ui/model/music_signs.h"
#include "ui/paper/labels.h"
#include "ui/paper/pen.h"

#include <math.h>

enum { COLUMNS = 3, GUTTER = 14, HEAD_HEIGHT = 19, RAIL_HEIGHT = 12, ITEM_HEIGHT = 12 };

static const double glass_height = 10.8; /* points, as all lengths here */

_Static_assert(RL_BARS_MAX % 32 == 0, "bars are bits of uint32_t words");

/* A chord of the form, and the set of bars (from 0) in which it sounds. */
typedef struct {
  RlChord  chord;
  uint32_t bars[RL_BARS_MAX / 32];
} Kind;

typedef struct {
  const RlSheet *sheet;
  RlHarp         harp;
  int            above, below; /* rows of notes over and under the rail */
  double         pitch;        /* of rows, points */
} Comb;

/* ---- how a note looks ---- */

typedef enum { LOOK_OFF, LOOK_PASS, LOOK_SAFE, LOOK_CHORD, LOOK_ROOT, LOOK_GUIDE } Look;

static const struct {
  double size, ring; /* of the figure; of the line round it, 0: none */
  RlFont cut;
  bool   black;
} looks[] = {
  [LOOK_OFF] = {0, 0, RL_PLAIN, false},   [LOOK_PASS] = {7.5, 0, RL_PLAIN, false},
  [LOOK_SAFE] = {8.5, 0, RL_BOLD, false}, [LOOK_CHORD] = {8, 0.8, RL_BOLD, false},
  [LOOK_ROOT] = {8, 2, RL_BOLD, false},   [LOOK_GUIDE] = {8, 0, RL_BOLD, true},
};

static Look
look_of(const RlWorth w)
{
  static const Look of_role[RL_ROLES] = {
    [RL_ROLE_PASS] = LOOK_PASS,   [RL_ROLE_SAFE] = LOOK_SAFE,     [RL_ROLE_BLUE] = LOOK_SAFE,
    [RL_ROLE_CHORD] = LOOK_CHORD, [RL_ROLE_FIFTH] = LOOK_CHORD,   [RL_ROLE_ROOT] = LOOK_ROOT,
    [RL_ROLE_THIRD] = LOOK_GUIDE, [RL_ROLE_SEVENTH] = LOOK_GUIDE,
  };
  return w.role == RL_ROLE_BLUE && w.brightness < 0.5F ? LOOK_PASS : of_role[w.role];
}

static void
drop_draw(const RlPaint *const p, const RlRect cell)
{
  const double x = cell.x + cell.w - 2.4;
  const double y = cell.y + cell.h - 2.2;
  rl_pen_dot(p, x, y, 2.9, RL_INK_PAPER);
  rl_pen_dot(p, x, y, 2.1, RL_INK_PRINT);
}

static void
note_draw(const RlPaint *const p, const RlRect cell, const Look look, const bool blue,
          const char *const words)
{
  const double side  = blue ? 2.5 : 0;
  const RlRect glass = {cell.x + 0.8, cell.y + (cell.h - glass_height) / 2, cell.w - 1.6 - side,
                        glass_height};
  if (look == LOOK_OFF) {
    return;
  }
  if (looks[look].black) {
    rl_fill_box(p, glass, 2.5, RL_INK_PRINT);
  } else if (looks[look].ring > 0) {
    rl_edge_box(p, glass, 2.5, looks[look].ring, RL_INK_PRINT);
  }
  if (blue) {
    drop_draw(p, cell);
  }
  const bool   bare     = !looks[look].black && looks[look].ring <= 0;
  const RlRect free_box = {cell.x, cell.y, cell.w - side - 0.5, cell.h};
  rl_write(p, bare ? free_box : rl_rect_inset(glass, looks[look].ring > 1 ? 2 : 0.8),
           (RlStyle){looks[look].size, looks[look].cut,
                     looks[look].black ? RL_INK_PAPER : RL_INK_PRINT, RL_MIDDLE},
           words);
}

/* ---- a comb ---- */

static bool
shown(const Comb *const c, const int hole, const RlTechnique how)
{
  return rl_comb_shows(&c->harp, c->sheet->player, hole, how) &&
         rl_player_can(c->sheet->player, how);
}

static RlShow
show_of(const Comb *const c)
{
  return c->sheet->show ? c->sheet->show : RL_SHOW_ALL;
}

static Comb
comb_of(const RlSheet *const sheet, const double spacing)
{
  Comb c = {.sheet = sheet, .harp = rl_harp_make(sheet->harp), .pitch = 11.4 + 1.1 * spacing};
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlTechnique how  = (RlTechnique)(i % RL_TECHNIQUES);
    int *const        side = rl_technique_draws(how) ? &c.below : &c.above;
    const int         rows = rl_comb_level(how) + 1;
    if (shown(&c, i / RL_TECHNIQUES + 1, how) && rows > *side) {
      *side = rows;
    }
  }
  return c;
}

static double
comb_height(const Comb *const c)
{
  return HEAD_HEIGHT + (c->above + c->below) * c->pitch + RAIL_HEIGHT + 2;
}

static bool
sounds_in(const Kind *const k, const int bar)
{
  return bar < RL_BARS_MAX && (k->bars[bar / 32] >> (bar % 32) & 1U);
}

static int
bars_count(const Kind *const k)
{
  int count = 0;
  for (int i = 0; i < RL_BARS_MAX; ++i) {
    count += sounds_in(k, i);
  }
  return count;
}

/* `bars 1 3 7-9`. */
static void
bars_write(const Kind *const k, RlText *const text)
{
  rl_text_add(text, bars_count(k) == 1 ? "bar" : "bars");
  for (int i = 0; i < RL_BARS_MAX; ++i) {
    int end = i;
    while (sounds_in(k, i) && sounds_in(k, end + 1)) {
      ++end;
    }
    if (sounds_in(k, i)) {
      rl_text_add(text, " ");
      rl_text_add_int(text, i + 1);
    }
    if (end > i) {
      rl_text_add(text, end > i + 1 ? "-" : " ");
      rl_text_add_int(text, end + 1);
      i = end;
    }
  }
}

/* In which bars it sounds; only in how many, where the list would be too small to read. */
static void
bars_draw(const RlPaint *const p, const Kind *const k, const RlRect box)
{
  static const double squeeze = 1.35; /* a line may be shrunk by that much */
  const RlStyle       style   = {8.5, RL_PLAIN, RL_INK_PRINT, RL_RIGHT};
  char                words[5 * RL_BARS_MAX];
  RlText              text = rl_text_in(words, sizeof(words));
  bars_write(k, &text);
  if (rl_write_width(p, style, words) > squeeze * box.w) {
    text = rl_text_in(words, sizeof(words));
    rl_text_add(&text, "in ");
    rl_text_add_int(&text, bars_count(k));
    rl_text_add(&text, " bars");
  }
  rl_write(p, box, style, words);
}

static void
comb_head(const RlPaint *const p, const Comb *const c, const Kind *const k, RlRect box)
{
  char          words[RL_LABEL_SIZE];
  const RlStyle loud = {13.5, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  RlText        text = rl_text_in(words, sizeof(words));
  rl_label_chord(c->sheet, k->chord, false, &text);
  rl_write(p, rl_rect_cut_left(&box, fmin(rl_write_width(p, loud, words) + 1, box.w / 2)), loud,
           words);
  rl_rect_cut_left(&box, 4);
  const RlStyle quiet = {9, RL_PLAIN, RL_INK_PRINT, RL_LEFT};
  text                = rl_text_in(words, sizeof(words));
  if (rl_harmony_of(k->chord, c->sheet->key).sounding) {
    rl_label_chord(c->sheet, k->chord, true, &text);
  } else {
    rl_text_add(&text, "against the key");
  }
  rl_write(p, rl_rect_cut_left(&box, fmin(rl_write_width(p, quiet, words) + 1, box.w / 2)), quiet,
           words);
  rl_rect_cut_left(&box, 6);
  bars_draw(p, k, box);
}

/* Lamps follow the chord and not its bass. */
static bool
same_lamps(const RlChord a, const RlChord b)
{
  return rl_chord_same(rl_chord_without_bass(a), rl_chord_without_bass(b));
}

/* Is it where to land on that chord, wherever in the form that comes? */
static bool
target(const Comb *const c, const RlChord chord, const int hole, const RlTechnique how)
{
  const RlForm *const f     = c->sheet->form;
  bool                lands = false;
  for (int i = 0; c->sheet->line && i < f->changes + f->ending_changes; ++i) {
    const RlTarget at = c->sheet->line->target[i];
    lands =
      lands || (at.hole == hole && at.technique == how && same_lamps(rl_form_chord(f, i), chord));
  }
  return lands;
}

static void
comb_draw(const RlPaint *const p, const Comb *const c, const Kind *const k, RlRect box)
{
  const RlHarmony now = rl_harmony_of(k->chord, c->sheet->key);
  comb_head(p, c, k, rl_rect_cut_top(&box, HEAD_HEIGHT - 3));
  const double w    = box.w / RL_HOLES;
  const double rail = box.y + 3 + c->above * c->pitch;
  rl_edge_box(p, (RlRect){box.x, rail, box.w, RAIL_HEIGHT}, 1.5, 0.8, RL_INK_PRINT);
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const int         hole = i / RL_TECHNIQUES + 1;
    const RlTechnique how  = (RlTechnique)(i % RL_TECHNIQUES);
    const double      out  = rl_comb_level(how);
    const RlRect      cell = {box.x + (hole - 1) * w,
                         rl_technique_draws(how) ? rail + RAIL_HEIGHT + out * c->pitch + 1
                                                      : rail - (out + 1) * c->pitch - 1,
                              w, c->pitch};
    char              words[RL_LABEL_SIZE];
    RlText            text = rl_text_in(words, sizeof(words));
    if (how == RL_BLOW) {
      rl_text_add_int(&text, hole);
      rl_pen_write(p, (RlRect){cell.x, rail, w, RAIL_HEIGHT}, 8.5, RL_PLAIN, RL_MIDDLE, words);
    }
    if (shown(c, hole, how)) {
      const RlWorth worth =
        rl_worth_shown(rl_worth_of(c->harp.note[hole - 1][how], &now, c->sheet->key), show_of(c),
                       target(c, k->chord, hole, how));
      text = rl_text_in(words, sizeof(words));
      rl_music_signs(worth.degree < RL_DEGREES ? rl_degree_name(worth.degree) : "", &text);
      note_draw(p, cell, look_of(worth), worth.blue && worth.role != RL_ROLE_OFF, words);
    }
  }
}

/* ---- how to read them ---- */

static const struct {
  RlShow      from; /* there from that level on */
  Look        look;
  bool        blue;
  const char *degree, *words;
} items[] = {
  {RL_SHOW_TARGETS, LOOK_GUIDE, false, "3", "third, seventh: they name the chord"},
  {RL_SHOW_TARGETS, LOOK_ROOT, false, "R", "root: home"},
  {RL_SHOW_TARGETS, LOOK_CHORD, false, "5", "fifth, other chord tones"},
  {RL_SHOW_SAFE, LOOK_SAFE, false, "9", "safe to hold"},
  {RL_SHOW_SAFE, LOOK_SAFE, true,
   "\xE2\x99\xAD"
   "3",
   "drop: a blue note"},
  {RL_SHOW_ALL, LOOK_PASS, false, "11", "small: pass through, do not hold"},
};
enum { ITEMS = sizeof(items) / sizeof(*items) };

/* Names the rows above and below the holes. */
static void
rows_write(const Comb *const c, RlText *const text)
{
  const RlPlayer m = c->sheet->player;
  rl_text_add(text, "Above the holes: blow");
  rl_text_add(text, m.overblows && m.blow_bends ? ", then blow bends, overblows"
                    : m.overblows               ? ", then overblows"
                    : c->above > 1              ? ", then blow bends"
                                                : "");
  rl_text_add(text, ". Below: draw");
  rl_text_add(text, m.overblows && m.draw_bends ? ", then draw bends, overdraws."
                    : m.overblows               ? ", then overdraws."
                    : c->below > 1              ? ", then draw bends."
                                                : ".");
}

enum { LEGEND_HEIGHT = HEAD_HEIGHT + ITEMS * ITEM_HEIGHT + 2 * 10 + 2 };

static void
legend_draw(const RlPaint *const p, const Comb *const c, RlRect box)
{
  char   words[RL_LABEL_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_pen_write(p, rl_rect_cut_top(&box, HEAD_HEIGHT - 3), 11.5, RL_BOLD, RL_LEFT,
               show_of(c) == RL_SHOW_TARGETS ? "Where to land on each chord"
                                             : "What to play over each chord");
  for (int i = 0; i < ITEMS && items[i].from <= show_of(c); ++i) {
    RlRect line = rl_rect_cut_top(&box, ITEM_HEIGHT);
    note_draw(p, rl_rect_inset(rl_rect_cut_left(&line, box.w / RL_HOLES), 0), items[i].look,
              items[i].blue, items[i].degree);
    rl_rect_cut_left(&line, 6);
    rl_pen_write(p, line, 8.5, RL_PLAIN, RL_LEFT, items[i].words);
  }
  rl_rect_cut_top(&box, 2);
  rows_write(c, &text);
  rl_write_lines(p, box, (RlStyle){7.5, RL_PLAIN, RL_INK_PRINT, RL_LEFT}, words, 2);
}

/* ---- all of them ---- */

/* Has a chord with the same lamps come before in the form? */
static bool
chord_before(const RlForm *const f, const int index)
{
  int i = 0;
  while (i < index && !same_lamps(f->chord[i].chord, f->chord[index].chord)) {
    ++i;
  }
  return i < index;
}

/* The chord at that index, and the bars it sounds in. */
static Kind
kind_of(const RlForm *const f, const int index)
{
  Kind k = {.chord = rl_chord_without_bass(f->chord[index].chord)};
  for (int bar = 0; bar < f->bars + f->ending_bars; ++bar) {
    for (int i = 0; i < f->bar[bar].chords; ++i) {
      if (same_lamps(f->chord[f->bar[bar].first_chord + i].chord, k.chord)) {
        k.bars[bar / 32] |= 1U << (bar % 32);
      }
    }
  }
  return k;
}

static int
kinds_count(const RlForm *const f)
{
  int count = 0;
  for (int i = 0; i < f->chords; ++i) {
    count += !chord_before(f, i);
  }
  return count;
}

typedef struct {
  RlRect row;
  bool   drawn;        /* is the row on the page that is drawn? */
  int    cell, last;   /* the next one, and the legend's */
  double high, legend; /* heights of a comb and of the legend, points */
} Grid;

/* The next cell of the grid; a new row where one is full. True if it is to be drawn. */
static bool
grid_next(RlFlow *const f, Grid *const g, RlRect *const box)
{
  RlRect       gap;
  const double w = (f->text.w - (COLUMNS - 1) * GUTTER) / COLUMNS;
  if (g->cell % COLUMNS == 0) {
    const bool with_legend = g->last - g->cell < COLUMNS;
    rl_flow_reserve(f, 4 + 4 * f->spacing, &gap);
    g->drawn = rl_flow_reserve(f, with_legend ? fmax(g->high, g->legend) : g->high, &g->row);
  }
  *box = (RlRect){g->row.x + g->cell++ % COLUMNS * (w + GUTTER), g->row.y, w, g->row.h};
  return g->drawn;
}

void
rl_combs_add(RlFlow *const f)
{
  const RlForm *const form = f->sheet->form;
  const Comb          c    = comb_of(f->sheet, f->spacing);
  Grid   g = {.last = kinds_count(form), .high = comb_height(&c), .legend = LEGEND_HEIGHT};
  RlRect box;
  for (int i = 0; i < form->chords; ++i) {
    if (!chord_before(form, i) && grid_next(f, &g, &box)) {
      const Kind k = kind_of(form, i);
      comb_draw(&f->paint, &c, &k, box);
    }
  }
  if (grid_next(f, &g, &box)) {
    legend_draw(&f->paint, &c, box);
  }
}
