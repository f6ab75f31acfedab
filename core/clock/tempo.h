/* SPDX-License-Identifier: ISC */
/* Private to core/clock. The tempo, the note value it counts (which no report tells) and the pace
   measured between reports. Real-time safe. */
#ifndef RL_CORE_CLOCK_TEMPO_H
#define RL_CORE_CLOCK_TEMPO_H

#include "core/clock/bars.h"
#include "core/clock/report.h"

/* Quarters in a beat of the tempo: as measured, else the host's usual note value. */
static inline double
rl_clock_tempo_note(const RlClock *const c)
{
  const double habitual = c->quarter_ticks > 0 ? 1 : 4.0 / c->unit;
  return c->note > 0 ? c->note : habitual;
}

/* The same while nothing is measured. Where the host counts quarter ticks, and so reports in every
   block, the shorter of the possible notes: reports pull the line forwards, but it never goes
   back. */
static inline double
rl_clock_tempo_note_presumed(const RlClock *const c)
{
  const double usual = rl_clock_tempo_note(c);
  return c->quarter_ticks > 0 && !c->note_known
           ? rl_clock_smaller(usual, rl_clock_smaller(4.0 / c->unit, 1))
           : usual;
}

/* Beats of the meter's unit in so many frames of the song at the tempo told. */
static inline double
rl_clock_tempo_beats(const RlClock *const c, const double frames)
{
  return rl_clock_beats(c, frames / c->rate * c->tempo / 60 * rl_clock_tempo_note(c));
}

/* Where the frame told would be if tempo and meter had always been these. Good enough to tell
   quarters apart. */
RlBarBeat rl_clock_tempo_place(const RlClock *c, RlBarBeat now, const RlClockStep *step);

/* Reads the tempo; fills in the step's beats and blur. */
void rl_clock_tempo_follow(RlClock *c, const RlReport *r, RlClockStep *step);

/* Moves the window that the pace is measured in, 0.2 to 0.4 seconds (one to two where the host
   tells whole beats), shorter where the pace has changed. `travel`: quarters from the place told
   before to this one. */
void rl_clock_tempo_window(RlClock *c, const RlClockStep *step, double travel);

/* Quarters a frame. Learns the tempo's note value. */
double rl_clock_tempo_pace(RlClock *c);

#endif
