/* SPDX-License-Identifier: ISC */
#include "ui/draw/pieces.h"

#include "ui/draw/chart.h"
#include "ui/draw/corners.h"
#include "ui/draw/fill.h"
#include "ui/draw/hearing.h"
#include "ui/draw/lamp.h"
#include "ui/draw/lane.h"
#include "ui/draw/ring.h"
#include "ui/draw/trainer.h"

#include <assert.h>
#include <limits.h>
#include <math.h>
#include <string.h>

_Static_assert(RL_HOLES *RL_TECHNIQUES + 64 < RL_PIECES_MAX,
               "besides the lamps there is room for wire, corners, lane and the bars in sight");

typedef struct {
  const RlLayout *layout;
  RlPiece        *piece;
  int             count;
} Pieces;

/* FNV-1a: Fowler, Noll, Vo; IETF draft-eastlake-fnv. */
static uint32_t
mix(uint32_t looks, const void *const bytes, const size_t size)
{
  const unsigned char *const at = (const unsigned char *)bytes;
  for (size_t i = 0; i < size; ++i) {
    looks = (looks ^ at[i]) * 16777619U;
  }
  return looks;
}

static uint32_t
mix_int(const uint32_t looks, const int value)
{
  return mix(looks, &value, sizeof(value));
}

static uint32_t
mix_text(const uint32_t looks, const char *const text)
{
  return text ? mix(looks, text, strlen(text)) : looks;
}

static void
piece_add(Pieces *const p, const RlRect at, const uint32_t looks)
{
  const double u = p->layout->unit;
  assert(p->count < RL_PIECES_MAX);
  if (p->count < RL_PIECES_MAX) {
    p->piece[p->count++] =
      (RlPiece){{at.x * u - 2, at.y * u - 2, at.w * u + 4, at.h * u + 4}, looks};
  }
}

/* The lamps. A glow reaches into the cells around it. */
static void
comb_pieces(Pieces *const p, const RlView *const v)
{
  const RlComb comb  = rl_comb_of(v);
  const int    steps = rl_fill_steps(v);
  const int    fade  = v->change.fade >= 1 ? 0 : 1 + (int)(v->change.fade * 8);
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlCell *const c    = &comb.cell[hole - 1][how];
      const RlRect        at   = rl_layout_cell(p->layout, hole, (RlTechnique)how);
      const bool          same = c->now.role == c->before.role && c->now.degree == c->before.degree;
      uint32_t            looks = mix_int(c->shown, c->reached);
      if (!c->shown) {
        continue;
      }
      looks = mix_int(looks, (int)c->now.role * 256 + (int)c->now.degree * 8 + c->now.blue * 4 +
                               (c->now.brightness < 0.5F) * 2 + c->target);
      looks = mix_int(looks, c->comes ? (steps + 1) * 64 + (int)c->next : 0);
      looks = mix_int(looks, same ? 0 : fade);
      looks = mix_int(looks, v->note_names + 2 * c->phrase);
      looks = mix_int(looks, rl_ring_looks(c));
      piece_add(p,
                c->now.brightness > 0.8F || c->before.brightness > 0.8F || rl_ring_looks(c)
                  ? rl_lamp_reach(at)
                  : rl_rect_inset(at, -6),
                looks);
    }
  }
}

static void
wire_pieces(Pieces *const p, const RlView *const v)
{
  enum { LEVELS = 24 };
  for (int i = 0; i < rl_wire_segments(v); ++i) {
    const RlRect at = rl_wire_at(v, p->layout, i);
    bool         sounds;
    const double level = rl_wire_level(v, i, &sounds);
    const int    past  = i < rl_view_felt(v);
    piece_add(p, rl_rect_inset(at, -2.2 * at.h),
              mix_int(mix_int(77, past * 2 + sounds), (int)(level * LEVELS)));
  }
}

static void
corner_pieces(Pieces *const p, const RlView *const v)
{
  const RlPlaceReport *const t = &v->report;
  char                       number[RL_WORDS_SIZE], words[RL_WORDS_SIZE];
  RlText                     count = rl_text_in(number, sizeof(number));
  RlText                     unit  = rl_text_in(words, sizeof(words));
  uint32_t                   now   = mix_text(mix_text(5, t->now), t->now_degree);
  rl_countdown(v, &count, &unit);
  now = mix_int(mix_int(mix_int(now, t->chorus), t->bar), (int)t->part);
  now = mix_int(mix_int(now, rl_wire_segments(v)), t->bars);
  now = mix_int(now, t->now[0] ? 0 : (int)rl_view_felt(v));
  now = mix_int(mix_int(now, (int)v->port[RL_PORT_CLOCK]), (int)v->hearing.state);
  now = mix_int(now, t->lit + 2 * t->rolling + 4 * v->silent);
  piece_add(p, rl_rect_inset(p->layout->now, -4), now);
  uint32_t next = mix_text(mix_text(6, t->next), t->next_degree);
  next          = mix_text(mix_int(next, rl_fill_steps(v)), t->next[0] ? number : "");
  next          = mix(next, &t->target, sizeof(t->target));
  piece_add(p, rl_rect_inset(p->layout->next, -6), mix_int(next, rl_view_placed(v)));
}

static void
chart_pieces(Pieces *const p, const RlView *const v)
{
  const RlLayout *const l        = p->layout;
  const int             now      = rl_view_index(v);
  const int             sounding = rl_draw_sounding_chord(v);
  for (int i = l->row_bar[l->first_row]; i < l->row_bar[l->row_count]; ++i) {
    const RlRect bar = rl_layout_bar(l, i);
    if (bar.w == 0) {
      break;
    }
    piece_add(p, rl_rect_inset(bar, -6), mix_int(mix_int(11, i == now), i == now ? sounding : 0));
  }
}

/* The frame of the next chord's bar. */
static void
hint_pieces(Pieces *const p, const RlView *const v)
{
  const RlLayout *const l    = p->layout;
  const int             next = rl_view_next_bar(v);
  const RlRect bar = next >= 0 && l->rows.w > 0 ? rl_layout_bar(l, next) : (RlRect){0, 0, 0, 0};
  piece_add(p, bar.w > 0 ? rl_rect_inset(bar, -6) : bar,
            mix_int(mix_int(12, next), rl_fill_steps(v)));
}

/* Each bar of the lane; the light moves along the one that plays. */
static void
lane_pieces(Pieces *const p, const RlView *const v)
{
  const RlRect all = p->layout->lane;
  RlLaneBar    bars[RL_LANE_BARS_MAX];
  double       now = 0;
  const int    n   = rl_lane_in_sight(v, p->layout->lane_bars, bars, &now);
  const double w   = all.w / fmax(1, p->layout->lane_bars);
  for (int i = 0; i < p->layout->lane_bars; ++i) {
    uint32_t looks = mix_int(mix_int(21, v->lane_version), i < n);
    if (i < n) {
      looks = mix_int(mix_int(looks, (int)(bars[i].from / RL_TICKS * 8)), bars[i].place.bar);
      const double light = (now - bars[i].from) / (bars[i].to - bars[i].from); /* or nowhere */
      looks              = mix_int(looks, i ? 0 : (int)(fmax(light, -1) * w));
      looks              = mix_int(looks, rl_view_listens(v) + 2 * v->hits.count);
    }
    piece_add(p, rl_rect_inset((RlRect){all.x + i * w, all.y, w, all.h}, -6), looks);
  }
}

static void
hearing_piece(Pieces *const p, const RlView *const v)
{
  char words[RL_HEARING_WORDS_SIZE];
  if (p->layout->hearing.w > 0) {
    rl_hearing_words(v, words);
    piece_add(p, p->layout->hearing, mix_text(23, words));
  }
}

/* The record button counts notes. */
static void
capture_piece(Pieces *const p, const RlView *const v)
{
  for (int i = 0; i < p->layout->spots; ++i) {
    if (p->layout->spot[i].action.kind == RL_ACTION_CAPTURE) {
      piece_add(p, rl_rect_inset(p->layout->spot[i].at, -3), mix_int(22, v->report.taking));
    }
  }
}

/* What plays a phrase says whether it can, and stops what sounds; so does the foot. */
static void
listen_pieces(Pieces *const p, const RlView *const v)
{
  const int looks = v->report.rolling + 2 * v->report.sounds;
  for (int i = 0; i < p->layout->spots; ++i) {
    const RlActionKind kind = p->layout->spot[i].action.kind;
    if (kind >= RL_ACTION_HEAR && kind <= RL_ACTION_HEAR_WAY) {
      piece_add(p, rl_rect_inset(p->layout->spot[i].at, -3), mix_int(33, looks));
    }
  }
  if (v->screen == RL_SCREEN_PHRASES) {
    piece_add(p, p->layout->problem, mix_int(34, v->report.rolling));
  }
}

/* The gauge, the words and what sounds move; the rest changes when a try ends. */
static void
trainer_pieces(Pieces *const p, const RlView *const v)
{
  const RlLayout *const l   = p->layout;
  const RlTry *const    one = rl_trainer_try(v);
  char                  lines[RL_TRAINER_LINES][RL_TRAINER_LINE_SIZE];
  uint32_t              words  = 31;
  uint32_t              needle = mix_int(32, v->trainer.sounds ? rl_trainer_needle(v) : INT_MAX);
  rl_trainer_words(v, lines);
  for (int i = 0; i < RL_TRAINER_LINES; ++i) {
    words = mix_text(mix_int(words, i), lines[i]);
  }
  needle =
    one ? mix(mix(needle, &one->points, sizeof(one->points)), &one->seconds, sizeof(one->seconds))
        : needle;
  piece_add(p, rl_rect_inset(l->gauge, -4), needle);
  piece_add(p, l->tried, words);
  for (int i = 0; i < l->spots; ++i) {
    const RlAction action = l->spot[i].action;
    if (action.kind == RL_ACTION_AIM) {
      piece_add(p, rl_rect_inset(l->spot[i].at, -4), rl_view_sounds(v, action.value));
    }
  }
}

int
rl_draw_pieces(const RlView *const v, const RlLayout *const l, RlPiece pieces[RL_PIECES_MAX])
{
  Pieces     p    = {l, pieces, 0};
  const bool comb = v->screen == RL_SCREEN_PLAY || v->screen == RL_SCREEN_STAGE;
  if (comb) {
    comb_pieces(&p, v);
    wire_pieces(&p, v);
    corner_pieces(&p, v);
    lane_pieces(&p, v);
  }
  if (v->screen == RL_SCREEN_PLAY && v->form && l->rows.w > 0) {
    chart_pieces(&p, v);
    hint_pieces(&p, v);
  }
  if (v->screen == RL_SCREEN_TRAINER) {
    trainer_pieces(&p, v);
  }
  hearing_piece(&p, v);
  capture_piece(&p, v);
  listen_pieces(&p, v);
  return p.count;
}
