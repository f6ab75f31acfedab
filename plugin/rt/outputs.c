/* SPDX-License-Identifier: ISC */
/* The control outputs: worked out anew where something has changed, and written in every block,
   since a host may connect another buffer or clear the old one. */
#include "plugin/rt/processor.h"

#include <string.h>

/* All but the beat, which is another one in every block. */
static void
outputs_find(RlProcessor *const p)
{
  const RlFollower *const  f     = &p->follower;
  const RlPlace *const     place = &f->now.place;
  const RlListening *const l     = &p->listening;
  float *const             out   = p->output;
  out[RL_PORT_CHORUS]            = (float)place->chorus;
  out[RL_PORT_FORM_BAR]          = rl_follower_shown_beat(f) > 0 ? (float)place->bar : 0;
  out[RL_PORT_POSITION]          = (float)f->position;
  out[RL_PORT_SURE]              = f->now.sure;
  out[RL_PORT_HEARING]           = (float)l->state;
  out[RL_PORT_CENTS]             = l->news.cents;
  out[RL_PORT_KEY_HEARD]         = l->news.key;
  out[RL_PORT_KEY_SURE]          = l->news.key_sure;
}

static inline void
outputs_put(const RlProcessor *const p, const RlPortRange range)
{
  for (int i = (int)range.first; i < (int)range.end; ++i) {
    memcpy(p->port[i], &p->output[i], sizeof(p->output[i]));
  }
}

/* The place now, on the last frame of the block. */
void
rl_processor_outputs_write(RlProcessor *const p)
{
  const unsigned found = p->follower.looks + p->changes + p->listening.changes; /* all only grow */
  if (p->found != found) {
    p->found = found;
    outputs_find(p);
  }
  p->output[RL_PORT_FORM_BEAT] = rl_follower_shown_beat(&p->follower);
  for (int i = 0; i < RL_OUTPUT_RANGES; ++i) {
    outputs_put(p, rl_outputs[i]);
  }
}
