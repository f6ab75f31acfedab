/* SPDX-License-Identifier: ISC */
/* Following by ear: the sound goes to the listener, its news are heeded and told. */
#include "plugin/rt/processor.h"

bool
rl_processor_news_read(RlProcessor *const p)
{
  rl_listening_begin(&p->listening, &p->follower);
  const bool changed = p->listening.changes != p->listened;
  p->listened        = p->listening.changes;
  p->tell_hearing    = p->tell_hearing || changed;
  return changed;
}

void
rl_processor_hearing_tell(RlProcessor *const p, const int64_t frame)
{
  const RlListening *const l = &p->listening;
  if (rl_notify_hearing(&p->notify, frame, l->state, &l->news)) {
    p->tell_hearing = false;
  }
}

void
rl_processor_sound_hear(RlProcessor *const p, const int64_t from, const int64_t to)
{
  const float *const left  = (const float *)p->port[RL_PORT_IN_LEFT];
  const float *const right = (const float *)p->port[RL_PORT_IN_RIGHT];
  if (p->listening.hearing && left && to > from) {
    rl_listening_hear(&p->listening, &p->follower, left + from, right ? right + from : NULL,
                      (uint32_t)(to - from));
  }
  rl_listening_advance(&p->listening, to > from ? to - from : 0);
}
