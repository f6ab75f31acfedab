/* SPDX-License-Identifier: ISC */
#include "core/clock/tempo.h"

#include "core/clock/ticks.h"
#include "core/clock/whole.h"

#include <math.h>

RlBarBeat
rl_clock_tempo_place(const RlClock *const c, const RlBarBeat now, const RlClockStep *const step)
{
  return c->known ? rl_clock_move(c, now, rl_clock_tempo_beats(c, step->jump))
                  : rl_clock_move(c, (RlBarBeat){0, 0}, rl_clock_tempo_beats(c, c->frame));
}

/* A small change may be one step of a ramp, and is no reason to measure anew. Hosts that count
   quarter ticks do not report their ramps. */
void
rl_clock_tempo_follow(RlClock *const c, const RlReport *const r, RlClockStep *const step)
{
  const double now          = r->said & RL_SAID_TEMPO ? r->tempo : c->tempo;
  const double was          = c->tempo > 0 ? c->tempo : now;
  const bool   step_of_ramp = c->quarter_ticks <= 0 && fabs(now - was) < 0.02 * was;
  const bool   leap         = now != was && !step_of_ramp;
  const double half         = step->song / c->rate / 60 / 2;
  step->beats               = (was + now) * half;
  step->blur                = fabs((was - now) * half);
  c->tempo                  = now;
  c->restart                = c->restart || leap;
  c->note_known             = c->note_known && !leap;
}

/* Quarters in a beat of the tempo between two milestones; 0 if that cannot be measured. */
static double
quarters_a_beat(const RlMilestone *const from, const RlMilestone *const to)
{
  const double beats = to->beats - from->beats;
  return beats != 0 ? (to->travel - from->travel) / beats : 0;
}

/* Quarters by which a place told may be off, at `a_beat` quarters in a beat of the tempo. */
static double
grain(const RlClock *const c, const double a_beat)
{
  return c->whole.span > 0 ? fabs(a_beat) * rl_clock_whole_late(c) : rl_clock_tick(c);
}

void
rl_clock_tempo_window(RlClock *const c, const RlClockStep *const step, const double travel)
{
  const RlMilestone before   = c->here;
  const double      a_beat   = quarters_a_beat(&c->window[0], &before);
  const double      least    = c->whole.span > 0 ? 1 : 0.2; /* seconds */
  const double      foreseen = a_beat * step->beats;
  const bool        strays =
    a_beat != 0 && fabs(travel - foreseen) > 2 * grain(c, a_beat) + 0.15 * fabs(foreseen);
  c->here = (RlMilestone){c->now, before.song + step->song, before.travel + travel,
                          before.beats + step->beats, before.blur + step->blur};
  if (c->restart || strays) {
    c->window[0] = c->window[1] = c->restart ? c->here : before;
  } else if ((double)(c->now - c->window[1].at) > least * c->rate) {
    c->window[0] = c->window[1];
    c->window[1] = c->here;
  }
  c->restart = false;
}

static double
nearest_note(const double measured)
{
  static const double notes[] = {0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4};
  double              best    = notes[0];
  for (unsigned i = 1; i < sizeof(notes) / sizeof(notes[0]); ++i) {
    best = fabs(notes[i] - measured) < fabs(best - measured) ? notes[i] : best;
  }
  return best;
}

/* Quarters in a beat of the tempo: the usual note value if the distance covered agrees, else
   another one that does, else (on a ramp that is not reported) what was measured. */
static double
note_measured(RlClock *const c)
{
  const double measured = quarters_a_beat(&c->window[0], &c->here);
  const double beats    = c->here.beats - c->window[0].beats;
  const double blur     = grain(c, measured) + fabs(measured) * (c->here.blur - c->window[0].blur);
  const double doubt    = blur / fabs(beats) + 0.001 * fabs(measured);
  const bool   usual    = fabs(measured - rl_clock_tempo_note(c)) <= doubt;
  const double nearest  = usual ? rl_clock_tempo_note(c) : nearest_note(measured);
  const bool   other    = !usual && fabs(measured - nearest) <= doubt;
  const bool   tells    = measured != 0 && doubt <= 0.2 * fabs(measured);
  c->note_presumed      = !tells && rl_clock_tempo_note_presumed(c) != rl_clock_tempo_note(c);
  if (!tells) {
    return rl_clock_tempo_note_presumed(c);
  }
  c->note_known = usual || other;
  c->note       = other ? nearest : c->note;
  return c->note_known ? rl_clock_tempo_note(c) : measured;
}

double
rl_clock_tempo_pace(RlClock *const c)
{
  const double frames = (double)(c->here.at - c->window[0].at);
  const double song   = c->here.song - c->window[0].song;
  const double travel = c->here.travel - c->window[0].travel;
  const double speed =
    frames > 0 && song != 0 ? song / frames : c->speed; /* some hosts leave frame at 0 */
  if (c->tempo > 0) {
    return c->tempo / 60 / c->rate * speed * note_measured(c);
  }
  return frames > 0 ? travel / frames : rl_clock_quarters(c, c->per_frame);
}
