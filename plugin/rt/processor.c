/* SPDX-License-Identifier: ISC */
#include "plugin/rt/processor.h"

#include <math.h>
#include <string.h>

static const RlPort pedal_ports[RL_PEDALS] = {[RL_PEDAL_TAP]     = RL_PORT_TAP,
                                              [RL_PEDAL_BAR_ONE] = RL_PORT_BAR_ONE,
                                              [RL_PEDAL_STOP]    = RL_PORT_STOP,
                                              [RL_PEDAL_CAPTURE] = RL_PORT_CAPTURE};

/* ---- to the worker ---- */

bool
rl_processor_ask(RlProcessor *const b, RlAskHead head, const void *const body)
{
  head.session     = b->snapshot->bar_one_version;
  const bool asked = rl_ring_write(b->ring, &head, sizeof(head), body, head.size);
  b->wake          = b->wake || asked;
  return asked;
}

static void
worker_wake(RlProcessor *const b)
{
  static const char nudge = 0;
  if (b->wake &&
      b->schedule.schedule_work(b->schedule.handle, sizeof(nudge), &nudge) == LV2_WORKER_SUCCESS) {
    b->wake = false;
  }
}

static void
score_retire(RlProcessor *const b)
{
  const RlAskHead head = {RL_ASK_FREE, 0, sizeof(b->retired), 0};
  if (b->retired && rl_processor_ask(b, head, &b->retired)) {
    b->retired = NULL;
  }
}

/* Takes the newest page off the outbox, once the old one is on its way back. */
static void
score_take(RlProcessor *const b)
{
  score_retire(b);
  RlSnapshot *const next = b->retired ? NULL : rl_outbox_pop(b->outbox);
  if (!next) {
    return;
  }
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    b->tell |= next->version[p] != b->snapshot->version[p] ? 1U << p : 0U;
  }
  if (next->version[RL_OSC_TO] != b->snapshot->version[RL_OSC_TO]) {
    rl_osc_publisher_refresh(&b->publisher);
  }
  if (next->version[RL_CHART] != b->snapshot->version[RL_CHART]) {
    rl_capture_turn(&b->capture);
  }
  rl_follower_snapshot(&b->follower, next);
  b->retired  = b->snapshot;
  b->snapshot = next;
  rl_midi_out_turn(&b->midi_out);
  ++b->changes;
  score_retire(b);
}

/* What the document does not know yet, because it is new or because the ring was full. */
static void
rest_ask(RlProcessor *const b)
{
  const RlHand *const hand         = &b->follower.settings.hand;
  const RlAskHead     hand_head    = {RL_ASK_HAND, 0, sizeof(*hand), 0};
  const RlAskHead     bar_one_head = {RL_ASK_BAR_ONE, 0, sizeof(RlBarOne), 0};
  if (b->hand_due && rl_processor_ask(b, hand_head, hand)) {
    b->hand_due  = false;
    b->asked_for = *hand;
  }
  if (b->bar_ones != b->follower.bar_ones &&
      rl_processor_ask(b, bar_one_head, &b->follower.bar_one)) {
    b->bar_ones = b->follower.bar_ones;
  }
  for (uint32_t p = 0; b->lost && p < RL_PROPERTIES; ++p) {
    const RlAskHead head = {RL_ASK_LOST, p, 0, 0};
    if ((b->lost & (1U << p)) && rl_processor_ask(b, head, NULL)) {
      b->lost &= ~(1U << p);
    }
  }
}

/* ---- control inputs ---- */

/* A control input as it can be used: whole numbers whole, all in their range. */
static float
input_read(const RlProcessor *const b, const RlPort port)
{
  const RlPortInfo *const info  = &rl_ports[port];
  const float *const      value = (const float *)b->port[port];
  if (!isfinite(*value)) {
    return info->standard;
  }
  const float whole = info->flags & RL_INTEGER ? roundf(*value) : *value;
  return fminf(fmaxf(whole, info->low), info->high);
}

static void
settings_read(RlProcessor *const b)
{
  const float *const in = b->input;
  RlSettings         s  = {
             .hand      = {.harp     = {.key    = (uint8_t)in[RL_PORT_HARP_KEY],
                                        .range  = (int8_t)in[RL_PORT_HARP_REGISTER],
                                        .tuning = (RlTuning)in[RL_PORT_TUNING]},
                           .player   = {.draw_bends = (uint8_t)in[RL_PORT_BEND_DEPTH],
                                        .blow_bends = (uint8_t)in[RL_PORT_BLOW_BEND_DEPTH],
                                        .overblows  = in[RL_PORT_OVERBLOWS] > 0},
                           .song_key = (int)in[RL_PORT_SONG_KEY]},
             .start_bar = (int)in[RL_PORT_START_BAR],
             .by_beats  = in[RL_PORT_COUNT_BY] > 0,
             .by_taps   = in[RL_PORT_CLOCK] > 0,
  };
  rl_follower_settings(&b->follower, &s);
  rl_osc_publisher_tune(&b->publisher, in[RL_PORT_SEND_OSC] > 0 && in[RL_PORT_ENABLED] > 0,
                        in[RL_PORT_FREEWHEEL] > 0);
  b->hand_due = !rl_hand_same(&s.hand, &b->asked_for);
  ++b->changes;
}

/* ---- takes ---- */

static void
take_tell(RlProcessor *const b, const RlTakeEvent *const event)
{
  const RlAskHead head = {RL_ASK_TAKE, 0, sizeof(*event), 0};
  rl_capture_told(&b->capture, event, rl_processor_ask(b, head, event));
  b->changes += event->kind != RL_TAKE_MIDI || event->bytes[0] >> 4 == 0x9; /* bends show nothing */
}

/* What is over is over before anything else is heard: a loop's first note comes with the jump. */
static void
take_pass(RlProcessor *const b, const int64_t frames)
{
  RlTakeEvent event;
  if (rl_capture_pass(&b->capture, &b->follower, frames, &event)) {
    take_tell(b, &event);
  }
}

void
rl_processor_note(RlProcessor *const b, const uint8_t *const bytes, const uint32_t size)
{
  RlTakeEvent event;
  take_pass(b, 0);
  if (rl_capture_hear(&b->capture, &b->follower, bytes, size, &event)) {
    take_tell(b, &event);
  }
}

void
rl_processor_pedal(RlProcessor *const b, const RlPedal pedal)
{
  RlTakeEvent event;
  if (pedal != RL_PEDAL_CAPTURE) {
    rl_follower_pedal(&b->follower, pedal);
  } else if (rl_capture_press(&b->capture, &event)) {
    take_tell(b, &event);
  }
  ++b->changes;
}

/* Do the inputs stand otherwise than when last read? */
static bool
inputs_changed(const RlProcessor *const b)
{
  uint32_t changed = !b->read;
  for (int p = RL_FIRST_INPUT; p < RL_INPUTS_END; ++p) {
    uint32_t raw;
    memcpy(&raw, b->port[p], sizeof(raw));
    changed |= raw ^ b->raw[p];
  }
  return changed;
}

static void
inputs_read(RlProcessor *const b)
{
  float before[RL_PORTS];
  if (!inputs_changed(b)) {
    return;
  }
  memcpy(before, b->input, sizeof(before));
  for (int p = RL_FIRST_INPUT; p < RL_INPUTS_END; ++p) {
    memcpy(&b->raw[p], b->port[p], sizeof(b->raw[p]));
    b->input[p] = input_read(b, (RlPort)p);
  }
  settings_read(b);
  for (int pedal = 0; pedal < RL_PEDALS; ++pedal) {
    const RlPort port = pedal_ports[pedal];
    if (b->read && b->input[port] > 0 && !(before[port] > 0)) {
      rl_processor_pedal(b, (RlPedal)pedal);
    }
  }
  b->read = true;
}

/* ---- the block ---- */

static void
place_tell(RlProcessor *const b, const int64_t frame)
{
  if (b->changes == b->window.changes && b->follower.looks == b->window.looks) {
    return;
  }
  const bool lit = b->input[RL_PORT_ENABLED] > 0;
  const bool due =
    b->changes != b->window.changes || rl_change_detector_sees(&b->window, &b->follower);
  if (b->publisher.busy) {
    rl_osc_publisher_tell(&b->publisher, &b->follower, b->changes, frame);
  }
  if (!due || rl_notify_place(&b->notify, frame, &b->follower, lit,
                              rl_capture_shown(&b->capture))) { /* else no room: later */
    rl_change_detector_told(&b->window, &b->follower, b->changes, due);
  }
}

/* The phrases, and how far nothing of them changes. The window finds that out by itself. */
static int64_t
phrases_play(RlProcessor *const b, const int64_t frame, const int64_t frames)
{
  const int64_t passes =
    rl_midi_out_play(&b->midi_out, &b->follower, frame, rl_follower_straight(&b->follower, frames),
                     b->input[RL_PORT_ENABLED] > 0);
  if (b->publisher.busy && b->midi_out.changes != b->publisher.notes) {
    rl_osc_publisher_tell(&b->publisher, &b->follower, b->changes, frame);
  }
  return passes;
}

/* Time passes up to `frame` of the block. What is new is told just before it does, so that of
   several things that happen at one frame the last holds. */
static void
pass(RlProcessor *const b, int64_t *const at, const int64_t frame)
{
  while (*at < frame) {
    int64_t left = frame - *at;
    if (rl_midi_out_busy(&b->midi_out, b->snapshot)) {
      left = phrases_play(b, *at, left);
    }
    if (b->capture.state == RL_CAPTURE_ON) {
      take_pass(b, rl_follower_straight(&b->follower, left));
    }
    place_tell(b, *at);
    *at += rl_follower_advance(&b->follower, left);
  }
}

typedef struct {
  RlWalk  walk;
  int64_t frame;
  RlAtom  atom;
  bool    more;
} Arrival;

static void
arrival_next(Arrival *const a)
{
  a->more = rl_event_next(&a->walk, &a->frame, &a->atom);
}

/* Events of both inputs in the order of their frames; one past the end of the block (some hosts
   send the window's there) counts as on the last frame. */
static void
events_take(RlProcessor *const b, int64_t *const at, const int64_t last)
{
  Arrival in[2];
  in[0].walk = rl_events(b->port[RL_PORT_CONTROL], &b->uris);
  in[1].walk = rl_events(b->port[RL_PORT_MIDI_IN], &b->uris);
  arrival_next(&in[0]);
  arrival_next(&in[1]);
  while (in[0].more || in[1].more) {
    Arrival *const a = !in[1].more || (in[0].more && in[0].frame <= in[1].frame) ? &in[0] : &in[1];
    pass(b, at, a->frame < last ? a->frame : last);
    rl_processor_events(b, &a->atom);
    arrival_next(a);
  }
}

static void
properties_tell(RlProcessor *const b, const int64_t frame)
{
  for (int p = 0; b->tell && p < RL_PROPERTIES; ++p) {
    const unsigned bit = 1U << p;
    if ((b->tell & bit) && rl_notify_property(&b->notify, frame, (RlProperty)p, b->snapshot)) {
      b->tell &= ~bit;
    }
  }
}

static void
output(const RlProcessor *const b, const RlPort port, const float value)
{
  memcpy(b->port[port], &value, sizeof(value));
}

/* The place now, on the last frame of the block. */
static void
outputs_write(const RlProcessor *const b)
{
  const RlFollower *const l     = &b->follower;
  const RlPlace *const    place = &l->now.place;
  const float             beat  = rl_follower_shown_beat(l);
  output(b, RL_PORT_CHORUS, (float)place->chorus);
  output(b, RL_PORT_FORM_BAR, beat > 0 ? (float)place->bar : 0);
  output(b, RL_PORT_FORM_BEAT, beat);
  output(b, RL_PORT_POSITION, (float)l->position);
  output(b, RL_PORT_SURE, l->now.sure);
}

/* ---- sound ---- */

static void
sound_copy(const RlProcessor *const b, const RlPort from, const RlPort to, const uint32_t frames)
{
  if (b->port[from] && b->port[to] && b->port[from] != b->port[to]) {
    memmove(b->port[to], b->port[from], frames * sizeof(float));
  }
}

/* A host may give one side's input and the other side's output the same buffer. */
static void
sound_cross(const RlProcessor *const b, const uint32_t frames)
{
  const float *const in_left   = (const float *)b->port[RL_PORT_IN_LEFT];
  const float *const in_right  = (const float *)b->port[RL_PORT_IN_RIGHT];
  float *const       out_left  = (float *)b->port[RL_PORT_OUT_LEFT];
  float *const       out_right = (float *)b->port[RL_PORT_OUT_RIGHT];
  for (uint32_t i = 0; i < frames; ++i) {
    const float left  = in_left[i];
    const float right = in_right[i];
    out_left[i]       = left;
    out_right[i]      = right;
  }
}

static void
sound_pass(const RlProcessor *const b, const uint32_t frames)
{
  void *const *const port = b->port;
  const bool whole = port[RL_PORT_IN_LEFT] && port[RL_PORT_IN_RIGHT] && port[RL_PORT_OUT_LEFT] &&
                     port[RL_PORT_OUT_RIGHT];
  if (whole && (port[RL_PORT_OUT_LEFT] == port[RL_PORT_IN_RIGHT] ||
                port[RL_PORT_OUT_RIGHT] == port[RL_PORT_IN_LEFT])) {
    sound_cross(b, frames);
  } else {
    sound_copy(b, RL_PORT_IN_LEFT, RL_PORT_OUT_LEFT, frames);
    sound_copy(b, RL_PORT_IN_RIGHT, RL_PORT_OUT_RIGHT, frames);
  }
}

/* ---- all together ---- */

static void
air_end(RlProcessor *const b, const int64_t last)
{
  rl_osc_publisher_end(&b->publisher, &b->follower, b->changes, last);
  b->wake |= b->publisher.put;
  b->publisher.put = false;
}

void
rl_processor_run(RlProcessor *const b, const uint32_t frames)
{
  const int64_t last = frames ? (int64_t)frames - 1 : 0;
  int64_t       at   = 0;
  sound_pass(b, frames);
  rl_notify_begin(&b->notify, b->port[RL_PORT_NOTIFY]);
  rl_midi_out_begin(&b->midi_out, b->port[RL_PORT_MIDI_OUT]);
  score_take(b);
  inputs_read(b);
  if (b->publisher.busy) {
    rl_osc_publisher_begin(&b->publisher, &b->follower, frames);
  }
  events_take(b, &at, last);
  pass(b, &at, last);
  place_tell(b, last);
  outputs_write(b);
  properties_tell(b, last);
  rl_notify_end(&b->notify);
  if (b->publisher.busy) {
    air_end(b, last);
  }
  pass(b, &at, frames);
  rest_ask(b);
  worker_wake(b);
}

void
rl_processor_restart(RlProcessor *const b)
{
  rl_follower_restart(&b->follower);
  rl_osc_publisher_refresh(&b->publisher);
  ++b->changes;
}

void
rl_processor_init(RlProcessor *const b, LV2_URID_Map *const map,
                  const LV2_Worker_Schedule *const schedule, const char *const own,
                  const double rate, RlRing *const ring, RlOutbox *const outbox,
                  RlMailbox *const mailbox)
{
  b->ring     = ring;
  b->outbox   = outbox;
  b->schedule = *schedule;
  b->mono     = !strcmp(own, RL_MONO_URI);
  b->snapshot = rl_outbox_pop(outbox);
  rl_uris_map(&b->uris, map, own);
  rl_processor_know_fields(b);
  rl_notify_init(&b->notify, map, &b->uris);
  rl_follower_init(&b->follower, rate, b->snapshot);
  rl_osc_publisher_init(&b->publisher, rate, &b->midi_out, mailbox);
  b->midi_out.uris = &b->uris;
  b->asked_for     = b->snapshot->hand;
  ++b->changes;
  for (int p = 0; p < RL_PORTS; ++p) {
    b->unplugged[p] = rl_ports[p].standard;
    rl_processor_connect(b, (RlPort)p, NULL);
  }
}

void
rl_processor_connect(RlProcessor *const b, const RlPort port, void *const data)
{
  const bool controls = rl_ports[port].kind == RL_KIND_IN || rl_ports[port].kind == RL_KIND_OUT;
  b->port[port]       = data || !controls ? data : &b->unplugged[port];
}
