/* SPDX-License-Identifier: ISC */
#include "plugin/worker/transcriber.h"

#include <math.h>
#include <string.h>

static void
begin(RlTranscriber *const t)
{
  t->tempos      = 0;
  t->tempo_count = 0;
  t->last        = 0;
  if (t->on) {
    rl_take_again(&t->take);
  } else {
    rl_take_begin(&t->take);
  }
  t->on = true;
}

/* Notes that began so little before the end that they are meant for what comes next go on there. */
static void
carry(RlTranscriber *const t, const RlTakeEvent *const event, RlTranscribed *const over)
{
  static const double slack = 1e-6; /* `early` is a float */
  const double        from  = event->at - (double)event->early - slack;
  rl_take_split(&over->take, from, event->to - event->at, &t->take);
  t->tempos      = (double)event->tempo;
  t->tempo_count = event->tempo > 0;
  t->last        = event->to;
}

static void
hand_out(RlTranscriber *const t, RlTranscribed *const over)
{
  over->take  = t->take;
  over->tempo = t->tempo_count ? fmin(fmax(t->tempos / t->tempo_count, 10), 1000) : 0;
  over->lost  = 0;
  begin(t);
}

static bool
ended(RlTranscriber *const t, const RlTakeEvent *const event, RlTranscribed *const over)
{
  const bool was = t->on;
  if (was) {
    hand_out(t, over);
    over->lost = event->lost;
  } else {
    begin(t);
  }
  if (was && event->early > 0) {
    carry(t, event, over);
  }
  if (was) {
    rl_take_end(&over->take, event->at);
  }
  t->on = event->kind != RL_TAKE_ENDS;
  return was;
}

void
rl_transcriber_message(RlTake *const take, const RlTakeEvent *const m)
{
  static const double least  = 0.045 / 60; /* minutes */
  const bool          begins = m->bytes[0] >> 4 == 0x9 && m->bytes[2] > 0;
  const uint16_t      before = take->notes;
  if (m->source == RL_FROM_HARP && !begins) {
    rl_take_withdraw(take, m->bytes[1], m->at - least * (double)m->tempo);
  }
  rl_take_midi(take, m->at, m->bytes, sizeof(m->bytes));
  if (take->notes > before) {
    take->note[before].hole      = m->hole;
    take->note[before].technique = m->technique;
  }
}

bool
rl_transcriber_hear(RlTranscriber *const t, const RlTakeEvent *const event,
                    RlTranscribed *const over)
{
  switch (event->kind) {
  case RL_TAKE_BEGINS:
    begin(t);
    return false;
  case RL_TAKE_DISARMED:
    t->on = false;
    return false;
  case RL_TAKE_PAUSES:
  case RL_TAKE_ENDS:
    return ended(t, event, over);
  default:
    if (t->on && event->kind == RL_TAKE_MIDI && !event->aside) {
      rl_transcriber_message(&t->take, event);
      t->last = event->at;
      t->tempos += event->tempo > 0 ? (double)event->tempo : 0;
      t->tempo_count += event->tempo > 0;
    }
    return false;
  }
}

bool
rl_transcriber_finish(RlTranscriber *const t, RlTranscribed *const over)
{
  const double last = t->last;
  if (!t->on || !t->take.notes) {
    return false;
  }
  hand_out(t, over);
  rl_take_end(&over->take, last);
  return true;
}
