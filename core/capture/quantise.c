/* SPDX-License-Identifier: ISC */
#include "core/capture/quantise.h"

#include "core/capture/division.h"

#include <math.h>
#include <string.h>

/* ---- what is likely: logarithms of how much less than the likeliest, common practice, no source
 * ---- */

static const double crowded       = 12; /* two notes on one place */
static const double crowded_crush = 5;  /* the first of them a crushed one */
static const double uneven =
  0.2; /* quarters: of notes at once that end further apart the longest counts */
static const double crush_ms        = 80;
static const double rest            = 1; /* that a rest follows */
static const double rest_loose      = 1; /* and if notes are let go early in general */
static const double short_rest      = 2; /* then also for one of less than .3 of a beat */
static const double short_rest_most = 0.3;
static const double loose           = 0.03; /* beats */
static const double swing_at_all    = 3;
static const double stray           = 10; /* no note costs more than this by where it stands */
static const double behind_usual_ms = 5, behind_spread_ms = 20;

/* ---- what is tried ---- */

static const double spreads_ms[] = {5, 8, 12, 16, 22, 30, 40};
static const double gaps[]       = {0.012, 0.05, 0.12}; /* mean, in beats, before the next note */

enum {
  SPREADS = sizeof(spreads_ms) / sizeof(spreads_ms[0]),
  GAPS    = sizeof(gaps) / sizeof(gaps[0])
};

/* One guess at how it was played. */
typedef struct {
  double swing, behind_ms, spread_ms, gap;
} Guess;

typedef struct {
  RlGridNote       *note;
  int               notes, hits, seen, beats;
  const RlGridBeat *beat;
  double            ms_per_quarter;
  RlGridWorkspace  *room;
} Work;

/* ---- notes at once ---- */

/* Do two notes begin together? Near each other, and most of the shorter is played along with the
 * other. */
static bool
together(const Work *const w, const RlGridNote *const a, const RlGridNote *const b)
{
  enum { NEAR_MS = 70 };
  const double near  = fmin(NEAR_MS / w->ms_per_quarter, 0.14);
  const double both  = fmin(a->ends, b->ends) - b->at;
  const double least = fmin(a->ends - a->at, b->ends - b->at);
  return b->at - a->at < near && both > 0.6 * least;
}

static void
hits_find(Work *const w)
{
  w->hits = 0;
  for (int i = 0; i < w->notes;) {
    double on = 0, off = 0, last = -HUGE_VAL, first = HUGE_VAL;
    int    n = 0;
    for (; i + n < w->notes && together(w, &w->note[i], &w->note[i + n]); ++n) {
      on += w->note[i + n].at;
      off += w->note[i + n].ends;
      last  = fmax(last, w->note[i + n].ends);
      first = fmin(first, w->note[i + n].ends);
    }
    w->room->hit[w->hits].on      = on / n;
    w->room->hit[w->hits].off     = last - first > uneven ? last : off / n;
    w->room->hit[w->hits].first   = (int16_t)i;
    w->room->hit[w->hits++].count = (int16_t)n;
    i += n;
  }
}

/* Every beginning and end in order of time. */
static void
seen_fill(Work *const w)
{
  RlGridWorkspace *const r = w->room;
  w->seen                  = 0;
  for (int i = 0; i < 2 * w->hits; ++i) {
    const double time = i % 2 ? r->hit[i / 2].off : r->hit[i / 2].on;
    int          at   = w->seen++;
    for (; at > 0 && r->seen[at - 1].time > time; --at) {
      r->seen[at] = r->seen[at - 1];
    }
    r->seen[at].at   = i;
    r->seen[at].time = time;
  }
  for (int i = 0; i < w->hits; ++i) {
    r->hit[i].gap =
      i + 1 < w->hits ? (r->hit[i + 1].on - r->hit[i].off) / w->beat->length : HUGE_VAL;
  }
}

/* ---- likelihood ---- */

static double
log_normal(const double off, const double spread)
{
  const double z = off / spread;
  return fmax(-z * z / 2, -stray) - log(spread);
}

/* Of letting go early by an exponential time of that mean, seen through noise of variance `v`. */
static double
log_early(const double early, const double mean, const double v)
{
  const double e = erfc((v / mean - early) / sqrt(2 * v));
  const double l = v / (2 * mean * mean) - early / mean - log(2 * mean);
  return e > 1e-30 ? l + log(e) : -stray - log(v) / 2;
}

static double
rest_cost(const Work *const w, const Guess *const g, const int hit)
{
  const bool brief = w->room->hit[hit].gap < short_rest_most;
  return rest + (g->gap > loose ? rest_loose + (brief ? short_rest : 0) : 0);
}

/* A beat whose notes are asked for; one behind the last is like it. */
static const RlGridBeat *
beat_of(const Work *const w, const int beat)
{
  return &w->beat[beat < w->beats ? beat : w->beats - 1];
}

/* A place, and how likely. */
typedef struct {
  int    part;
  double likely;
} Spot;

static Spot
on_spot(const RlDivision *const d, const Guess *const g, const double time, const double spread)
{
  const int near = rl_division_near(d, g->swing, time);
  return (Spot){near, log_normal(time - rl_division_at(d, g->swing, near), spread)};
}

/* Where a note was let go: at a place or somewhat before it. */
static Spot
off_spot(const RlDivision *const d, const Guess *const g, const double time, const double spread)
{
  const int    near  = rl_division_near(d, g->swing, time);
  const double early = rl_division_at(d, g->swing, near) - time;
  const Spot   here  = {near, log_early(early, g->gap, spread * spread)};
  if (early > -spread || near == d->parts) {
    return here;
  }
  const double more   = rl_division_at(d, g->swing, near + 1) - time;
  const double likely = log_early(more, g->gap, spread * spread);
  return likely > here.likely ? (Spot){near + 1, likely} : here;
}

/* A beat divided one way. */
typedef struct {
  double   likely;
  unsigned set; /* places that notes begin on, a bit each, the end of the beat included */
} Cut;

static Cut
cut_weigh(const Work *const w, const Guess *const g, const int beat, const RlDivision *const d)
{
  const RlGridWorkspace *const r      = w->room;
  const RlGridBeat *const      b      = beat_of(w, beat);
  const bool                   swung  = g->swing > 0.5;
  const double                 spread = g->spread_ms / w->ms_per_quarter / b->length;
  const double                 late   = g->behind_ms / w->ms_per_quarter;
  const double                 from   = b->at + (beat < w->beats ? 0 : b->length);
  Cut                          cut    = {0, 0};
  for (int i = r->beat[beat].first; i < r->beat[beat].first + r->beat[beat].count; ++i) {
    const double time = (r->seen[i].time - late - from) / b->length;
    const int    hit  = r->seen[i].at / 2;
    if (r->seen[i].at % 2) {
      const double alone = off_spot(d, g, time, spread).likely - rest_cost(w, g, hit);
      cut.likely += fmax(r->hit[hit].joined, alone);
      continue;
    }
    const Spot   on = on_spot(d, g, time, spread);
    const double ms =
      (r->hit[hit ? hit - 1 : 0].off - r->hit[hit ? hit - 1 : 0].on) * w->ms_per_quarter;
    cut.likely +=
      on.likely - (cut.set >> on.part & 1U ? (ms < crush_ms ? crowded_crush : crowded) : 0);
    cut.set |= 1U << on.part;
  }
  cut.likely -= rl_division_cost(d, cut.set, b->thirds, swung, b->length * w->ms_per_quarter);
  return cut;
}

/* ---- all beats ---- */

/* Which beginnings and ends lie in which beat, if all were played that late. */
static void
seen_share(const Work *const w, const double late)
{
  RlGridWorkspace *const r = w->room;
  int                    i = 0;
  for (int b = 0; b <= w->beats; ++b) {
    const double end = b < w->beats ? w->beat[b].at + w->beat[b].length : HUGE_VAL;
    r->beat[b].first = (int16_t)i;
    while (i < w->seen && r->seen[i].time - late < end) {
      ++i;
    }
    r->beat[b].count = (int16_t)(i - r->beat[b].first);
  }
}

static void
gaps_judge(const Work *const w, const Guess *const g)
{
  RlGridWorkspace *const r      = w->room;
  const double           spread = g->spread_ms / w->ms_per_quarter / w->beat->length;
  for (int i = 0; i < w->hits; ++i) {
    r->hit[i].joined =
      r->hit[i].gap < HUGE_VAL ? log_early(r->hit[i].gap, g->gap, 2 * spread * spread) : -HUGE_VAL;
  }
}

/* How likely the best way up to a beat is, by how that beat is divided; and which places of it
   notes begin on, the next beat's first among them. */
typedef struct {
  double   likely[RL_DIVISIONS];
  unsigned set[RL_DIVISIONS];
  bool     alone; /* only the first division is left */
} Ways;

static int
best_way(const Ways *const ways)
{
  int best = 0;
  for (int k = 1; k < RL_DIVISIONS; ++k) {
    best = ways->likely[k] > ways->likely[best] ? k : best;
  }
  return best;
}

/* A beat in which nothing happens; a long rest is many of them. */
static void
beat_rest(const Work *const w, const int beat, Ways *const ways)
{
  const int best              = ways->alone ? 0 : best_way(ways);
  w->room->beat[beat].from[0] = (uint8_t)best;
  if (!ways->alone) {
    ways->likely[0] = ways->likely[best];
    for (int k = 1; k < RL_DIVISIONS; ++k) {
      ways->likely[k] = -HUGE_VAL;
    }
  }
  ways->set[0] = 0;
  ways->alone  = true;
}

static void
beat_divide(const Work *const w, const Guess *const g, const int beat, Ways *const ways)
{
  const bool dotted = beat_of(w, beat)->thirds;
  Ways       next   = {.alone = false};
  for (int k = 0; k < RL_DIVISIONS; ++k) {
    next.likely[k] = -HUGE_VAL;
    if (!rl_division_may(&rl_divisions[k], dotted, g->swing > 0.5)) {
      continue;
    }
    const Cut cut = cut_weigh(w, g, beat, &rl_divisions[k]);
    for (int j = 0; j < (ways->alone ? 1 : RL_DIVISIONS); ++j) {
      const bool   twice = ways->set[j] >> rl_divisions[j].parts & cut.set & 1U;
      const double on    = ways->likely[j] - (twice ? crowded : 0) +
                        rl_division_after(j, ways->set[j], k, cut.set, dotted);
      if (on > next.likely[k]) {
        next.likely[k]              = on;
        w->room->beat[beat].from[k] = (uint8_t)j;
      }
    }
    next.likely[k] += cut.likely;
    next.set[k] = cut.set;
  }
  *ways = next;
}

/* The most likely division of every beat, one after the other, and how likely it is. */
static double
beats_divide(const Work *const w, const Guess *const g)
{
  Ways ways = {.alone = true};
  seen_share(w, g->behind_ms / w->ms_per_quarter);
  for (int b = 0; b <= w->beats; ++b) {
    if (w->room->beat[b].count) {
      beat_divide(w, g, b, &ways);
    } else {
      beat_rest(w, b, &ways);
    }
  }
  w->room->last = (uint8_t)best_way(&ways);
  return ways.likely[w->room->last];
}

static void
divisions_settle(const Work *const w)
{
  RlGridWorkspace *const r = w->room;
  int                    k = r->last;
  for (int b = w->beats; b >= 0; --b) {
    r->division[b] = (uint8_t)k;
    k              = r->beat[b].from[k];
  }
}

/* ---- the best guess ---- */

static double
guess_weigh(const Work *const w, const Guess *const g)
{
  const double odd = (g->behind_ms - behind_usual_ms) / behind_spread_ms;
  return beats_divide(w, g) - odd * odd / 2 - (g->swing > 0.5 ? swing_at_all : 0);
}

static void
guess_try(const Work *const w, const Guess g, Guess *const best, double *const likely)
{
  const double l = guess_weigh(w, &g);
  if (l > *likely) {
    *likely = l;
    *best   = g;
  }
}

/* Spread and gaps, the rest as it stands. */
static void
noise_find(const Work *const w, Guess *const best, double *const likely)
{
  const Guess from = *best;
  for (int s = 0; s < SPREADS; ++s) {
    for (int k = 0; k < GAPS; ++k) {
      Guess g     = from;
      g.spread_ms = spreads_ms[s];
      g.gap       = gaps[k];
      gaps_judge(w, &g);
      guess_try(w, g, best, likely);
    }
  }
  gaps_judge(w, best);
}

/* Swing and lay-back around where they stand. */
static void
place_find(const Work *const w, Guess *const best, double *const likely, const double swing_step,
           const double behind_step)
{
  const Guess from = *best;
  for (int s = -3; s <= 3; ++s) {
    for (int b = -3; b <= 3; ++b) {
      Guess g = from;
      g.swing = from.swing > 0.5 ? fmin(fmax(from.swing + s * swing_step, 0.53), 0.7) : 0.5;
      g.behind_ms += b * behind_step;
      if (s == 0 || from.swing > 0.5) {
        guess_try(w, g, best, likely);
      }
    }
  }
}

static Guess
guess_find(const Work *const w)
{
  static const double swings[] = {0.5, 0.55, 0.6, 0.64, 0.68};
  Guess               best     = {0.5, 0, 16, 0.05};
  double              likely   = -HUGE_VAL;
  gaps_judge(w, &best);
  for (int s = 0; s < 5; ++s) {
    for (int b = -4; b <= 8; ++b) {
      guess_try(w, (Guess){swings[s], b * 10, 16, 0.05}, &best, &likely);
    }
  }
  noise_find(w, &best, &likely);
  place_find(w, &best, &likely, 0.015, 5);
  noise_find(w, &best, &likely);
  place_find(w, &best, &likely, 0.005, 1.5);
  return best;
}

/* ---- onto the grid ---- */

/* A place on the whole grid, and how likely. */
typedef struct {
  RlGridPlace place;
  double      likely;
} Found;

static Found
found(const Work *const w, const Guess *const g, const double time,
      Spot (*const spot_of)(const RlDivision *, const Guess *, double, double))
{
  const double late = g->behind_ms / w->ms_per_quarter;
  int          b    = 0;
  while (b < w->beats && time - late >= w->beat[b].at + w->beat[b].length) {
    ++b;
  }
  const RlGridBeat *const beat   = beat_of(w, b);
  const RlDivision *const d      = &rl_divisions[w->room->division[b]];
  const double            from   = beat->at + (b < w->beats ? 0 : beat->length);
  const double            spread = g->spread_ms / w->ms_per_quarter / beat->length;
  const Spot spot = spot_of(d, g, b < w->beats ? (time - late - from) / beat->length : 0, spread);
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
place_after(const Work *const w, const RlGridPlace p)
{
  const int parts = rl_divisions[w->room->division[p.beat]].parts;
  const int part  = p.part * parts / p.parts + 1;
  return part >= parts ? (RlGridPlace){(int16_t)(p.beat + 1), 0, 1}
                       : (RlGridPlace){p.beat, (uint8_t)part, (uint8_t)parts};
}

/* Where a note ends: with the next one, or before a rest. */
static RlGridPlace
off_of(const Work *const w, const Guess *const g, const int hit, const RlGridPlace on,
       const RlGridPlace *const next)
{
  const Found       off    = found(w, g, w->room->hit[hit].off, off_spot);
  const bool        after  = place_order(off.place) > place_order(on);
  const RlGridPlace alone  = after ? off.place : place_after(w, on);
  const bool        joined = w->room->hit[hit].joined >= off.likely - rest_cost(w, g, hit);
  return next && (joined || place_order(alone) >= place_order(*next)) ? *next : alone;
}

static void
notes_place(const Work *const w, const Guess *const g)
{
  const RlGridWorkspace *const r    = w->room;
  RlGridPlace                  last = {-1, 0, 1};
  for (int i = 0; i < w->hits; ++i) {
    const RlGridPlace on = found(w, g, r->hit[i].on, on_spot).place;
    const bool        crushed =
      i + 1 < w->hits &&
      place_order(found(w, g, r->hit[i + 1].on, on_spot).place) <= place_order(on);
    for (int n = r->hit[i].first; n < r->hit[i].first + r->hit[i].count; ++n) {
      w->note[n].on      = on;
      w->note[n].crushed = crushed || place_order(on) <= place_order(last);
    }
    last = crushed ? last : on;
  }
}

static void
lengths_place(const Work *const w, const Guess *const g)
{
  const RlGridWorkspace *const r = w->room;
  for (int i = 0; i < w->hits; ++i) {
    int next = i + 1;
    while (next < w->hits && w->note[r->hit[next].first].crushed) {
      ++next;
    }
    const RlGridNote *const n = &w->note[r->hit[i].first];
    const RlGridPlace       off =
      off_of(w, g, i, n->on, next < w->hits ? &w->note[r->hit[next].first].on : NULL);
    for (int k = r->hit[i].first; k < r->hit[i].first + r->hit[i].count; ++k) {
      w->note[k].off = off;
    }
  }
}

/* How late the beginning of a hit is, in quarters. */
static double
late_by(const Work *const w, const Guess *const g, const int hit)
{
  const RlGridPlace       on = w->note[w->room->hit[hit].first].on;
  const RlGridBeat *const b  = beat_of(w, on.beat);
  const RlDivision *const d  = &rl_divisions[w->room->division[on.beat]];
  const double            in =
    on.beat < w->beats ? rl_division_at(d, g->swing, on.part * d->parts / on.parts) : 1;
  return w->room->hit[hit].on - b->at - in * b->length;
}

/* What the player is told: from beginnings alone, since fingers leave as they like. */
static void
feel_tell(const Work *const w, const Guess *const g, RlGridFeel *const feel)
{
  double late = 0, swing = 0;
  int    heard = 0;
  *feel        = (RlGridFeel){.spread = g->spread_ms};
  for (int i = 0; i < w->hits; ++i) {
    if (!w->note[w->room->hit[i].first].crushed) {
      late += late_by(w, g, i);
      ++heard;
    }
  }
  late         = heard ? late / heard : 0;
  feel->behind = late * w->ms_per_quarter;
  for (int i = 0; i < w->hits; ++i) {
    const RlGridNote *const n      = &w->note[w->room->hit[i].first];
    const RlGridBeat *const b      = beat_of(w, n->on.beat);
    const bool              eighth = !n->crushed && n->on.part * 2 == n->on.parts && !b->thirds;
    if (eighth && rl_divisions[w->room->division[n->on.beat]].swings) {
      swing += (w->room->hit[i].on - late - b->at) / b->length;
      ++feel->off_beats;
    }
  }
  feel->swing = feel->off_beats ? swing / feel->off_beats : 0;
}

void
rl_quantise(RlGridNote *const note, const int notes, const RlGridBeat *const beat, const int beats,
            const double tempo, RlGridWorkspace *const room, RlGridFeel *const feel)
{
  Work w = {note, notes, 0, 0, beats, beat, 60000 / tempo, room};
  hits_find(&w);
  seen_fill(&w);
  const Guess best = guess_find(&w);
  beats_divide(&w, &best);
  divisions_settle(&w);
  notes_place(&w, &best);
  lengths_place(&w, &best);
  feel_tell(&w, &best, feel);
}
