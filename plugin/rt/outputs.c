/* SPDX-License-Identifier: ISC */
/* The control outputs. */
#include "plugin/rt/processor.h"

#include <string.h>

static void
output(const RlProcessor *const p, const RlPort port, const float value)
{
  memcpy(p->port[port], &value, sizeof(value));
}

/* The place now, on the last frame of the block. */
void
rl_processor_outputs_write(const RlProcessor *const p)
{
  const RlFollower *const f     = &p->follower;
  const RlPlace *const    place = &f->now.place;
  const float             beat  = rl_follower_shown_beat(f);
  output(p, RL_PORT_CHORUS, (float)place->chorus);
  output(p, RL_PORT_FORM_BAR, beat > 0 ? (float)place->bar : 0);
  output(p, RL_PORT_FORM_BEAT, beat);
  output(p, RL_PORT_POSITION, (float)f->position);
  output(p, RL_PORT_SURE, f->now.sure);
  output(p, RL_PORT_HEARING, (float)p->listening.state);
  output(p, RL_PORT_CENTS, p->listening.news.cents);
  output(p, RL_PORT_KEY_HEARD, p->listening.news.key);
  output(p, RL_PORT_KEY_SURE, p->listening.news.key_sure);
}
