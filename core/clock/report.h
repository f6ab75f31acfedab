/* SPDX-License-Identifier: ISC */
/* Private to core/clock. Reading a report: which fields can be believed, what happened since the
   report before, and the place it tells. Real-time safe. */
#ifndef RL_CORE_CLOCK_REPORT_H
#define RL_CORE_CLOCK_REPORT_H

#include "core/clock/clock.h"

/* From the last report to this one. */
typedef struct {
  double frames; /* elapsed */
  double song;   /* frames the song moved: as told, else as expected */
  double jump;   /* of these, not expected */
  double beats;  /* of the tempo told, over `song` */
  double blur;   /* error of `beats`, since nobody says when the tempo changed */
  bool   exact;  /* the frame told is the one expected */
  bool   runs;   /* rolling until now, without a jump or with one that an unreported half or double
                    speed explains */
  bool steady;   /* runs, and goes on rolling */
} RlClockStep;

/* RlReport.said without the fields that cannot be: not finite or out of range. Where one of bar and
   bar_beat is garbage, so is the other. */
unsigned rl_report_valid(const RlReport *report);

/* Reads frame and speed; `beats` and `blur` are filled in by rl_clock_tempo_follow(). */
RlClockStep rl_clock_step(RlClock *c, const RlReport *r);

/* Does a field that comes now complete what was told before (the music stands, or no time has
   passed), rather than go on from it? */
bool rl_clock_completes(const RlClock *c, const RlClockStep *step);

/* The place a report tells, into `said`; `now` is where the line is. What the report leaves out is
   filled in from there or from what was told before. False if it says nothing about the place. */
bool rl_clock_report_place(const RlClock *c, const RlReport *r, RlBarBeat now,
                           const RlClockStep *step, RlBarBeat *said);

#endif
