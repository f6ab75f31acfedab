/* SPDX-License-Identifier: ISC */
/* The lane in the song as it is played: which phrase has its turn, and note after note. Nothing of
   it is laid out beforehand: a song has any number of choruses, and a phrase may be longer than the
   form. Each step looks at the
   few phrases that may follow. */
#include "core/arrange/lane.h"

#include <assert.h>
#include <math.h>

_Static_assert(RL_PLAN_CHORUSES == 32, "RlLanePhrase.choruses has a bit for each");

enum { CHORUSES_MAX = 1000000 /* a month of music */ };

/* ---- the form ---- */

static double
chorus_ticks(const RlForm *const form)
{
  return form->starts[RL_AXIS_QUARTERS][form->bars] * RL_TICKS;
}

static double
song_end(const RlForm *const form)
{
  const double *const starts = form->starts[RL_AXIS_QUARTERS];
  const double        ending = starts[form->bars + form->ending_bars] - starts[form->bars];
  return form->choruses ? form->choruses * chorus_ticks(form) + ending * RL_TICKS : HUGE_VAL;
}

static int
last_chorus(const RlForm *const form)
{
  return form->choruses ? form->choruses : CHORUSES_MAX;
}

/* ---- in which choruses a phrase begins ---- */

static bool
begins_in(const RlLanePhrase *const p, const RlForm *const form, const int chorus)
{
  return p->ending                   ? p->beyond && chorus == form->choruses
         : chorus > RL_PLAN_CHORUSES ? p->beyond
                                     : (p->choruses >> (chorus - 1) & 1U) != 0;
}

/* Does nothing begin in that chorus? */
static bool
empty(const RlLane *const lane, const RlForm *const form, const int chorus)
{
  return chorus != form->choruses &&
         (chorus > RL_PLAN_CHORUSES ? !lane->beyond : !(lane->choruses >> (chorus - 1) & 1U));
}

/* ---- turns ---- */

static double
chorus_start(const RlForm *const form, const int chorus)
{
  return (chorus - 1) * chorus_ticks(form);
}

static int
chorus_of(const RlForm *const form, const double at)
{
  return (int)fmin(fmax(floor(at / chorus_ticks(form)) + 1, 1), last_chorus(form));
}

static const RlLanePhrase *
ordered(const RlLane *const lane, const int n)
{
  return &lane->phrase[lane->order[n]];
}

/* Of two that begin at once, in two choruses: does `a` go before `b`? */
static bool
outranks(const RlLane *const lane, const RlLaneTurn *const a, const RlLaneTurn *const b)
{
  const RlLanePhrase *const p          = &lane->phrase[a->planned];
  const RlLanePhrase *const q          = &lane->phrase[b->planned];
  const int                 particular = (p->named || p->ending) - (q->named || q->ending);
  return particular ? particular > 0 : a->planned > b->planned;
}

/* How many of RlLane.order begin at or before `at` along the form. */
static int
begun_by(const RlLane *const lane, const double at)
{
  int low = 0;
  for (int high = lane->ordered; low < high;) {
    const int middle = (low + high) / 2;
    if (ordered(lane, middle)->begins <= at) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

static RlLaneTurn
turn_of(const RlLane *const lane, const RlForm *const form, const int n, const int chorus)
{
  return (RlLaneTurn){lane->order[n], chorus,
                      ordered(lane, n)->begins + chorus_start(form, chorus)};
}

/* The phrase of a chorus that begins last at or before `at`; `planned` is -1 without one. */
static RlLaneTurn
turn_in_until(const RlLane *const lane, const RlForm *const form, const int chorus, const double at)
{
  int best = -1;
  for (int n = begun_by(lane, at - chorus_start(form, chorus)) - 1;
       n >= 0 && (best < 0 || ordered(lane, n)->begins == ordered(lane, best)->begins); --n) {
    best = begins_in(ordered(lane, n), form, chorus) ? n : best;
  }
  return best < 0 ? (RlLaneTurn){.planned = -1} : turn_of(lane, form, best, chorus);
}

/* The phrase of a chorus that begins next after `at`. */
static RlLaneTurn
turn_in_after(const RlLane *const lane, const RlForm *const form, const int chorus, const double at)
{
  int n = begun_by(lane, at - chorus_start(form, chorus));
  while (n < lane->ordered && !begins_in(ordered(lane, n), form, chorus)) {
    ++n;
  }
  return n == lane->ordered ? (RlLaneTurn){.planned = -1} : turn_of(lane, form, n, chorus);
}

/* The phrase that begins last at or before `at`, in whichever chorus. */
static RlLaneTurn
turn_at(const RlLane *const lane, const RlForm *const form, const double at)
{
  RlLaneTurn best = {.planned = -1, .at = -HUGE_VAL};
  if (!lane->notes || !lane->ordered) {
    return best;
  }
  const double in_song = fmin(at, song_end(form) - 1);
  const double latest  = ordered(lane, lane->ordered - 1)->begins;
  int          chorus  = chorus_of(form, in_song - ordered(lane, 0)->begins);
  for (; chorus >= 1 && latest + chorus_start(form, chorus) >= best.at; --chorus) {
    if (empty(lane, form, chorus)) {
      chorus = chorus > RL_PLAN_CHORUSES ? RL_PLAN_CHORUSES + 1 : chorus;
      continue;
    }
    const RlLaneTurn turn = turn_in_until(lane, form, chorus, in_song);
    if (turn.planned >= 0 &&
        (turn.at > best.at || (turn.at == best.at && outranks(lane, &turn, &best)))) {
      best = turn;
    }
  }
  return best;
}

/* The phrase that begins next after `at`; without one, where the song ends. */
static RlLaneTurn
turn_after(const RlLane *const lane, const RlForm *const form, const double at)
{
  const int  last = last_chorus(form);
  RlLaneTurn best = {.planned = -1, .at = song_end(form)};
  if (!lane->notes || !lane->ordered) {
    return best;
  }
  const double earliest = ordered(lane, 0)->begins;
  int          chorus   = chorus_of(form, at - ordered(lane, lane->ordered - 1)->begins);
  for (; chorus <= last && earliest + chorus_start(form, chorus) <= best.at; ++chorus) {
    if (empty(lane, form, chorus)) {
      chorus = chorus <= RL_PLAN_CHORUSES ? chorus : form->choruses ? last - 1 : last;
      continue;
    }
    const RlLaneTurn turn = turn_in_after(lane, form, chorus, at);
    if (turn.planned >= 0 && (turn.at < best.at || (turn.at == best.at && best.planned >= 0 &&
                                                    outranks(lane, &turn, &best)))) {
      best = turn;
    }
  }
  return best;
}

/* ---- note after note ---- */

static RlLaneOnset
onset_make(const RlLane *const lane, const RlForm *const form, const int index, const int chorus,
           const RlLaneTurn next)
{
  const double at = lane->note[index].at + chorus_start(form, chorus);
  return (RlLaneOnset){index, chorus, at, fmin(lane->note[index].lasts, next.at - at), next};
}

/* The first note of a turn. */
static RlLaneOnset
turn_begin(const RlLane *const lane, const RlForm *const form, const RlLaneTurn *const turn)
{
  return turn->planned < 0 ? (RlLaneOnset){.index = -1}
                           : onset_make(lane, form, lane->phrase[turn->planned].first, turn->chorus,
                                        turn_after(lane, form, turn->at));
}

RlLaneOnset
rl_lane_next(const RlLane *const lane, const RlForm *const form, const RlLaneOnset onset)
{
  assert(onset.index >= 0 && onset.index < lane->notes);
  const RlLanePhrase *const p    = &lane->phrase[lane->note[onset.index].planned];
  const int                 next = onset.index + 1;
  if (next < p->first + p->notes &&
      lane->note[next].at + chorus_start(form, onset.chorus) < onset.next.at) {
    return onset_make(lane, form, next, onset.chorus, onset.next);
  }
  return turn_begin(lane, form, &onset.next);
}

/* The first note that begins at or after `from` or, with `sounding`, ends after it. */
static RlLaneOnset
onset_from(const RlLane *const lane, const RlForm *const form, const double from,
           const bool sounding)
{
  const RlLaneTurn here = turn_at(lane, form, from);
  if (here.planned < 0) {
    const RlLaneTurn next = turn_after(lane, form, from);
    return turn_begin(lane, form, &next);
  }
  RlLaneOnset n = turn_begin(lane, form, &here);
  while (n.index >= 0 && n.at < from && !(sounding && n.at + n.lasts > from)) {
    n = rl_lane_next(lane, form, n);
  }
  return n;
}

RlLaneOnset
rl_lane_first(const RlLane *const lane, const RlForm *const form, const double from)
{
  return onset_from(lane, form, from, false);
}

RlLaneOnset
rl_lane_sounding(const RlLane *const lane, const RlForm *const form, const double from)
{
  return onset_from(lane, form, from, true);
}

/* ---- what becomes of a phrase ---- */

/* Who plays on its bar and beat in that chorus instead of it? */
static int
in_its_place(const RlLane *const lane, const RlForm *const form, const int planned,
             const int chorus)
{
  const RlLanePhrase *const p = &lane->phrase[planned];
  for (int i = 0; i < lane->phrases; ++i) {
    const RlLanePhrase *const q = &lane->phrase[i];
    if (i != planned && q->notes && q->at == p->at && q->ending == p->ending &&
        begins_in(q, form, chorus)) {
      return i;
    }
  }
  return RL_LANE_BY_NONE;
}

RlLaneFate
rl_lane_fate(const RlLane *const lane, const RlForm *const form, const int planned,
             const int chorus_asked)
{
  const RlLanePhrase *const p      = &lane->phrase[planned];
  const int                 chorus = p->ending ? last_chorus(form) : chorus_asked;
  RlLaneFate                fate   = {RL_LANE_BY_NONE, p->notes, false};
  if (!p->notes || (p->ending && !form->choruses)) {
    return fate;
  }
  if (!begins_in(p, form, chorus)) {
    fate.by = in_its_place(lane, form, planned, chorus);
    return fate;
  }
  const double     at   = p->begins + chorus_start(form, chorus);
  const RlLaneTurn here = turn_at(lane, form, at);
  if (at >= song_end(form) || here.planned != planned) {
    fate.by = at >= song_end(form) ? RL_LANE_BY_END : here.planned;
    return fate;
  }
  const RlLaneTurn next = turn_after(lane, form, at);
  const double     from = chorus_start(form, chorus);
  for (int i = p->first; i < p->first + p->notes; ++i) {
    const bool plays = lane->note[i].at + from < next.at;
    fate.lost -= plays;
    fate.shortened =
      fate.shortened || (plays && lane->note[i].at + from + lane->note[i].lasts > next.at);
  }
  if (fate.lost || fate.shortened) {
    fate.by = next.planned >= 0 ? next.planned : RL_LANE_BY_END;
  }
  return fate;
}
