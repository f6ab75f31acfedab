/* SPDX-License-Identifier: ISC */
#include "ui/layout/lane.h"

#include <assert.h>
#include <math.h>

/* In a loop of the host its first bars come after its last. */
static int
bars_from(const RlView *const v, const RlPlace *const place, const int count, RlLaneBar *const bars)
{
  const RlFormLoop loop = {RL_AXIS_BARS, v->report.loop_from, v->report.loop_to};
  RlPlace          start;
  double           now;
  return rl_view_loop(v, &now, &start) ? rl_lane_bars_in_loop(v->form, &loop, place, count, bars)
                                       : rl_lane_bars(v->form, place, count, bars);
}

int
rl_lane_in_sight(const RlView *const v, const int count, RlLaneBar *const bars, double *const now)
{
  assert(count >= 0 && count <= RL_LANE_BARS_MAX);
  if (!rl_view_has_lane(v)) {
    return 0;
  }
  const RlPlace place = rl_view_place(v);
  const int     n     = bars_from(v, &place, count, bars);
  *now = n && place.part != RL_PART_NOWHERE ? bars[0].from + place.beat * 4 / place.unit * RL_TICKS
                                            : -HUGE_VAL;
  return n;
}

/* ---- the selected phrase ---- */

/* A place of the form (ticks as for rl_lane_place()) as the plugin would report it. */
static RlPlaceReport
report_at(const RlForm *const f, const double ticks, const bool ending)
{
  const RlPlace place = rl_lane_place(f, ticks, ending);
  return (RlPlaceReport){.lit    = true,
                         .part   = place.part,
                         .chorus = place.chorus ? place.chorus : 1,
                         .bar    = place.bar,
                         .bars   = f->bars,
                         .beats  = place.beats,
                         .unit   = place.unit,
                         .beat   = place.beat + 1};
}

static bool
in_ending(const RlView *const v)
{
  return v->phrases.planned.bar > v->form->bars;
}

/* Just before the bar of the phrase, or before the bar before it if there is a pickup. */
static RlPlaceReport
report_before(const RlView *const v)
{
  const RlForm *const f     = v->form;
  const double        start = v->phrases.starts;
  const bool          early = v->phrases.lane->notes && v->phrases.lane->note[0].at < start;
  const double        from =
    early && v->phrases.planned.bar != f->bars + 1 ? start - RL_TICKS / 8.0 : start;
  RlPlaceReport report = report_at(f, from, in_ending(v));
  report.beat          = 1 - 1e-3;
  return report;
}

RlView
rl_lane_preview(const RlView *const v)
{
  RlView view = *v;
  view.plan   = v->phrases.plan;
  view.lane   = v->phrases.lane;
  view.report = rl_view_corrects(v)
                  ? report_at(v->form, v->phrases.starts + v->phrases.onset[v->phrases.note].at + 1,
                              in_ending(v))
                  : report_before(v);
  return view;
}

double
rl_lane_onset(const RlView *const v, const int onset)
{
  const RlForm *const f = v->form;
  const double        before =
    in_ending(v) ? (f->choruses - 1) * f->starts[RL_AXIS_QUARTERS][f->bars] * RL_TICKS : 0;
  return before + v->phrases.starts + v->phrases.onset[onset].at;
}

/* ---- measures ---- */

RlRect
rl_lane_bar_at(const RlLayout *const l, const RlRect lane, const int index)
{
  const double w = lane.w / l->lane_bars;
  return (RlRect){lane.x + index * w, lane.y, w, lane.h};
}

double
rl_lane_x(const RlRect at, const RlLaneBar *const bar, const double ticks)
{
  const double pad = at.h * 0.08;
  return at.x + pad + (ticks - bar->from) / (bar->to - bar->from) * (at.w - pad);
}
