/* SPDX-License-Identifier: ISC */
#include "core/capture/grid.h"

#include <math.h>
#include <stddef.h>

/* ---- places ---- */

/* A place on the whole grid, and how likely it is. */
typedef struct {
  RlGridPlace place;
  double      likely;
} Found;

/* rl_grid_on_spot() or rl_grid_off_spot(). */
typedef RlGridSpot (*SpotOf)(const RlDivision *, const RlGridGuess *, double, double);

static Found
find(const RlGridTask *const t, const RlGridGuess *const g, const double time, const SpotOf spot_of)
{
  const double late = g->behind_ms / t->ms_per_quarter;
  int          b    = 0;
  while (b < t->beats && time - late >= t->beat[b].at + t->beat[b].length) {
    ++b;
  }
  const RlGridBeat *const beat   = rl_grid_beat(t, b);
  const RlDivision *const d      = &rl_divisions[t->workspace->division[b]];
  const double            from   = beat->at + (b < t->beats ? 0 : beat->length);
  const double            spread = g->spread_ms / t->ms_per_quarter / beat->length;
  const RlGridSpot        spot =
    spot_of(d, g, b < t->beats ? (time - late - from) / beat->length : 0, spread);
  return (Found){spot.part == d->parts ? (RlGridPlace){(int16_t)(b + 1), 0, 1}
                                       : (RlGridPlace){(int16_t)b, (uint8_t)spot.part, d->parts},
                 spot.likely};
}

static double
place_order(const RlGridPlace p)
{
  return p.beat + (double)p.part / p.parts;
}

/* The place behind `p`, in its beat's own division. */
static RlGridPlace
place_after(const RlGridTask *const t, const RlGridPlace p)
{
  const int parts = rl_divisions[t->workspace->division[p.beat]].parts;
  const int part  = p.part * parts / p.parts + 1;
  return part >= parts ? (RlGridPlace){(int16_t)(p.beat + 1), 0, 1}
                       : (RlGridPlace){p.beat, (uint8_t)part, (uint8_t)parts};
}

/* ---- notes ---- */

static void
beginnings_place(const RlGridTask *const t, const RlGridGuess *const g)
{
  const RlGridWorkspace *const w    = t->workspace;
  RlGridPlace                  last = {-1, 0, 1};
  for (int i = 0; i < t->onsets; ++i) {
    const RlGridPlace on = find(t, g, w->onset[i].on, rl_grid_on_spot).place;
    const bool        crushed =
      i + 1 < t->onsets &&
      place_order(find(t, g, w->onset[i + 1].on, rl_grid_on_spot).place) <= place_order(on);
    for (int n = w->onset[i].first; n < w->onset[i].first + w->onset[i].count; ++n) {
      t->note[n].on      = on;
      t->note[n].crushed = crushed || place_order(on) <= place_order(last);
    }
    last = crushed ? last : on;
  }
}

/* Where a note ends: with the next onset, or on a place of its own before a rest. */
static RlGridPlace
end_of(const RlGridTask *const t, const RlGridGuess *const g, const int onset, const RlGridPlace on,
       const RlGridPlace *const next)
{
  const Found       off   = find(t, g, t->workspace->onset[onset].off, rl_grid_off_spot);
  const bool        after = place_order(off.place) > place_order(on);
  const RlGridPlace alone = after ? off.place : place_after(t, on);
  const bool        joined =
    t->workspace->onset[onset].joined >= off.likely - rl_grid_rest_cost(t, g, onset);
  return next && (joined || place_order(alone) >= place_order(*next)) ? *next : alone;
}

static void
ends_place(const RlGridTask *const t, const RlGridGuess *const g)
{
  const RlGridWorkspace *const w = t->workspace;
  for (int i = 0; i < t->onsets; ++i) {
    int next = i + 1;
    while (next < t->onsets && t->note[w->onset[next].first].crushed) {
      ++next;
    }
    const RlGridNote *const n = &t->note[w->onset[i].first];
    const RlGridPlace       off =
      end_of(t, g, i, n->on, next < t->onsets ? &t->note[w->onset[next].first].on : NULL);
    for (int k = w->onset[i].first; k < w->onset[i].first + w->onset[i].count; ++k) {
      t->note[k].off = off;
    }
  }
}

void
rl_grid_notes_place(const RlGridTask *const t, const RlGridGuess *const g)
{
  beginnings_place(t, g);
  ends_place(t, g);
}

/* ---- feel ---- */

/* How late an onset is, in quarters. */
static double
late_by(const RlGridTask *const t, const RlGridGuess *const g, const int onset)
{
  const RlGridPlace       on = t->note[t->workspace->onset[onset].first].on;
  const RlGridBeat *const b  = rl_grid_beat(t, on.beat);
  const RlDivision *const d  = &rl_divisions[t->workspace->division[on.beat]];
  const double            in =
    on.beat < t->beats ? rl_division_at(d, g->swing, on.part * d->parts / on.parts) : 1;
  return t->workspace->onset[onset].on - b->at - in * b->length;
}

/* From onsets alone: when a finger leaves its key says little about time. */
RlGridFeel
rl_grid_feel(const RlGridTask *const t, const RlGridGuess *const g)
{
  double     late = 0, swing = 0;
  int        counted = 0;
  RlGridFeel feel    = {.spread = g->spread_ms};
  for (int i = 0; i < t->onsets; ++i) {
    if (!t->note[t->workspace->onset[i].first].crushed) {
      late += late_by(t, g, i);
      ++counted;
    }
  }
  late        = counted ? late / counted : 0;
  feel.behind = late * t->ms_per_quarter;
  for (int i = 0; i < t->onsets; ++i) {
    const RlGridNote *const n      = &t->note[t->workspace->onset[i].first];
    const RlGridBeat *const b      = rl_grid_beat(t, n->on.beat);
    const bool              eighth = !n->crushed && n->on.part * 2 == n->on.parts && !b->thirds;
    if (eighth && rl_divisions[t->workspace->division[n->on.beat]].swings) {
      swing += (t->workspace->onset[i].on - late - b->at) / b->length;
      ++feel.off_beats;
    }
  }
  feel.swing = feel.off_beats ? swing / feel.off_beats : 0;
  return feel;
}
