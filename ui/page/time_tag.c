/* SPDX-License-Identifier: ISC */
#include "ui/page/time_tag.h"

#include <math.h>
#include <time.h>

/* Seconds. */
static const double half     = 15; /* of the window */
static const double late_max = 4;  /* that a packet may be late, or early */

double
rl_time_tag_now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double
least_of(const RlSenderClock *const sender)
{
  return sender->halves > 1 ? fmin(sender->least[0], sender->least[1]) : sender->least[0];
}

static void
delay_note(RlSenderClock *const sender, const double delay, const double now)
{
  const bool was_set =
    sender->halves && fabs(delay - least_of(sender)) > late_max; /* someone set its clock */
  if (!sender->halves || was_set) {
    *sender = (RlSenderClock){.since = now, .least = {delay, delay}, .halves = 1};
  } else if (now - sender->since > half) {
    *sender = (RlSenderClock){.since = now, .least = {delay, sender->least[0]}, .halves = 2};
  }
  sender->least[0] = fmin(sender->least[0], delay);
}

double
rl_time_tag_to_local(RlSenderClock *const sender, const double tag, const double wall,
                     const double now, const bool same_machine)
{
  double late = wall - tag;
  if (!same_machine) {
    delay_note(sender, late, now);
    late -= least_of(sender);
  }
  return fabs(late) <= late_max ? now - late : now;
}
