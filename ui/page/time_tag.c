/* SPDX-License-Identifier: ISC */
#include "ui/page/time_tag.h"

#include <math.h>
#include <time.h>

static const double half = 15; /* seconds of the window */
static const double most = 4;  /* seconds a packet may be late, or early */

double
rl_time_tag_clock(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double
least_of(const RlTimeTag *const w)
{
  return w->halves > 1 ? fmin(w->least[0], w->least[1]) : w->least[0];
}

static void
delay_note(RlTimeTag *const w, const double delay, const double now)
{
  const bool put_right = w->halves && fabs(delay - least_of(w)) > most; /* its clock was set */
  if (!w->halves || put_right) {
    *w = (RlTimeTag){.since = now, .least = {delay, delay}, .halves = 1};
  } else if (now - w->since > half) {
    *w = (RlTimeTag){.since = now, .least = {delay, w->least[0]}, .halves = 2};
  }
  w->least[0] = fmin(w->least[0], delay);
}

double
rl_time_tag_happened(RlTimeTag *const w, const double tag, const double wall, const double now,
                     const bool same_machine)
{
  double late = wall - tag;
  if (!same_machine) {
    delay_note(w, late, now);
    late -= least_of(w);
  }
  return fabs(late) <= most ? now - late : now;
}
