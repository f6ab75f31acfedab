/* SPDX-License-Identifier: ISC */
#include "core/practice/tally.h"

#include "core/practice/hits.h"

#include <math.h>

/* Parts of a felt beat (our own judgement). */
static const double near     = 0.25;  /* a note so near a felt beat is meant for it; */
static const double foretold = 0.125; /* one so little before a chord is of that chord */

static const double slack = 1e-9; /* quarters */

typedef struct {
  const RlTallySong *song;
  const RlHeardNote *notes;
  int                count;
  double             from, to;
} Window;

static RlPlace
place_at(const RlForm *const form, const double quarters)
{
  return rl_form_locate(form, RL_AXIS_QUARTERS, quarters, slack);
}

/* Quarters in a felt beat of the bar there. */
static double
felt_quarters(const RlForm *const form, const double quarters)
{
  const RlPlace p = place_at(form, quarters);
  return p.beats > 0 ? p.beats * 4.0 / p.unit / rl_meter_felt(p.beats, p.unit) : 1;
}

/* ---- targets ---- */

/* Did the chord of a change come, or does it go on from the chorus before? */
static bool
comes(const RlForm *const form, const int change, const int chorus)
{
  return change > 0 || chorus == 1 ||
         !rl_chord_same(rl_form_chord(form, 0), rl_form_chord(form, form->changes - 1));
}

static bool
landed(const Window *const w, const uint8_t note, const double at, const double felt)
{
  bool hit = false;
  for (int i = 0; i < w->count; ++i) {
    const RlHeardNote *const n = &w->notes[i];
    hit                        = hit || (n->note == note && rl_hit_lands(at, n->at, n->ends, felt));
  }
  return hit;
}

static void
targets_count(const Window *const w, RlTally *const t)
{
  const RlForm *const f      = w->song->form;
  const double        chorus = f->starts[RL_AXIS_QUARTERS][f->bars];
  const int           nth    = (int)floor(w->from / chorus + slack);
  for (int c = 0; c < f->changes; ++c) {
    const RlChange *const change = &f->change[c];
    const RlTarget        target = w->song->line->target[c];
    const double          at     = nth * chorus + f->starts[RL_AXIS_QUARTERS][change->bar] +
                      change->beat * 4.0 / f->bar[change->bar].unit;
    if (target.hole && at >= w->from - slack && at < w->to - slack && comes(f, c, nth + 1)) {
      ++t->targets;
      t->targets_hit += landed(w, target.note, at, felt_quarters(f, at));
    }
  }
}

/* ---- notes ---- */

typedef struct {
  double at;     /* quarters: the felt beat nearest to a note */
  double off;    /* of the note, in felt beats */
  double felt;   /* quarters in one */
  bool   strong; /* the first of two */
} Beat;

/* Strong are the first beat, and every other one where their number is even. */
static Beat
beat_near(const RlForm *const form, const double at)
{
  const RlPlace p       = place_at(form, at);
  const double  beats   = rl_meter_felt(p.beats, p.unit);
  const double  felt    = p.beats * 4.0 / p.unit / beats;
  const double  within  = p.beat * beats / p.beats;
  const double  nearest = round(within);
  const int     number  = (int)nearest % (int)beats;
  return (Beat){.at     = at + (nearest - within) * felt,
                .off    = within - nearest,
                .felt   = felt,
                .strong = number == 0 || ((int)beats % 2 == 0 && number % 2 == 0)};
}

static RlRole
role_at(const Window *const w, const double at, const uint8_t note)
{
  const RlPlace   p   = place_at(w->song->form, at);
  const RlHarmony now = rl_form_harmony(w->song->form, &p, w->song->key);
  return rl_worth_of(note, &now, w->song->key).role;
}

typedef struct {
  double cents, squares, ms, beats;
} Sums;

static void
note_count(const Window *const w, const RlHeardNote *const n, RlTally *const t, Sums *const sums)
{
  const RlForm *const f    = w->song->form;
  const Beat          beat = beat_near(f, n->at);
  const bool          on   = fabs(beat.off) <= near;
  const bool          bent = (n->technique >= RL_BLOW_1 && n->technique <= RL_BLOW_3) ||
                    (n->technique >= RL_DRAW_1 && n->technique <= RL_DRAW_3);
  ++t->notes;
  ++t->role[role_at(w, n->at + foretold * beat.felt, n->note)];
  if (on && beat.strong) {
    ++t->strong;
    t->strong_chord += role_at(w, beat.at + slack, n->note) >= RL_ROLE_CHORD;
  }
  if (on && n->tempo > 0) {
    ++t->timed;
    sums->beats += beat.off;
    sums->ms += beat.off * beat.felt * 60000 / (double)n->tempo;
  }
  if (bent) {
    ++t->bends;
    sums->cents += (double)n->cents;
    sums->squares += (double)n->cents * (double)n->cents;
  }
}

/* One begun just before the first bar counted is of that bar, one just before its end of the next.
 */
static void
notes_count(const Window *const w, RlTally *const t)
{
  Sums sums = {0};
  for (int i = 0; i < w->count; ++i) {
    const RlHeardNote *const n    = &w->notes[i];
    const double             for_ = n->at + foretold * felt_quarters(w->song->form, n->at);
    if (for_ >= w->from - slack && for_ < w->to - slack) {
      note_count(w, n, t, &sums);
    }
  }
  if (t->bends) {
    t->bend_cents  = sums.cents / t->bends;
    t->bend_spread = sqrt(fmax(0, sums.squares / t->bends - t->bend_cents * t->bend_cents));
  }
  if (t->timed) {
    t->behind_ms    = sums.ms / t->timed;
    t->behind_beats = sums.beats / t->timed;
  }
}

/* ---- phrases ---- */

/* Of the notes heard of each pitch, the first one not used for a planned note yet. */
typedef struct {
  int next[128];
} Used;

/* Each heard note plays one planned note at most; both are taken in the order of time. */
static bool
played(const Window *const w, Used *const used, const uint8_t note, const double at,
       const double felt)
{
  int *const next = &used->next[note & 127];
  for (; *next < w->count && w->notes[*next].at <= at + rl_hit_near * felt + slack; ++*next) {
    const RlHeardNote *const n = &w->notes[*next];
    if (n->note == note && rl_hit_plays(at, n->at, felt)) {
      ++*next;
      return true;
    }
  }
  return false;
}

static void
planned_count(const Window *const w, RlTally *const t)
{
  const RlForm *const f    = w->song->form;
  const RlLane *const lane = w->song->lane;
  if (!lane || !lane->notes) {
    return;
  }
  Used        used = {{0}};
  RlLaneOnset n    = rl_lane_first(lane, f, w->from * RL_TICKS - slack);
  for (; n.index >= 0 && n.at < w->to * RL_TICKS - slack; n = rl_lane_next(lane, f, n)) {
    const double at = n.at / RL_TICKS;
    ++t->planned;
    t->planned_hit += played(w, &used, lane->note[n.index].tab.note, at, felt_quarters(f, at));
  }
}

RlTally
rl_tally_of(const RlTallySong *const song, const double from, const double to,
            const RlHeardNote *const notes, const int count)
{
  const Window  w     = {song, notes, count, from, to};
  const RlPlace first = place_at(song->form, from);
  const double  bar   = first.beats > 0 ? first.beats * 4.0 / first.unit : 4;
  RlTally       t     = {.bars = (int)fmax(1, round((to - from) / bar))};
  targets_count(&w, &t);
  notes_count(&w, &t);
  planned_count(&w, &t);
  return t;
}
