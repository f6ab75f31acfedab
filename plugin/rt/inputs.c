/* SPDX-License-Identifier: ISC */
/* The control inputs: settings and triggers. */
#include "plugin/rt/processor.h"

#include <math.h>
#include <string.h>

static const RlPort pedal_ports[RL_PEDALS] = {[RL_PEDAL_TAP]         = RL_PORT_TAP,
                                              [RL_PEDAL_BAR_ONE]     = RL_PORT_BAR_ONE,
                                              [RL_PEDAL_STOP]        = RL_PORT_STOP,
                                              [RL_PEDAL_CAPTURE]     = RL_PORT_CAPTURE,
                                              [RL_PEDAL_HALF_TIME]   = RL_PORT_HALF_TIME,
                                              [RL_PEDAL_DOUBLE_TIME] = RL_PORT_DOUBLE_TIME,
                                              [RL_PEDAL_KEEP_LAST]   = RL_PORT_KEEP_LAST};

/* A control input as it can be used: whole numbers whole, all in their range. */
static float
input_read(const RlProcessor *const p, const RlPort port)
{
  const RlPortInfo *const info  = &rl_ports[port];
  const float *const      value = (const float *)p->port[port];
  if (!isfinite(*value)) {
    return info->standard;
  }
  const float whole = info->flags & RL_INTEGER ? roundf(*value) : *value;
  return fminf(fmaxf(whole, info->low), info->high);
}

enum { AS_WRITTEN = 12 };

/* The song key 13 is the one heard last; until one is, the chart's. */
static int
song_key_of(const RlProcessor *const p)
{
  const int chosen = (int)p->input[RL_PORT_SONG_KEY], heard = p->listening.news.key;
  return chosen <= AS_WRITTEN ? chosen : heard == RL_KEY_NOT_HEARD ? AS_WRITTEN : heard;
}

/* As it is set, or as it has grown from there. */
static RlShow
show_of(const RlProcessor *const p)
{
  const RlShow  set   = (RlShow)p->input[RL_PORT_SHOW];
  const RlGrown grown = p->snapshot->grown;
  const bool    more  = p->input[RL_PORT_SHOW_GROWS] > 0 && grown.from == set && grown.to > set;
  return more ? (RlShow)grown.to : set;
}

void
rl_processor_settings_read(RlProcessor *const p)
{
  const float *const in = p->input;
  RlSettings         s  = {
             .hand      = {.harp     = {.key    = (uint8_t)in[RL_PORT_HARP_KEY],
                                        .range  = (int8_t)in[RL_PORT_HARP_REGISTER],
                                        .tuning = (RlTuning)in[RL_PORT_TUNING]},
                           .player   = {.draw_bends = (uint8_t)in[RL_PORT_BEND_DEPTH],
                                        .blow_bends = (uint8_t)in[RL_PORT_BLOW_BEND_DEPTH],
                                        .overblows  = in[RL_PORT_OVERBLOWS] > 0},
                           .song_key = song_key_of(p)},
             .start_bar = (int)in[RL_PORT_START_BAR],
             .by_beats  = in[RL_PORT_COUNT_BY] > 0,
             .clock     = (RlClockChoice)in[RL_PORT_CLOCK],
             .show      = show_of(p),
  };
  rl_follower_settings(&p->follower, &s);
  const RlHarpFrom from =
    in[RL_PORT_ENABLED] > 0 ? (RlHarpFrom)in[RL_PORT_HARP_FROM] : RL_HARP_FROM_NOTHING;
  p->wake |= rl_harp_ear_tune(&p->harp_ear, from, &s.hand, p->passed);
  p->wake |= rl_track_out_tune(&p->track, in[RL_PORT_ENABLED] > 0 &&
                                            in[RL_PORT_CAPTURE_FROM] == (float)RL_FROM_TRACK);
  p->capture.ending |= p->capture.track && !p->track.wanted;
  p->hears = p->harp_ear.busy || p->track.wanted;
  p->wake |= rl_listening_tune(&p->listening, s.clock == RL_BY_EAR,
                               in[RL_PORT_SONG_KEY] > AS_WRITTEN, in[RL_PORT_FREEWHEEL] > 0);
  rl_osc_publisher_tune(&p->publisher, in[RL_PORT_SEND_OSC] > 0 && in[RL_PORT_ENABLED] > 0,
                        in[RL_PORT_FREEWHEEL] > 0);
  p->hand_due = !rl_hand_same(&s.hand, &p->asked_for);
  ++p->changes;
}

/* The worker says so: nothing is printed here. */
static void
unplugged_note(RlProcessor *const p)
{
  const uint32_t bare = (p->port[RL_PORT_CONTROL] ? 0U : 1U << RL_PORT_CONTROL) |
                        (p->port[RL_PORT_NOTIFY] ? 0U : 1U << RL_PORT_NOTIFY);
  atomic_store(&p->bare, bare);
  p->wake = p->wake || bare;
}

uint32_t
rl_processor_unplugged(RlProcessor *const p)
{
  return atomic_exchange(&p->bare, 0);
}

/* Ardour, and nobody else, divides a block where an automation moves. */
static bool
automation_plays(const RlProcessor *const p)
{
  return p->follower.clock.scale_told && p->last_block < p->longest_block;
}

/* A host moves its ports and restores the plugin's own state at about one time. */
static void
trigger_read(RlProcessor *const p, const RlPedal pedal, const bool up)
{
  static const double left = 1, tap_left = 0.35; /* seconds */
  RlTrigger *const    trigger = &p->trigger[pedal];
  const int64_t       now     = p->passed;
  const double        least   = pedal == RL_PEDAL_TAP ? tap_left : left;
  if (!p->read || p->restoring) {
    rl_trigger_is_set(trigger);
  } else if (!up && automation_plays(p)) {
    rl_trigger_is_played(trigger);
  } else if (rl_trigger_moves(trigger, up, now, (int64_t)(least * p->follower.rate),
                              p->follower.clock.scale_told)) {
    rl_processor_pedal(p, pedal);
  }
}

static void
triggers_read(RlProcessor *const p, const float *const before)
{
  for (int pedal = 0; pedal < RL_PEDALS; ++pedal) {
    const RlPort port = pedal_ports[pedal];
    const bool   up   = p->input[port] > 0;
    if (!p->read || up != (before[port] > 0)) {
      trigger_read(p, (RlPedal)pedal, up);
    }
  }
}

void
rl_processor_inputs_read(RlProcessor *const p)
{
  float before[RL_PORTS];
  memcpy(before, p->input, sizeof(before));
  for (int i = RL_FIRST_INPUT; i < RL_PORTS; ++i) {
    if (rl_port_is_input((RlPort)i)) {
      memcpy(&p->raw[i], p->port[i], sizeof(p->raw[i]));
      p->input[i] = input_read(p, (RlPort)i);
    }
  }
  rl_processor_settings_read(p);
  if (!p->read) {
    unplugged_note(p);
  }
  triggers_read(p, before);
  p->read = true;
}
