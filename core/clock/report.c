/* SPDX-License-Identifier: ISC */
#include "core/clock/report.h"

#include "core/clock/bars.h"

#include <math.h>

static bool
within(const double value, const double low, const double high)
{
  return value >= low && value <= high; /* false for what is not a number */
}

static bool
is_unit(const double value)
{
  const int whole = within(value, 1, 128) ? (int)value : 0;
  return whole > 0 && whole == value && !(whole & (whole - 1));
}

unsigned
rl_report_valid(const RlReport *const r)
{
  static const int64_t most  = (int64_t)1 << 40; /* frames: 66 days at 192 kHz */
  const bool           bar   = within((double)r->bar, -1e6, 1e6) || !(r->said & RL_SAID_BAR);
  const bool           beat  = within(r->bar_beat, -1e5, 1e5) || !(r->said & RL_SAID_BAR_BEAT);
  const bool           frame = r->frame >= -most && r->frame <= most;
  const unsigned       drop  = (bar && beat ? 0U : RL_SAID_BAR | RL_SAID_BAR_BEAT) |
                        (frame ? 0U : RL_SAID_FRAME) |
                        (within(r->speed, -64, 64) ? 0U : RL_SAID_SPEED) |
                        (within(r->beat, -1e9, 1e9) ? 0U : RL_SAID_BEAT) |
                        (is_unit(r->beat_unit) ? 0U : RL_SAID_BEAT_UNIT) |
                        (within(r->beats_per_bar, 0.125, 1024) ? 0U : RL_SAID_BEATS_PER_BAR) |
                        (within(r->tempo, 0.1, 10000) ? 0U : RL_SAID_TEMPO);
  return r->said & ~drop;
}

RlClockStep
rl_clock_step(RlClock *const c, const RlReport *const r)
{
  const double frames = (double)(c->now - c->said_at);
  const double due    = c->rolling ? frames * c->speed : 0;
  const bool   framed = (r->said & RL_SAID_FRAME) && c->frame_told;
  const double off    = framed ? (double)r->frame - c->frame - due : 0;
  const double jump   = fabs(off) <= 1 ? 0 : off; /* half frames are not told */
  const bool   soon   = frames < 0.25 * c->rate && !c->whole.is_habit;
  const bool   halves = soon && within((due + jump) / due, 0.4, 2.1);
  const bool   runs   = c->rolling && (jump == 0 || halves);
  c->frame            = r->said & RL_SAID_FRAME ? (double)r->frame : c->frame + due;
  c->frame_told       = c->frame_told || (r->said & RL_SAID_FRAME);
  if (r->said & RL_SAID_SPEED) {
    c->restart = c->restart || r->speed != c->speed;
    c->rolling = r->speed != 0;
    c->speed   = c->rolling ? r->speed : c->speed;
  }
  return (RlClockStep){.frames = frames,
                       .song   = due + jump,
                       .jump   = jump,
                       .exact  = framed && jump == 0,
                       .runs   = runs,
                       .steady = runs && c->rolling};
}

bool
rl_clock_completes(const RlClock *const c, const RlClockStep *const step)
{
  return !c->known || !step->runs || step->frames <= 0;
}

/* By time:beat: as far from what was told before as the beats have moved; at first as if the
   present meter had held since the beginning. */
static RlBarBeat
place_by_beat(const RlClock *const c, const double beat)
{
  return c->beat_told && c->known ? rl_clock_move(c, c->said, beat - c->beat)
                                  : rl_clock_move(c, (RlBarBeat){0, 0}, beat);
}

bool
rl_clock_report_place(const RlClock *const c, const RlReport *const r, const RlBarBeat now,
                      const RlClockStep *const step, RlBarBeat *const said)
{
  const bool      by_beat  = (r->said & RL_SAID_BEAT) != 0;
  const bool      bar      = (r->said & RL_SAID_BAR) != 0;
  const bool      bar_beat = (r->said & RL_SAID_BAR_BEAT) != 0;
  const bool      stays    = rl_clock_completes(c, step) && !by_beat;
  const RlBarBeat base     = by_beat ? place_by_beat(c, r->beat) : stays ? c->said : now;
  *said                    = base;
  if (bar && bar_beat) {
    *said = (RlBarBeat){r->bar, r->bar_beat};
  } else if (bar) {
    *said = (RlBarBeat){r->bar, stays || by_beat || r->bar == base.bar ? base.beat : 0};
  } else if (bar_beat) {
    const double bars = stays ? 0 : round((base.beat - r->bar_beat) / c->beats_per_bar);
    *said             = (RlBarBeat){base.bar + (int64_t)bars, r->bar_beat};
  }
  return bar || by_beat || (bar_beat && c->known);
}
