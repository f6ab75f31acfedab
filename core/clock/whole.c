/* SPDX-License-Identifier: ISC */
#include "core/clock/whole.h"

#include "core/clock/bars.h"
#include "core/clock/tempo.h"

#include <math.h>

static const double most = 1e9; /* beats: where they wrap they are told as one number */

static double
beats_in(const RlClock *const c, const RlReport *const r)
{
  return r->said & RL_SAID_BEATS_PER_BAR ? r->beats_per_bar : c->beats_per_bar;
}

/* Fewer beats in the song than that many bars like this one have, as such a host sends it. */
static bool
wraps(const RlReport *const r)
{
  static const double two_to_32 = 4294967296.0;
  return fabs(r->bar_beat + two_to_32) < 4096;
}

/* Could a report come from such a host? */
static bool
fits(const RlClock *const c, const RlReport *const r)
{
  const bool line = r->bar_beat == (double)r->bar * beats_in(c, r);
  return (line || wraps(r)) && r->beat >= 0 && r->beat == floor(r->beat);
}

void
rl_clock_whole_learn(RlClock *const c, const RlReport *const r)
{
  RlWholeBeats *const w       = &c->whole;
  const bool          was     = w->is_habit;
  const bool          fit     = fits(c, r);
  const bool          shows   = wraps(r) || r->bar_beat >= beats_in(c, r);
  const bool          goes_on = w->fit && r->bar == w->bar && r->beat > w->beat && r->beat > 1;
  const bool slips = r->bar_beat == floor(r->bar_beat) && w->fit; /* once, at a new meter */
  w->is_habit      = fit ? was || shows || goes_on : was && slips;
  w->fit           = fit;
  if (was != w->is_habit) { /* what was read before was read wrong */
    c->known = false;
    c->note  = w->is_habit ? 1 : 0; /* their tempo counts quarters, as a rule */
  }
}

void
rl_clock_whole_begin(const RlClock *const c, RlReport *const r)
{
  if (c->whole.is_habit) {
    r->said &= ~(unsigned)RL_SAID_BEAT;
    r->bar_beat = 0;
  }
}

void
rl_clock_whole_read(RlClock *const c, const RlReport *const sent, const RlClockStep *const step,
                    RlReport *const r)
{
  RlWholeBeats *const w     = &c->whole;
  const double        beats = beats_in(c, r);
  const bool          turns = step->steady && w->bar < INT64_MAX && sent->bar == w->bar + 1;
  if (turns) {
    w->began[0] = w->began[0] && w->first == sent->beat; /* else the beats before were misread */
    w->first    = sent->beat;
  } else if (beats != c->beats_per_bar) {
    w->first = 1;
  }
  w->bar  = sent->bar;
  w->beat = sent->beat;
  if (w->is_habit && (r->said & RL_SAID_BAR)) {
    const double beat = sent->beat - w->first;
    const bool   told = w->fit && sent->beat < most && beat >= 0 && beat < beats;
    r->bar_beat       = told ? beat : 0;
    w->span           = told ? 1 : beats;
  }
}

RlBarBeat
rl_clock_whole_place(RlClock *const c, const RlBarBeat heard, const RlBarBeat expected,
                     const RlClockStep *const step)
{
  RlWholeBeats *const w       = &c->whole;
  const double        into    = rl_clock_distance(c, heard, expected);
  const bool          begins  = step->steady && (heard.bar > w->told.bar ||
                                       (heard.bar == w->told.bar && heard.beat > w->told.beat));
  const double        span    = rl_clock_quarters(c, w->span);
  const double        late    = c->restart ? 0 : rl_clock_whole_late(c) * rl_clock_tempo_note(c);
  const double        room    = begins ? fmin(span, late) : span;
  const bool          inside  = into >= 0 && into <= room;
  const bool          guessed = !step->steady && w->span > 1;
  c->unclear                  = !begins && (c->unclear || guessed || !inside);
  w->misled                   = begins && into > room && !w->began[0];
  w->began[1]                 = w->began[0] && step->steady;
  w->began[0]                 = begins;
  if (inside) {
    return expected;
  }
  return into > room && step->steady && !begins ? rl_clock_move(c, heard, w->span) : heard;
}

double
rl_clock_whole_travel(RlClock *const c, const RlBarBeat heard)
{
  RlWholeBeats *const w   = &c->whole;
  const double        way = rl_clock_distance(c, w->told, heard);
  c->restart              = c->restart || !w->began[0] || !w->began[1];
  w->told                 = heard;
  return way;
}
