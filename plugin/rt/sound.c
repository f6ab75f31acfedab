/* SPDX-License-Identifier: ISC */
/* The sound of the track, passed on bit by bit; and what is listened to on request. */
#include "plugin/rt/processor.h"

#include <string.h>

static void
sound_copy(const RlProcessor *const p, const RlPort from, const RlPort to, const uint32_t frames)
{
  void *const       out = p->port[to];
  const void *const in  = p->port[from];
  if (out && !in) {
    memset(out, 0, frames * sizeof(float));
  } else if (out && out != in) {
    memmove(out, in, frames * sizeof(float));
  }
}

/* A host may give one side's input and the other side's output the same buffer. */
static void
sound_cross(const RlProcessor *const p, const uint32_t frames)
{
  const float *const in_left   = (const float *)p->port[RL_PORT_IN_LEFT];
  const float *const in_right  = (const float *)p->port[RL_PORT_IN_RIGHT];
  float *const       out_left  = (float *)p->port[RL_PORT_OUT_LEFT];
  float *const       out_right = (float *)p->port[RL_PORT_OUT_RIGHT];
  for (uint32_t i = 0; i < frames; ++i) {
    const float left  = in_left[i];
    const float right = in_right[i];
    out_left[i]       = left;
    out_right[i]      = right;
  }
}

void
rl_processor_sound_pass(const RlProcessor *const p, const uint32_t frames)
{
  void *const *const port = p->port;
  const bool whole = port[RL_PORT_IN_LEFT] && port[RL_PORT_IN_RIGHT] && port[RL_PORT_OUT_LEFT] &&
                     port[RL_PORT_OUT_RIGHT];
  if (whole && (port[RL_PORT_OUT_LEFT] == port[RL_PORT_IN_RIGHT] ||
                port[RL_PORT_OUT_RIGHT] == port[RL_PORT_IN_LEFT])) {
    sound_cross(p, frames);
  } else if (port[RL_PORT_OUT_LEFT] == port[RL_PORT_IN_RIGHT]) { /* which is read before */
    sound_copy(p, RL_PORT_IN_RIGHT, RL_PORT_OUT_RIGHT, frames);
    sound_copy(p, RL_PORT_IN_LEFT, RL_PORT_OUT_LEFT, frames);
  } else {
    sound_copy(p, RL_PORT_IN_LEFT, RL_PORT_OUT_LEFT, frames);
    sound_copy(p, RL_PORT_IN_RIGHT, RL_PORT_OUT_RIGHT, frames);
  }
}

/* Nothing is listened to while the music moves, by whichever clock, nor into an export. */
void
rl_processor_audition(RlProcessor *const p, const uint32_t frames)
{
  const bool stands  = !p->follower.clock.rolling && !p->follower.now.rolling;
  const bool allowed = stands && p->input[RL_PORT_ENABLED] > 0 && !rl_processor_freewheels(p);
  const bool before  = rl_audition_sounds(&p->audition);
  p->wake |= rl_audition_play(&p->audition, (float *)p->port[RL_PORT_OUT_LEFT],
                              (float *)p->port[RL_PORT_OUT_RIGHT], frames, allowed);
  p->changes += before != rl_audition_sounds(&p->audition);
}
