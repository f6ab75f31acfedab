/* SPDX-License-Identifier: ISC */
#include "plugin/rt/processor.h"

#include <math.h>
#include <string.h>

static const RlPort pedal_ports[RL_PEDALS] = {[RL_PEDAL_TAP]         = RL_PORT_TAP,
                                              [RL_PEDAL_BAR_ONE]     = RL_PORT_BAR_ONE,
                                              [RL_PEDAL_STOP]        = RL_PORT_STOP,
                                              [RL_PEDAL_CAPTURE]     = RL_PORT_CAPTURE,
                                              [RL_PEDAL_HALF_TIME]   = RL_PORT_HALF_TIME,
                                              [RL_PEDAL_DOUBLE_TIME] = RL_PORT_DOUBLE_TIME};

/* ---- to the worker ---- */

bool
rl_processor_ask(RlProcessor *const p, RlAskHead head, const void *const body)
{
  head.session     = p->snapshot->bar_one_version;
  const bool asked = rl_ring_write(p->ring, &head, sizeof(head), body, head.size);
  p->wake          = p->wake || asked;
  return asked;
}

static void
worker_wake(RlProcessor *const p)
{
  static const char nudge = 0;
  if (p->wake &&
      p->schedule.schedule_work(p->schedule.handle, sizeof(nudge), &nudge) == LV2_WORKER_SUCCESS) {
    p->wake = false;
  }
}

static void
snapshot_retire(RlProcessor *const p)
{
  const RlAskHead head = {RL_ASK_FREE, 0, sizeof(p->retired), 0};
  if (p->retired && rl_processor_ask(p, head, &p->retired)) {
    p->retired = NULL;
  }
}

enum { RESTORING = 2 /* blocks */ };

/* The newest snapshot comes into force, once the one before is on its way back. */
static void
snapshot_adopt(RlProcessor *const p)
{
  snapshot_retire(p);
  RlSnapshot *const next = p->retired ? NULL : rl_outbox_pop(p->outbox);
  if (!next) {
    return;
  }
  for (int i = 0; i < RL_PROPERTIES; ++i) {
    p->tell |= next->version[i] != p->snapshot->version[i] ? 1U << i : 0U;
  }
  if (next->version[RL_OSC_TO] != p->snapshot->version[RL_OSC_TO]) {
    rl_osc_publisher_refresh(&p->publisher);
  }
  if (next->version[RL_CHART] != p->snapshot->version[RL_CHART]) {
    rl_capture_chart_changes(&p->capture);
  }
  if (next->bar_one_version != p->snapshot->bar_one_version) {
    p->restoring = RESTORING;
  }
  rl_follower_snapshot(&p->follower, next);
  p->retired  = p->snapshot;
  p->snapshot = next;
  rl_midi_out_stop(&p->midi_out);
  ++p->changes;
  snapshot_retire(p);
}

/* What the document does not know yet, because it is new or because the ring was full. */
static void
rest_ask(RlProcessor *const p)
{
  const RlHand *const hand         = &p->follower.settings.hand;
  const RlAskHead     hand_head    = {RL_ASK_HAND, 0, sizeof(*hand), 0};
  const RlAskHead     bar_one_head = {RL_ASK_BAR_ONE, 0, sizeof(RlBarOne), 0};
  if (p->hand_due && rl_processor_ask(p, hand_head, hand)) {
    p->hand_due  = false;
    p->asked_for = *hand;
  }
  if (p->bar_ones != p->follower.bar_ones &&
      rl_processor_ask(p, bar_one_head, &p->follower.bar_one)) {
    p->bar_ones = p->follower.bar_ones;
  }
  for (uint32_t i = 0; p->lost && i < RL_PROPERTIES; ++i) {
    const RlAskHead head = {RL_ASK_LOST, i, 0, 0};
    if ((p->lost & (1U << i)) && rl_processor_ask(p, head, NULL)) {
      p->lost &= ~(1U << i);
    }
  }
}

/* ---- control inputs ---- */

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

static void
settings_read(RlProcessor *const p)
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
  };
  rl_follower_settings(&p->follower, &s);
  p->wake |= rl_listening_tune(&p->listening, s.clock == RL_BY_EAR,
                               in[RL_PORT_SONG_KEY] > AS_WRITTEN, in[RL_PORT_FREEWHEEL] > 0);
  rl_osc_publisher_tune(&p->publisher, in[RL_PORT_SEND_OSC] > 0 && in[RL_PORT_ENABLED] > 0,
                        in[RL_PORT_FREEWHEEL] > 0);
  p->hand_due = !rl_hand_same(&s.hand, &p->asked_for);
  ++p->changes;
}

/* ---- takes ---- */

static void
take_tell(RlProcessor *const p, const RlTakeEvent *const event)
{
  const RlAskHead head = {RL_ASK_TAKE, 0, sizeof(*event), 0};
  rl_capture_told(&p->capture, event, rl_processor_ask(p, head, event));
  p->changes += event->kind != RL_TAKE_MIDI || event->bytes[0] >> 4 == 0x9; /* bends show nothing */
}

/* What is over is over before anything else is heard: a loop's first note comes with the jump. */
static void
take_pass(RlProcessor *const p, const int64_t frames)
{
  RlTakeEvent event;
  if (rl_capture_pass(&p->capture, &p->follower, frames, &event)) {
    take_tell(p, &event);
  }
}

void
rl_processor_note(RlProcessor *const p, const uint8_t *const bytes, const uint32_t size)
{
  RlTakeEvent event;
  take_pass(p, 0);
  if (rl_capture_hear(&p->capture, &p->follower, bytes, size, &event)) {
    take_tell(p, &event);
  }
}

void
rl_processor_pedal(RlProcessor *const p, const RlPedal pedal)
{
  RlTakeEvent event;
  if (p->listening.wanted && pedal != RL_PEDAL_CAPTURE) {
    rl_listening_pedal(&p->listening, pedal);
  } else if (pedal != RL_PEDAL_CAPTURE) {
    rl_follower_pedal(&p->follower, pedal);
  } else if (rl_capture_press(&p->capture, &event)) {
    take_tell(p, &event);
  }
  ++p->changes;
}

static inline bool
inputs_differ(const RlProcessor *const p, const int first, const int end)
{
  uint32_t differ = 0, raw;
  for (int i = first; i < end; ++i) {
    memcpy(&raw, p->port[i], sizeof(raw));
    differ |= raw ^ p->raw[i];
  }
  return differ;
}

/* Do the inputs stand otherwise than when last read? */
static bool
inputs_changed(const RlProcessor *const p)
{
  return !p->read || inputs_differ(p, RL_FIRST_INPUT, RL_INPUTS_END) ||
         inputs_differ(p, RL_LATER_INPUTS, RL_LATER_INPUTS_END);
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

bool
rl_processor_freewheels(const RlProcessor *const p)
{
  return p->input[RL_PORT_FREEWHEEL] > 0;
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

static void
inputs_read(RlProcessor *const p)
{
  float before[RL_PORTS];
  if (!inputs_changed(p)) {
    return;
  }
  memcpy(before, p->input, sizeof(before));
  for (int i = RL_FIRST_INPUT; i < RL_LATER_INPUTS_END; i = rl_input_after(i)) {
    memcpy(&p->raw[i], p->port[i], sizeof(p->raw[i]));
    p->input[i] = input_read(p, (RlPort)i);
  }
  settings_read(p);
  if (!p->read) {
    unplugged_note(p);
  }
  triggers_read(p, before);
  p->read = true;
}

/* ---- the block ---- */

static void
place_tell(RlProcessor *const p, const int64_t frame)
{
  if (p->changes == p->window.changes && p->follower.looks == p->window.looks) {
    return;
  }
  const bool lit = p->input[RL_PORT_ENABLED] > 0;
  const bool due =
    p->changes != p->window.changes || rl_change_detector_sees(&p->window, &p->follower);
  if (p->publisher.busy) {
    rl_osc_publisher_tell(&p->publisher, &p->follower, p->changes, frame);
  }
  if (!due || rl_notify_place(&p->notify, frame, &p->follower, lit,
                              rl_capture_shown(&p->capture))) { /* else no room: later */
    rl_change_detector_told(&p->window, &p->follower, p->changes, due);
  }
}

/* The phrases, and how far nothing of them changes. The window finds that out by itself. */
static int64_t
phrases_play(RlProcessor *const p, const int64_t frame, const int64_t frames)
{
  const int64_t passes =
    rl_midi_out_play(&p->midi_out, &p->follower, frame, rl_follower_straight(&p->follower, frames),
                     p->input[RL_PORT_ENABLED] > 0);
  if (p->publisher.busy && p->midi_out.changes != p->publisher.notes) {
    rl_osc_publisher_tell(&p->publisher, &p->follower, p->changes, frame);
  }
  return passes;
}

/* Time passes up to `frame` of the block. What is new is told just before it does, so that of
   several things that happen at one frame the last holds. */
static void
pass(RlProcessor *const p, int64_t *const at, const int64_t frame)
{
  if (p->listening.wanted) {
    rl_processor_sound_hear(p, *at, frame);
  }
  while (*at < frame) {
    int64_t left = frame - *at;
    if (rl_midi_out_busy(&p->midi_out, p->snapshot)) {
      left = phrases_play(p, *at, left);
    }
    if (p->capture.state == RL_CAPTURE_ON) {
      take_pass(p, rl_follower_straight(&p->follower, left));
    }
    place_tell(p, *at);
    *at += rl_follower_advance(&p->follower, left);
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
events_hear(RlProcessor *const p, int64_t *const at, const int64_t last)
{
  Arrival in[2];
  in[0].walk = rl_events(p->port[RL_PORT_CONTROL], &p->uris);
  in[1].walk = rl_events(p->port[RL_PORT_MIDI_IN], &p->uris);
  arrival_next(&in[0]);
  arrival_next(&in[1]);
  while (in[0].more || in[1].more) {
    Arrival *const a = !in[1].more || (in[0].more && in[0].frame <= in[1].frame) ? &in[0] : &in[1];
    const int64_t  frame = a->frame < last ? a->frame : last;
    pass(p, at, frame);
    rl_processor_events(p, &a->atom);
    if (a == &in[1] && a->atom.type == p->uris.midi_MidiEvent && !rl_processor_switch(&a->atom)) {
      rl_midi_thru_hear(&p->midi_thru, &p->midi_out, *at, &a->atom,
                        !rl_midi_out_busy(&p->midi_out, p->snapshot));
    }
    arrival_next(a);
  }
}

static void
properties_tell(RlProcessor *const p, const int64_t frame)
{
  for (int i = 0; p->tell && i < RL_PROPERTIES; ++i) {
    const unsigned bit = 1U << i;
    if ((p->tell & bit) && rl_notify_property(&p->notify, frame, (RlProperty)i, p->snapshot)) {
      p->tell &= ~bit;
    }
  }
}

/* ---- all together ---- */

static void
publisher_end(RlProcessor *const p, const int64_t last)
{
  rl_osc_publisher_end(&p->publisher, &p->follower, p->changes, last);
  p->wake |= p->publisher.put;
  p->publisher.put = false;
}

void
rl_processor_run(RlProcessor *const p, const uint32_t frames)
{
  const int64_t last = frames ? (int64_t)frames - 1 : 0;
  int64_t       at   = 0;
  rl_processor_sound_pass(p, frames);
  rl_notify_begin(&p->notify, p->port[RL_PORT_NOTIFY]);
  rl_midi_out_begin(&p->midi_out, p->port[RL_PORT_MIDI_OUT]);
  rl_midi_thru_begin(&p->midi_thru, &p->midi_out);
  snapshot_adopt(p);
  inputs_read(p);
  if ((p->listening.wanted || p->listening.state != RL_HEARING_OFF) && rl_processor_news_read(p)) {
    settings_read(p); /* the key may be another one */
  }
  if (p->publisher.busy) {
    rl_osc_publisher_begin(&p->publisher, &p->follower, frames);
  }
  events_hear(p, &at, last);
  pass(p, &at, last);
  place_tell(p, last);
  rl_processor_outputs_write(p);
  if (p->tell_hearing) {
    rl_processor_hearing_tell(p, last);
  }
  properties_tell(p, last);
  rl_notify_end(&p->notify);
  if (p->publisher.busy) {
    publisher_end(p, last);
  }
  pass(p, &at, frames);
  rest_ask(p);
  worker_wake(p);
  p->restoring -= p->restoring > 0;
  p->passed += frames;
  p->last_block    = frames;
  p->longest_block = frames > p->longest_block ? frames : p->longest_block;
}

void
rl_processor_restart(RlProcessor *const p)
{
  rl_follower_restart(&p->follower);
  p->longest_block = 0;
  rl_osc_publisher_refresh(&p->publisher);
  ++p->changes;
}

void
rl_processor_init(RlProcessor *const p, LV2_URID_Map *const map,
                  const LV2_Worker_Schedule *const schedule, const char *const own,
                  const double rate, RlRing *const ring, RlOutbox *const outbox,
                  RlMailbox *const mailbox, RlListenDesk *const desk)
{
  p->ring     = ring;
  p->outbox   = outbox;
  p->schedule = *schedule;
  p->face     = rl_face_of(own);
  p->snapshot = rl_outbox_pop(outbox);
  rl_uris_map(&p->uris, map, own);
  rl_processor_know_fields(p);
  rl_notify_init(&p->notify, map, &p->uris);
  rl_follower_init(&p->follower, rate, p->snapshot);
  rl_listening_init(&p->listening, desk, rate);
  rl_osc_publisher_init(&p->publisher, rate, &p->midi_out, mailbox);
  p->publisher.listening = &p->listening;
  p->midi_out.uris       = &p->uris;
  p->asked_for           = p->snapshot->hand;
  ++p->changes;
  for (int i = 0; i < RL_PORTS; ++i) {
    p->unplugged[i] = rl_ports[i].standard;
    rl_processor_connect(p, (RlPort)i, NULL);
  }
}

void
rl_processor_connect(RlProcessor *const p, const RlPort port, void *const data)
{
  const bool controls = rl_ports[port].kind == RL_KIND_IN || rl_ports[port].kind == RL_KIND_OUT;
  p->port[port]       = data || !controls ? data : &p->unplugged[port];
}
