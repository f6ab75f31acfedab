/* SPDX-License-Identifier: ISC */
/* The control outputs: worked out anew where something has changed, and written in every block,
   since a host may connect another buffer or clear the old one. */
#include "plugin/rt/processor.h"

#include "plugin/protocol/techniques.h"

#include <math.h>
#include <string.h>

static void
heard_find(RlProcessor *const p)
{
  const RlHarpEar *const    e    = &p->harp_ear;
  const RlPlayedNote *const note = rl_harp_ear_strongest(e);
  const float  level      = e->wanted && e->loan ? e->loan->ear.played.level : RL_HEARD_SILENCE;
  float *const out        = p->output;
  out[RL_PORT_HEARD_HOLE] = note ? note->hole : 0;
  out[RL_PORT_HEARD_TECHNIQUE] =
    note ? (float)rl_technique_number((RlTechnique)note->technique) : 0;
  out[RL_PORT_HEARD_CENTS] = note ? fminf(fmaxf(note->cents, -100), 100) : 0;
  out[RL_PORT_HEARD_LEVEL] = fminf(fmaxf(level, RL_HEARD_SILENCE), 0);
}

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
  heard_find(p);
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
  if (p->harp_ear.busy) {
    heard_find(p);
  }
  _Static_assert(RL_OUTPUT_RANGES == 3, "each is written");
  outputs_put(p, rl_outputs[0]);
  outputs_put(p, rl_outputs[1]);
  outputs_put(p, rl_outputs[2]);
}
