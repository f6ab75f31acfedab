/* SPDX-License-Identifier: ISC */
#include "ui/draw/comb.h"

#include "ui/draw/lamp.h"
#include "ui/draw/ring.h"
#include "ui/layout/comb_extent.h"

#include <math.h>

/* A tooth is as long as the notes reach that the player can play. */
static void
tooth_draw(const RlScene *const s, const RlComb *const comb, const int hole)
{
  const RlLayout *const l    = s->layout;
  RlRect                b    = rl_layout_cell(l, hole, RL_BLOW);
  double                end  = rl_layout_cell(l, hole, RL_DRAW).y + l->pitch_y;
  double                from = b.y;
  for (int how = 0; how < RL_TECHNIQUES; ++how) {
    const RlCell *const c = &comb->cell[hole - 1][how];
    if (c->shown && c->reached) {
      const RlRect at = rl_layout_cell(l, hole, (RlTechnique)how);
      from            = fmin(from, at.y);
      end             = fmax(end, at.y + at.h);
    }
  }
  b.x += 2;
  b.w -= 4;
  b.y = from;
  b.h = end - from;
  rl_fill_box(&s->paint, b, l->pitch_x * 0.24, RL_INK_TOOTH);
}

static void
rail_draw(const RlScene *const s)
{
  const RlLayout *const l    = s->layout;
  const double          over = fmin(6, l->pitch_x / 12);
  const RlRect rail = {l->comb_x - over, l->rail_y, RL_HOLES * l->pitch_x + 2 * over, l->rail_h};
  rl_fill_box(&s->paint, rail, fmin(12, l->rail_h / 4), RL_INK_RAIL);
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    char         number[8];
    RlText       text = rl_text_in(number, sizeof(number));
    const RlRect box  = {l->comb_x + (hole - 1) * l->pitch_x, l->rail_y, l->pitch_x, l->rail_h};
    rl_text_add_int(&text, hole);
    rl_write(&s->paint, box, (RlStyle){l->hole, RL_BOLD, RL_INK_TEXT, RL_MIDDLE}, number);
  }
}

static bool
apart(const RlRect a, const RlRect b)
{
  return a.x >= b.x + b.w || b.x >= a.x + a.w || a.y >= b.y + b.h || b.y >= a.y + a.h;
}

/* Does a hole have a lamp in the row of that technique? `hole` may be 0: no. */
static bool
has_lamp(const RlComb *const comb, const int hole, const RlTechnique row)
{
  bool any = false;
  for (int how = 0; hole >= 1 && how < RL_TECHNIQUES; ++how) {
    const RlTechnique t = (RlTechnique)how;
    any =
      any || (comb->cell[hole - 1][how].shown && rl_technique_draws(t) == rl_technique_draws(row) &&
              rl_comb_level(t) == rl_comb_level(row));
  }
  return any;
}

/* The word of a row stands left of its first lamp: in the gutter; or, for blow bends, which begin
   further right, beside them. It is left out where it would be too small to read. */
static void
row_word(const RlScene *const s, const RlComb *const comb, const RlTechnique technique)
{
  static const char *const words[RL_TECHNIQUES] = {
    [RL_BLOW] = "blow",        [RL_DRAW] = "draw",      [RL_BLOW_1] = "bend ½",
    [RL_BLOW_2] = "bend 1",    [RL_BLOW_3] = "bend 1½", [RL_DRAW_1] = "bend ½",
    [RL_DRAW_2] = "bend 1",    [RL_DRAW_3] = "bend 1½", [RL_OVERBLOW] = "overblow",
    [RL_OVERDRAW] = "overdraw"};
  const RlLayout *const l     = s->layout;
  const RlStyle         style = {l->label, RL_PLAIN, RL_INK_QUIET, RL_RIGHT};
  int                   hole  = 1;
  while (hole <= RL_HOLES && !comb->cell[hole - 1][technique].shown) {
    ++hole;
  }
  if (hole > RL_HOLES) {
    return;
  }
  const RlRect at       = rl_layout_cell(l, hole, technique);
  const bool   far      = technique >= RL_BLOW_1 && technique <= RL_BLOW_3 && hole > 1;
  const RlRect gutter   = {2, at.y, l->comb_x - 2 - fmin(8, l->gutter / 10), at.h};
  const RlRect beside   = {at.x - l->pitch_x, at.y, l->pitch_x - 4, at.h};
  const RlRect under    = {gutter.x, at.y + at.h * 0.62, gutter.w, at.h * 0.3};
  const bool   overdraw = technique == RL_OVERDRAW; /* its row has bends too */
  const RlRect box      = overdraw ? under : far ? beside : gutter;
  if (rl_write_width(&s->paint, style, words[technique]) <= box.w &&
      (!overdraw || box.h > l->label) &&
      (!far || (apart(box, l->now) && !has_lamp(comb, hole - 1, technique)))) {
    rl_write(&s->paint, box, style, words[technique]);
  }
}

/* They lie over all lamps. */
static void
rings_draw(const RlScene *const s, const RlComb *const comb)
{
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const int           hole = i / RL_TECHNIQUES + 1;
    const RlTechnique   how  = (RlTechnique)(i % RL_TECHNIQUES);
    const RlCell *const cell = &comb->cell[hole - 1][how];
    const RlRect        at   = rl_layout_cell(s->layout, hole, how);
    if (cell->shown && rl_ring_looks(cell) && rl_paint_wants(&s->paint, rl_lamp_reach(at))) {
      rl_ring_draw(s, at, cell);
    }
  }
}

void
rl_draw_comb(const RlScene *const s)
{
  const RlComb comb = rl_comb_of(s->view);
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    tooth_draw(s, &comb, hole);
  }
  rail_draw(s);
  for (int how = 0; how < RL_TECHNIQUES; ++how) {
    row_word(s, &comb, (RlTechnique)how);
  }
  for (int pass = 0; pass < 2; ++pass) { /* the glows lie under all lamps */
    for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
      const int           hole = i / RL_TECHNIQUES + 1;
      const RlTechnique   how  = (RlTechnique)(i % RL_TECHNIQUES);
      const RlCell *const cell = &comb.cell[hole - 1][how];
      const RlRect        at   = rl_layout_cell(s->layout, hole, how);
      if (cell->shown && rl_paint_wants(&s->paint, rl_lamp_reach(at))) {
        (pass ? rl_lamp_draw : rl_lamp_draw_glow)(s, at, cell);
      }
    }
  }
  rings_draw(s, &comb);
}
