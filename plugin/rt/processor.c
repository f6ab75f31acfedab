/* SPDX-License-Identifier: ISC */
#include "plugin/rt/processor.h"

#include <string.h>

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
    rl_stretch_forget(&p->stretch);
  }
  if (next->bar_one_version != p->snapshot->bar_one_version) {
    p->restoring = RESTORING;
  }
  rl_follower_snapshot(&p->follower, next);
  const bool grown = next->grown.to != p->snapshot->grown.to;
  p->retired       = p->snapshot;
  p->snapshot      = next;
  p->audition.busy = true;
  if (grown && p->read) {
    rl_processor_settings_read(p);
  }
  p->tell |= rl_outbox_has_picture(p->outbox) ? RL_TELL_PICTURE : 0U;
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

/* ---- the block ---- */

static inline uint32_t
inputs_differ(const RlProcessor *const p, const RlPortRange range)
{
  uint32_t differ = 0, raw;
  for (int i = (int)range.first; i < (int)range.end; ++i) {
    memcpy(&raw, p->port[i], sizeof(raw));
    differ |= raw ^ p->raw[i];
  }
  return differ;
}

/* Do the inputs stand otherwise than when last read? */
static bool
inputs_changed(const RlProcessor *const p)
{
  _Static_assert(RL_INPUT_RANGES == 4, "each is looked at; written out that costs half");
  return !p->read || (inputs_differ(p, rl_inputs[0]) | inputs_differ(p, rl_inputs[1]) |
                      inputs_differ(p, rl_inputs[2]) | inputs_differ(p, rl_inputs[3]));
}

/* Does what plays, is heard, written down or told want to know of the time that passes? */
static bool
is_heeded(const RlProcessor *const p)
{
  return rl_processor_place_is_new(p) || p->hears || p->capture.state == RL_CAPTURE_ON ||
         rl_midi_out_busy(&p->midi_out, p->snapshot);
}

void
rl_processor_pass(RlProcessor *const p, int64_t *const at, const int64_t frame)
{
  if (p->listening.wanted) {
    rl_processor_sound_hear(p, *at, frame);
  }
  while (*at < frame) {
    const int64_t left = frame - *at;
    *at += rl_follower_advance(&p->follower, is_heeded(p) ? rl_processor_heed(p, *at, left) : left);
  }
}

static void
publisher_end(RlProcessor *const p, const int64_t last)
{
  rl_osc_publisher_end(&p->publisher, &p->follower, p->changes, last);
  p->wake |= p->publisher.put;
  p->publisher.put = false;
}

static inline void
block_count(RlProcessor *const p, const uint32_t frames)
{
  p->restoring -= p->restoring > 0;
  p->passed += frames;
  p->last_block    = frames;
  p->longest_block = frames > p->longest_block ? frames : p->longest_block;
}

void
rl_processor_run(RlProcessor *const p, const uint32_t frames)
{
  const int64_t last = frames ? (int64_t)frames - 1 : 0;
  int64_t       at   = 0;
  rl_notify_begin(&p->notify, p->port[RL_PORT_NOTIFY]);
  rl_midi_out_begin(&p->midi_out, p->port[RL_PORT_MIDI_OUT]);
  rl_midi_thru_begin(&p->midi_thru, &p->midi_out);
  snapshot_adopt(p);
  if (inputs_changed(p)) {
    rl_processor_inputs_read(p);
  }
  if ((p->listening.wanted || p->listening.state != RL_HEARING_OFF) && rl_processor_news_read(p)) {
    rl_processor_settings_read(p); /* the key may be another one */
  }
  if (p->hears) {
    rl_processor_ears_begin(p);
  }
  if (p->publisher.busy) {
    rl_osc_publisher_begin(&p->publisher, &p->follower, frames);
  }
  if (rl_holds_events(p->port[RL_PORT_CONTROL]) || rl_holds_events(p->port[RL_PORT_MIDI_IN])) {
    rl_processor_events_hear(p, &at, last);
  }
  rl_processor_pass(p, &at, last);
  if (rl_processor_place_is_new(p)) {
    rl_processor_place_tell(p, last);
  }
  rl_processor_outputs_write(p);
  if (p->tell_hearing) {
    rl_processor_hearing_tell(p, last);
  }
  if (p->harp_ear.tell || p->harp_hits.atoms != p->harp_hits.told.count) {
    rl_processor_heard_tell(p, last);
  }
  if (p->tell) {
    rl_processor_properties_tell(p, last);
  }
  rl_notify_end(&p->notify);
  if (p->publisher.busy) {
    publisher_end(p, last);
  }
  rl_processor_pass(p, &at, frames);
  rl_processor_sound_pass(p, frames); /* last: an output may lie where an input was */
  if (p->audition.busy) {
    rl_processor_audition(p, frames);
  }
  rest_ask(p);
  worker_wake(p);
  block_count(p, frames);
}

void
rl_processor_restart(RlProcessor *const p)
{
  rl_follower_restart(&p->follower);
  rl_audition_drop(&p->audition);
  p->longest_block = 0;
  rl_osc_publisher_refresh(&p->publisher);
  ++p->changes;
}

void
rl_processor_init(RlProcessor *const p, LV2_URID_Map *const map,
                  const LV2_Worker_Schedule *const schedule, const char *const own,
                  const double rate, RlRing *const ring, RlOutbox *const outbox,
                  RlMailbox *const mailbox, RlListenDesk *const desk,
                  RlHarpEarDesk *const harp_desk, RlAuditionDesk *const audition_desk,
                  RlLendDesk *const track_desk)
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
  rl_harp_ear_init(&p->harp_ear, harp_desk, rate);
  rl_audition_init(&p->audition, audition_desk, rate);
  p->track.desk = track_desk;
  rl_osc_publisher_init(&p->publisher, rate, &p->midi_out, mailbox);
  p->publisher.listening = &p->listening;
  p->publisher.heard     = &p->harp_ear.heard;
  p->publisher.hits      = &p->harp_hits.told;
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
