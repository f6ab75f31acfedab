/* The LV2 face: ports in, ports out, messages both ways. What the music means is the leader's
   business (leader.h), what is read and kept the desk's (desk.h). */
#include "atoms.h"
#include "desk.h"
#include "leader.h"
#include "notify.h"
#include "ports.h"
#include "state.h"
#include "uris.h"

#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/worker/worker.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Everything the audio thread touches. */
typedef struct {
  void               *port[RL_PORTS];
  uint32_t            raw[RL_PORTS]; /* the control inputs as they stood in the ports, bit by bit */
  float               input[RL_PORTS]; /* the same as they can be used */
  bool                read;            /* they have been */
  bool                mono;
  bool                wake, changed;
  unsigned            tell; /* text properties still to be told, a bit each */
  RlUris              uris;
  RlLeader            leader;
  RlNotify            notify;
  RlScore            *score;
  RlScore            *retired; /* to be freed by the worker as soon as the ring has room */
  RlHand              asked_for;
  RlNow               told;
  RlRing             *ring;
  RlDesk             *desk;
  LV2_Worker_Schedule schedule;
} Band;

typedef struct {
  Band   band;
  RlRing ring;
  RlDesk desk;
} Reedlamp;

static const uint8_t pedal_controllers[RL_PEDALS] = {
  [RL_PEDAL_TAP] = 80, [RL_PEDAL_BAR_ONE] = 81, [RL_PEDAL_STOP] = 82};

static const RlPort pedal_ports[RL_PEDALS] = {[RL_PEDAL_TAP]     = RL_PORT_TAP,
                                              [RL_PEDAL_BAR_ONE] = RL_PORT_BAR_ONE,
                                              [RL_PEDAL_STOP]    = RL_PORT_STOP};

/* ---- to the worker ---- */

static bool
ask(Band *const b, const RlAskHead head, const void *const body)
{
  const bool asked = rl_ring_write(b->ring, &head, sizeof(head), body, head.size);
  b->wake          = b->wake || asked;
  return asked;
}

static void
worker_wake(Band *const b)
{
  static const char nudge = 0;
  if (b->wake &&
      b->schedule.schedule_work(b->schedule.handle, sizeof(nudge), &nudge) == LV2_WORKER_SUCCESS) {
    b->wake = false;
  }
}

static void
score_retire(Band *const b)
{
  const RlAskHead head = {RL_ASK_FREE, 0, sizeof(b->retired)};
  if (b->retired && ask(b, head, &b->retired)) {
    b->retired = NULL;
  }
}

/* Takes the newest page off the desk, once the old one is on its way back. */
static void
score_take(Band *const b)
{
  score_retire(b);
  RlScore *const next = b->retired ? NULL : rl_desk_take(b->desk);
  if (!next) {
    return;
  }
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    b->tell |= !b->score || next->version[p] != b->score->version[p] ? 1U << p : 0U;
  }
  rl_leader_score(&b->leader, next);
  b->retired = b->score;
  b->score   = next;
  b->changed = true;
  score_retire(b);
}

static void
hand_ask(Band *const b)
{
  const RlHand *const hand = &b->leader.settings.hand;
  if (!rl_hand_same(hand, &b->asked_for)) {
    const RlAskHead head = {RL_ASK_HAND, 0, sizeof(*hand)};
    b->asked_for         = ask(b, head, hand) ? *hand : b->asked_for;
  }
}

/* ---- control inputs ---- */

/* A control input as it can be used: whole numbers whole, all in their range. */
static float
input_read(const Band *const b, const RlPort port)
{
  const RlPortInfo *const info  = &rl_ports[port];
  const float *const      value = (const float *)b->port[port];
  if (!value || !isfinite(*value)) {
    return info->standard;
  }
  const float whole = info->flags & RL_INTEGER ? roundf(*value) : *value;
  return fminf(fmaxf(whole, info->low), info->high);
}

static void
settings_read(Band *const b)
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
  rl_leader_settings(&b->leader, &s);
  b->changed = true;
}

static void
pedal_press(Band *const b, const RlPedal pedal)
{
  if (rl_leader_pedal(&b->leader, pedal)) {
    const RlAskHead head = {RL_ASK_BAR_ONE, 0, sizeof(RlBarOne)};
    ask(b, head, &b->leader.bar_one);
  }
  b->changed = true;
}

/* Notes the inputs as they stand; have they changed? */
static bool
inputs_changed(Band *const b)
{
  bool changed = !b->read;
  for (int p = RL_FIRST_INPUT; p < RL_INPUTS_END; ++p) {
    uint32_t raw = b->raw[p];
    if (b->port[p]) {
      memcpy(&raw, b->port[p], sizeof(raw));
    }
    changed   = changed || raw != b->raw[p];
    b->raw[p] = raw;
  }
  return changed;
}

static void
inputs_read(Band *const b)
{
  float before[RL_PORTS];
  if (!inputs_changed(b)) {
    return;
  }
  memcpy(before, b->input, sizeof(before));
  for (int p = RL_FIRST_INPUT; p < RL_INPUTS_END; ++p) {
    b->input[p] = input_read(b, (RlPort)p);
  }
  settings_read(b);
  for (int pedal = 0; pedal < RL_PEDALS; ++pedal) {
    const RlPort port = pedal_ports[pedal];
    if (b->read && b->input[port] > 0 && !(before[port] > 0)) {
      pedal_press(b, (RlPedal)pedal);
    }
  }
  b->read = true;
}

/* ---- events ---- */

typedef struct {
  LV2_URID key;
  unsigned said;
  size_t   at; /* of a double in RlReport, or of an int64_t where whole */
  bool     whole;
} ReportField;

static void
report_take(Band *const b, RlWalk walk)
{
  const RlUris *const u        = &b->uris;
  const ReportField   fields[] = {
      {u->time_frame, RL_SAID_FRAME, offsetof(RlReport, frame), true},
      {u->time_bar, RL_SAID_BAR, offsetof(RlReport, bar), true},
      {u->time_speed, RL_SAID_SPEED, offsetof(RlReport, speed), false},
      {u->time_barBeat, RL_SAID_BAR_BEAT, offsetof(RlReport, bar_beat), false},
      {u->time_beat, RL_SAID_BEAT, offsetof(RlReport, beat), false},
      {u->time_beatUnit, RL_SAID_BEAT_UNIT, offsetof(RlReport, beat_unit), false},
      {u->time_beatsPerBar, RL_SAID_BEATS_PER_BAR, offsetof(RlReport, beats_per_bar), false},
      {u->time_beatsPerMinute, RL_SAID_TEMPO, offsetof(RlReport, tempo), false},
  };
  RlReport report = {0};
  LV2_URID key;
  RlAtom   value;
  while (rl_property_next(&walk, &key, &value)) {
    double  number;
    int64_t whole;
    if (key == u->ardour_scale) {
      report.said |= RL_SAID_SCALE;
    }
    for (size_t i = 0; i < sizeof(fields) / sizeof(fields[0]); ++i) {
      if (fields[i].key == key && rl_number(&value, u, &number, &whole)) {
        char *const to = (char *)&report + fields[i].at;
        memcpy(to, fields[i].whole ? (void *)&whole : (void *)&number, 8);
        report.said |= fields[i].said;
      }
    }
  }
  rl_leader_report(&b->leader, &report);
}

/* Bytes of a text up to its NUL. */
static uint32_t
text_length(const RlAtom *const atom)
{
  const void *const nul = memchr(atom->body, '\0', atom->size);
  return nul ? (uint32_t)((const char *)nul - atom->body) : atom->size;
}

static void
property_ask(Band *const b, const RlProperty property, const RlAtom *const value)
{
  static const uint32_t most[] = {
    [RL_CHART] = RL_CHART_MAX, [RL_CHART_FILE] = RL_PATH_MAX - 1, [RL_OSC_TO] = RL_ADDRESS_MAX - 1};
  const RlUris *const u = &b->uris;
  const bool          text =
    value->type == u->atom_String || (property == RL_CHART_FILE && value->type == u->atom_Path);
  const uint32_t  length = text ? text_length(value) : 0;
  const bool      usable = text && length <= most[property];
  const RlAskHead head   = {usable ? RL_ASK_PROPERTY : RL_ASK_REFUSE, (uint32_t)property, length};
  const RlAskHead refuse = {RL_ASK_REFUSE, (uint32_t)property, 0};
  ask(b, usable ? head : refuse, value->body);
}

/* Which of ours a URID is, RL_PROPERTIES if none. */
static RlProperty
property_of(const Band *const b, const LV2_URID urid)
{
  const LV2_URID ours[RL_PROPERTIES] = {b->uris.rl_chart, b->uris.rl_chart_file, b->uris.rl_osc_to,
                                        b->uris.rl_problem};
  int            p                   = 0;
  while (p < RL_PROPERTIES && (!urid || ours[p] != urid)) {
    ++p;
  }
  return (RlProperty)p;
}

typedef struct {
  LV2_URID subject, property;
  RlAtom   value;
} Patch;

static LV2_URID
urid_in(const RlAtom *const atom, const RlUris *const u)
{
  LV2_URID urid = 0;
  if (atom->type == u->atom_URID && atom->size >= sizeof(urid)) {
    memcpy(&urid, atom->body, sizeof(urid));
  }
  return urid;
}

static void
patch_take(Band *const b, RlWalk walk, const bool set)
{
  const RlUris *const u     = &b->uris;
  Patch               patch = {0, 0, {NULL, 0, 0}};
  bool                one   = false; /* a property was named */
  LV2_URID            key;
  RlAtom              value;
  while (rl_property_next(&walk, &key, &value)) {
    one            = one || key == u->patch_property;
    patch.subject  = key == u->patch_subject ? urid_in(&value, u) : patch.subject;
    patch.property = key == u->patch_property ? urid_in(&value, u) : patch.property;
    patch.value    = key == u->patch_value ? value : patch.value;
  }
  const RlProperty property = property_of(b, patch.property);
  if (patch.subject && patch.subject != u->own) {
    return;
  }
  if (!set) {
    b->tell |= !one ? (1U << RL_PROPERTIES) - 1U : property < RL_PROPERTIES ? 1U << property : 0U;
    b->changed = b->changed || !one;
  } else if (property < RL_PROPERTIES && patch.value.body) {
    property_ask(b, property, &patch.value);
  }
}

/* Foot switches: general purpose buttons of MIDI 1.0, pressed from 64 up. */
static void
midi_take(Band *const b, const RlAtom *const atom)
{
  uint8_t bytes[3];
  if (atom->size < sizeof(bytes)) {
    return;
  }
  memcpy(bytes, atom->body, sizeof(bytes));
  for (int pedal = 0; pedal < RL_PEDALS; ++pedal) {
    if ((bytes[0] & 0xF0U) == 0xB0U && bytes[1] == pedal_controllers[pedal] && bytes[2] >= 64) {
      pedal_press(b, (RlPedal)pedal);
    }
  }
}

static void
event_take(Band *const b, const RlAtom *const atom)
{
  const RlUris *const u = &b->uris;
  RlWalk              walk;
  LV2_URID            otype;
  if (atom->type == u->midi_MidiEvent) {
    midi_take(b, atom);
  } else if (rl_object(atom, u, &walk, &otype)) {
    if (otype == u->time_Position) {
      report_take(b, walk);
    } else if (otype == u->patch_Get || otype == u->patch_Set) {
      patch_take(b, walk, otype == u->patch_Set);
    }
  }
}

/* ---- the block ---- */

/* Is there anything to tell that was not true when last told? Between whole beats the beat runs on
   by itself. */
static bool
news(const Band *const b)
{
  const RlNow *const now  = &b->leader.now;
  const RlNow *const told = &b->told;
  return b->changed || now->place.part != told->place.part || now->rolling != told->rolling ||
         now->place.chorus != told->place.chorus || now->place.bar != told->place.bar ||
         floor(now->place.beat) != floor(told->place.beat) || now->turn.now != told->turn.now ||
         now->turn.next != told->turn.next || now->sure != told->sure ||
         fabs(now->tempo - told->tempo) > 0.005 * told->tempo;
}

static void
place_tell(Band *const b, const int64_t frame)
{
  if (news(b) && rl_notify_place(&b->notify, frame, &b->leader, b->input[RL_PORT_ENABLED] > 0)) {
    b->told    = b->leader.now;
    b->changed = false;
  }
}

/* Time passes up to `frame` of the block. What is new is told just before it does, so that of
   several things that happen at one frame the last holds. */
static void
pass(Band *const b, int64_t *const at, const int64_t frame)
{
  while (*at < frame) {
    place_tell(b, *at);
    *at += rl_leader_advance(&b->leader, frame - *at);
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
events_take(Band *const b, int64_t *const at, const int64_t last)
{
  Arrival in[2] = {{.walk = rl_events(b->port[RL_PORT_CONTROL], &b->uris)},
                   {.walk = rl_events(b->port[RL_PORT_MIDI_IN], &b->uris)}};
  arrival_next(&in[0]);
  arrival_next(&in[1]);
  while (in[0].more || in[1].more) {
    Arrival *const a = !in[1].more || (in[0].more && in[0].frame <= in[1].frame) ? &in[0] : &in[1];
    pass(b, at, a->frame < last ? a->frame : last);
    event_take(b, &a->atom);
    arrival_next(a);
  }
}

static void
properties_tell(Band *const b, const int64_t frame)
{
  for (int p = 0; b->tell && p < RL_PROPERTIES; ++p) {
    const unsigned bit = 1U << p;
    if ((b->tell & bit) && rl_notify_property(&b->notify, frame, (RlProperty)p, b->score)) {
      b->tell &= ~bit;
    }
  }
}

static void
output(const Band *const b, const RlPort port, const double value)
{
  if (b->port[port]) {
    *(float *)b->port[port] = (float)value;
  }
}

/* The place now, on the last frame of the block. */
static void
outputs_write(const Band *const b)
{
  const RlLeader *const l     = &b->leader;
  const RlPlace *const  place = &l->now.place;
  const bool            known = place->part != RL_PART_NOWHERE && place->part != RL_PART_OVER;
  const double          beat  = fmax(0, rl_leader_beat(l, 0));
  const int             harp  = l->settings.hand.harp.key;
  output(b, RL_PORT_CHORUS, place->chorus);
  output(b, RL_PORT_FORM_BAR, known ? place->bar : 0);
  output(b, RL_PORT_FORM_BEAT, known ? 1 + fmin(beat, nextafter(place->beats, 0)) : 0);
  output(b, RL_PORT_POSITION, rl_harp_position(harp, rl_spelling_class(rl_leader_key(l).tonic)));
  output(b, RL_PORT_SURE, (double)l->now.sure);
}

/* ---- sound ---- */

static void
sound_copy(const Band *const b, const RlPort from, const RlPort to, const uint32_t frames)
{
  if (b->port[from] && b->port[to] && b->port[from] != b->port[to]) {
    memmove(b->port[to], b->port[from], frames * sizeof(float));
  }
}

/* A host may give one side's input and the other side's output the same buffer. */
static void
sound_cross(const Band *const b, const uint32_t frames)
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
sound_pass(const Band *const b, const uint32_t frames)
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

/* ---- the plugin ---- */

static void
run(const LV2_Handle handle, const uint32_t frames)
{
  Band *const   b    = &((Reedlamp *)handle)->band;
  const int64_t last = frames ? (int64_t)frames - 1 : 0;
  int64_t       at   = 0;
  sound_pass(b, frames);
  rl_notify_begin(&b->notify, b->port[RL_PORT_NOTIFY]);
  rl_sequence_clear(b->port[RL_PORT_MIDI_OUT], &b->uris);
  score_take(b);
  inputs_read(b);
  events_take(b, &at, last);
  pass(b, &at, last);
  place_tell(b, last);
  outputs_write(b);
  properties_tell(b, last);
  rl_notify_end(&b->notify);
  pass(b, &at, frames);
  hand_ask(b);
  worker_wake(b);
}

static void
connect_port(const LV2_Handle handle, const uint32_t index, void *const data)
{
  Band *const  b    = &((Reedlamp *)handle)->band;
  const RlPort port = rl_port_at(index, b->mono);
  if (port < RL_PORTS) {
    b->port[port] = data;
  }
}

static void
activate(const LV2_Handle handle)
{
  Band *const b = &((Reedlamp *)handle)->band;
  rl_leader_restart(&b->leader);
  b->changed = true;
}

static void
cleanup(const LV2_Handle handle)
{
  Reedlamp *const self = (Reedlamp *)handle;
  rl_desk_answer(&self->desk, &self->ring);
  rl_desk_free(self->band.retired);
  rl_desk_free(self->band.score);
  rl_desk_close(&self->desk);
  free(self);
}

static void *
feature(const LV2_Feature *const *const features, const char *const uri)
{
  for (int i = 0; features && features[i]; ++i) {
    if (!strcmp(features[i]->URI, uri)) {
      return features[i]->data;
    }
  }
  return NULL;
}

static LV2_Handle
instantiate(const LV2_Descriptor *const descriptor, const double rate, const char *const bundle,
            const LV2_Feature *const *const features)
{
  (void)bundle;
  LV2_URID_Map *const              map = (LV2_URID_Map *)feature(features, LV2_URID__map);
  const LV2_Worker_Schedule *const schedule =
    (const LV2_Worker_Schedule *)feature(features, LV2_WORKER__schedule);
  Reedlamp *const self = map && schedule ? (Reedlamp *)calloc(1, sizeof(Reedlamp)) : NULL;
  if (!self) {
    return NULL;
  }
  Band *const b = &self->band;
  b->ring       = &self->ring;
  b->desk       = &self->desk;
  b->schedule   = *schedule;
  b->mono       = !strcmp(descriptor->URI, RL_MONO_URI);
  rl_uris_map(&b->uris, map, descriptor->URI);
  rl_notify_init(&b->notify, map, &b->uris);
  rl_leader_init(&b->leader, rate);
  if (!rl_desk_open(&self->desk)) {
    cleanup(self);
    return NULL;
  }
  b->asked_for = self->desk.master.hand;
  score_take(b);
  return self;
}

static LV2_Worker_Status
work(const LV2_Handle handle, const LV2_Worker_Respond_Function respond,
     const LV2_Worker_Respond_Handle respond_handle, const uint32_t size, const void *const data)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)respond;
  (void)respond_handle;
  (void)size;
  (void)data;
  rl_desk_answer(&self->desk, &self->ring);
  return LV2_WORKER_SUCCESS;
}

/* Pages come over the desk's outbox, so that a restore can hand them over the same way. */
static LV2_Worker_Status
work_response(const LV2_Handle handle, const uint32_t size, const void *const body)
{
  (void)handle;
  (void)size;
  (void)body;
  return LV2_WORKER_SUCCESS;
}

static LV2_State_Status
save(const LV2_Handle handle, const LV2_State_Store_Function store, const LV2_State_Handle state,
     const uint32_t flags, const LV2_Feature *const *const features)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)flags;
  return rl_state_save(&self->desk, &self->band.uris, store, state,
                       (const LV2_State_Map_Path *)feature(features, LV2_STATE__mapPath),
                       (const LV2_State_Free_Path *)feature(features, LV2_STATE__freePath));
}

static LV2_State_Status
restore(const LV2_Handle handle, const LV2_State_Retrieve_Function retrieve,
        const LV2_State_Handle state, const uint32_t flags,
        const LV2_Feature *const *const features)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)flags;
  return rl_state_restore(&self->desk, &self->band.uris, retrieve, state,
                          (const LV2_State_Map_Path *)feature(features, LV2_STATE__mapPath),
                          (const LV2_State_Free_Path *)feature(features, LV2_STATE__freePath));
}

static const void *
extension_data(const char *const uri)
{
  static const LV2_Worker_Interface worker = {work, work_response, NULL};
  static const LV2_State_Interface  state  = {save, restore};
  return !strcmp(uri, LV2_WORKER__interface)  ? (const void *)&worker
         : !strcmp(uri, LV2_STATE__interface) ? (const void *)&state
                                              : NULL;
}

static const LV2_Descriptor descriptors[] = {
  {RL_PLUGIN_URI, instantiate, connect_port, activate, run, NULL, cleanup, extension_data},
  {RL_MONO_URI, instantiate, connect_port, activate, run, NULL, cleanup, extension_data},
};

LV2_SYMBOL_EXPORT const LV2_Descriptor *
lv2_descriptor(const uint32_t index)
{
  return index < sizeof(descriptors) / sizeof(descriptors[0]) ? &descriptors[index] : NULL;
}
