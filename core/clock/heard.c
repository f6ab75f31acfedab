/* SPDX-License-Identifier: ISC */
#include "core/clock/heard.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const double patience = 8;   /* seconds without a report */
static const double leap     = 0.5; /* felt beats */

void
rl_heard_init(RlHeard *const h, const double rate)
{
  assert(h && rate > 0);
  memset(h, 0, sizeof(*h));
  h->line.rate = rate;
}

static int64_t
frames_left(const RlHeard *const h)
{
  return h->told + (int64_t)(patience * h->line.rate) - h->now;
}

static void
lose(RlHeard *const h)
{
  rl_felt_line_stop(&h->line, h->now);
  h->line.known = false;
  h->line.sure  = 0;
}

void
rl_heard_begin(RlHeard *const h, const int64_t frame)
{
  rl_heard_init(h, h->line.rate);
  h->now = h->told = h->since = frame;
}

void
rl_heard_advance(RlHeard *const h, const int64_t frames)
{
  assert(frames >= 0);
  h->now += frames;
  if (h->line.rolling && frames_left(h) <= 0) {
    lose(h);
  }
}

RlPulse
rl_heard_pulse(const RlHeard *const h, const int64_t ahead)
{
  RlPulse       pulse = rl_felt_line_pulse(&h->line, h->now + ahead);
  const int64_t left  = frames_left(h) - ahead;
  if (pulse.rolling && left < pulse.straight) {
    pulse.straight = left < 1 ? 1 : left;
  }
  return pulse;
}

static void
place(RlHeard *const h, const RlHeardReport *const r)
{
  const double interval = 60 * h->line.rate / r->tempo;
  const double felt     = r->felt + (r->rolling ? (double)(h->now - r->frame) / interval : 0);
  const double off      = felt - rl_felt_line_pulse(&h->line, h->now).felt;
  if (r->rolling && h->line.known && h->line.rolling && fabs(off) <= leap) {
    rl_felt_line_steer(&h->line, h->now, felt, interval);
  } else {
    rl_felt_line_begin(&h->line, h->now, felt, interval);
    h->line.rolling = r->rolling;
  }
  h->line.sure = r->sure;
}

bool
rl_heard_report(RlHeard *const h, const RlHeardReport *const r)
{
  const bool nothing = !h->line.known && !r->known;
  if (r->frame < h->since || r->frame > h->now || nothing) {
    return false;
  }
  h->told = h->now;
  if (r->known) {
    place(h, r);
  } else {
    lose(h);
  }
  return true;
}

void
rl_heard_move(RlHeard *const h, const RlHeardReport *const r)
{
  h->since = h->now;
  h->told  = h->now;
  lose(h);
  if (r) {
    place(h, r);
  }
}
