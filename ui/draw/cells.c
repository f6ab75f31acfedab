/* SPDX-License-Identifier: ISC */
#include "ui/draw/cells.h"

#include "ui/draw/lane.h"
#include "ui/layout/comb_extent.h"

#include <math.h>

/* A chord by its degree, as the plugin reports it; `sounding` is false where there is none. */
static RlHarmony
harmony_of(const char *const degree, const RlKey key)
{
  RlChord chord;
  return *degree && rl_chord_read(rl_slice(degree), &chord) == RL_CHORD_OK
           ? rl_harmony_of(rl_chord_in_key(chord, key), key)
           : (RlHarmony){.sounding = false};
}

static bool
is_tone(const RlWorth worth)
{
  return worth.role >= RL_ROLE_CHORD;
}

/* Marks the lamps of the notes that begin in this bar and the next. */
static void
phrase_mark(const RlView *const v, RlComb *const comb)
{
  RlLaneBar bars[2];
  double    now   = 0;
  const int count = rl_view_placed(v) ? rl_lane_in_sight(v, 2, bars, &now) : 0;
  for (int b = count - 1; b >= 0; --b) {
    RlLaneOnset n = rl_lane_first(v->lane, v->form, bars[b].from);
    for (; n.index >= 0 && n.at < bars[b].to; n = rl_lane_next(v->lane, v->form, n)) {
      const RlLaneNote *const note   = &v->lane->note[n.index];
      const bool              sounds = n.at <= now && now < n.at + n.lasts && v->report.rolling;
      uint8_t *const          mark   = &comb->cell[note->tab.hole - 1][note->tab.technique].phrase;
      const uint8_t           here   = sounds ? RL_MARK_SOUNDS : b ? RL_MARK_SOON : RL_MARK_NOW;
      *mark                          = here > *mark ? here : *mark;
    }
  }
}

static bool
is_at(const RlTarget target, const int hole, const int how)
{
  return target.hole == hole && target.technique == how;
}

static RlWorth
worth_of(const RlView *const v, const int note, const RlHarmony *const over, const bool target)
{
  return rl_worth_shown(rl_worth_of(note, over, rl_view_key(v)), rl_view_show(v), target);
}

/* Marks the lamps of what the player plays. A bend that only passes by has no needle. */
static void
heard_mark(const RlView *const v, RlComb *const comb)
{
  static const double passing = 0.12; /* seconds */
  for (int i = 0; i < v->played.count && !v->silent; ++i) {
    const RlPlayedSound *const n = &v->played.note[i];
    double                     cents;
    const RlTechnique          how  = rl_view_heard_as(v, n, &cents);
    RlCell *const              cell = &comb->cell[n->hole - 1][how];
    cell->heard                     = true;
    cell->held                      = how > RL_DRAW && v->played.count == 1 &&
                 (v->played.heard_at - v->played.since >= passing || how != n->technique);
    cell->off = (int)lround(cents);
  }
  if (v->hits.lands) {
    comb->cell[v->hits.landed.hole - 1][v->hits.landed.technique].landed = true;
  }
}

RlComb
rl_comb_of(const RlView *const v)
{
  RlComb          comb   = {.key = rl_view_key(v)};
  const RlHarp    harp   = rl_harp_make(rl_view_harp(v));
  const RlPlayer  player = rl_view_player(v);
  const RlHarmony now    = harmony_of(v->report.now_degree, comb.key);
  const RlHarmony next   = harmony_of(v->report.next_degree, comb.key);
  const RlHarmony before = harmony_of(v->change.before, comb.key);
  const bool      lit    = v->report.lit && rl_view_placed(v) && v->report.now_degree[0];
  phrase_mark(v, &comb);
  heard_mark(v, &comb);
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlTechnique technique = (RlTechnique)how;
      const uint8_t     note      = harp.note[hole - 1][how];
      RlCell *const     cell      = &comb.cell[hole - 1][how];
      const RlWorth     coming    = rl_worth_of(note, &next, comb.key);
      cell->shown                 = rl_comb_shows(&harp, player, hole, technique);
      cell->reached               = rl_player_can(player, technique);
      cell->note                  = note;
      cell->now = lit ? worth_of(v, note, &now, is_at(v->report.landed, hole, how)) : rl_worth_out;
      cell->before = lit && v->change.before[0] ? worth_of(v, note, &before, false) : rl_worth_out;
      cell->target = v->report.lit && is_at(v->report.target, hole, how);
      cell->comes  = v->report.lit && next.sounding && is_tone(coming) && cell->reached &&
                    rl_worth_shown(coming, rl_view_show(v), cell->target).role != RL_ROLE_OFF;
      cell->next = coming.degree;
    }
  }
  return comb;
}
