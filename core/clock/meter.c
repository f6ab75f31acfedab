/* SPDX-License-Identifier: ISC */
#include "core/clock/meter.h"

#include "core/clock/bars.h"
#include "core/clock/line.h"

static void
meter_set(RlClock *const c, const int unit, const double beats_per_bar)
{
  c->units_mixed = c->units_mixed || (c->unit_told && unit != c->unit);
  c->note_known  = c->note_known && unit == c->unit;
  c->restart     = true;
  c->per_frame *= (double)unit / c->unit;
  c->unit          = unit;
  c->beats_per_bar = beats_per_bar;
}

/* While the music stands the numbers told stay as they are, whatever the meter; and so does the
   bar line. */
static void
meter_set_standing(RlClock *const c, const int unit, const double beats_per_bar)
{
  const double count = rl_clock_line_count(c, (RlBarBeat){c->said.bar, 0});
  meter_set(c, unit, beats_per_bar);
  rl_clock_line_set(c, c->said, count + rl_clock_quarters(c, c->said.beat), 0);
}

/* While it runs a new meter begins at the bar line `bar`, and the line is past that by now; the
   count stays. */
static void
meter_set_running(RlClock *const c, const int unit, const double beats_per_bar, const RlBarBeat now,
                  const int64_t bar)
{
  const RlBarBeat line        = {bar, 0};
  const double    past        = rl_clock_distance(c, line, now);
  const double    said        = rl_clock_distance(c, line, c->said);
  const bool      short_of_it = c->per_frame < 0 ? past > 0 : past < 0;
  const double    count       = rl_clock_line_count(c, short_of_it ? line : now);
  meter_set(c, unit, beats_per_bar);
  c->said = (RlBarBeat){bar, rl_clock_beats(c, said)};
  rl_clock_line_set(c, (RlBarBeat){bar, short_of_it ? 0 : rl_clock_beats(c, past)}, count, 0);
}

/* The bar line at which a new meter begins: the one just passed, or the next if the report is
   behind that or, without a bar told, the line has nearly reached it. */
static int64_t
meter_line(const RlClock *const c, const RlReport *const r, const RlBarBeat now)
{
  const double near = 0.05 * c->rate * c->per_frame;
  const bool   bar  = (r->said & RL_SAID_BAR) != 0;
  if (c->per_frame < 0) {
    return now.bar + (bar ? r->bar >= now.bar : now.beat > -near);
  }
  return now.bar + (bar ? r->bar > now.bar : c->beats_per_bar - now.beat < near);
}

RlBarBeat
rl_clock_meter_follow(RlClock *const c, const RlReport *const r, const RlBarBeat now,
                      const RlClockStep *const step)
{
  const int    unit  = r->said & RL_SAID_BEAT_UNIT ? (int)r->beat_unit : c->unit;
  const double beats = r->said & RL_SAID_BEATS_PER_BAR ? r->beats_per_bar : c->beats_per_bar;
  c->meter_told      = c->meter_told || (r->said & RL_SAID_BEATS_PER_BAR);
  if (unit == c->unit && beats == c->beats_per_bar) {
    c->unit_told = c->unit_told || (r->said & RL_SAID_BEAT_UNIT);
    return now;
  }
  if (rl_clock_completes(c, step)) {
    meter_set_standing(c, unit, beats);
  } else {
    meter_set_running(c, unit, beats, now, meter_line(c, r, now));
  }
  c->unit_told = c->unit_told || (r->said & RL_SAID_BEAT_UNIT);
  if (c->quarters_sure < rl_clock_told && c->from.bar < c->start_bar) {
    c->quarters_at_bar = rl_clock_count_by_bars(c, (RlBarBeat){c->from.bar, 0});
  }
  return c->from;
}
