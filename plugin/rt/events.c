/* SPDX-License-Identifier: ISC */
/* What comes in on the atom inputs: transport reports, properties, foot switches. */
#include "plugin/protocol/patch.h"
#include "plugin/rt/processor.h"

#include <string.h>

static const uint8_t pedal_controllers[RL_PEDALS] = {
  [RL_PEDAL_TAP] = 80,      [RL_PEDAL_BAR_ONE] = 81,   [RL_PEDAL_STOP] = 82,
  [RL_PEDAL_CAPTURE] = 83,  [RL_PEDAL_HALF_TIME] = 85, [RL_PEDAL_DOUBLE_TIME] = 86,
  [RL_PEDAL_KEEP_LAST] = 84};

/* The fields of time:Position in the order that hosts send them. */
static const struct {
  unsigned said;
  uint16_t at; /* in RlReport: a double, or an int64_t where whole */
  bool     whole;
} report_fields[RL_REPORT_FIELDS] = {
  {RL_SAID_FRAME, offsetof(RlReport, frame), true},
  {RL_SAID_SPEED, offsetof(RlReport, speed), false},
  {RL_SAID_BAR_BEAT, offsetof(RlReport, bar_beat), false},
  {RL_SAID_BAR, offsetof(RlReport, bar), true},
  {RL_SAID_BEAT_UNIT, offsetof(RlReport, beat_unit), false},
  {RL_SAID_BEATS_PER_BAR, offsetof(RlReport, beats_per_bar), false},
  {RL_SAID_TEMPO, offsetof(RlReport, tempo), false},
  {RL_SAID_BEAT, offsetof(RlReport, beat), false},
};

void
rl_processor_know_fields(RlProcessor *const p)
{
  const RlUris *const u      = &p->uris;
  const LV2_URID      keys[] = {
         u->time_frame,    u->time_speed,       u->time_barBeat,        u->time_bar,
         u->time_beatUnit, u->time_beatsPerBar, u->time_beatsPerMinute, u->time_beat};
  memcpy(p->report_key, keys, sizeof(keys));
}

static void
report_field(const RlProcessor *const p, const int field, const RlAtom *const value,
             RlReport *const report)
{
  char *const to = (char *)report + report_fields[field].at;
  const bool  read =
    report_fields[field].whole ? rl_whole(value, &p->uris, to) : rl_number(value, &p->uris, to);
  report->said |= read ? report_fields[field].said : 0U;
}

static void
report_hear(RlProcessor *const p, RlWalk walk)
{
  RlReport report = {0};
  int      due    = 0; /* the field that usually comes next */
  LV2_URID key;
  RlAtom   value;
  while (rl_property_next(&walk, &key, &value)) {
    int n = 0;
    while (n < RL_REPORT_FIELDS && p->report_key[(due + n) % RL_REPORT_FIELDS] != key) {
      ++n;
    }
    if (n < RL_REPORT_FIELDS) {
      report_field(p, (due + n) % RL_REPORT_FIELDS, &value, &report);
      due = (due + n + 1) % RL_REPORT_FIELDS;
    } else if (key == p->uris.ardour_scale) {
      report.said |= RL_SAID_SCALE;
    }
  }
  rl_listening_report(&p->listening, &p->follower, &report);
}

static void
property_ask(RlProcessor *const p, const RlProperty property, const RlAtom *const value)
{
  const RlPropertyInfo *const info = &rl_properties[property];
  const RlUris *const         u    = &p->uris;
  const bool                  text = (info->access & RL_WRITE) &&
                    (value->type == u->atom_String || value->type == rl_property_type(property, u));
  const uint32_t  length = text ? rl_string_length(value) : 0;
  const bool      usable = text && length <= info->most;
  const RlAskHead head   = {usable ? RL_ASK_PROPERTY : RL_ASK_REFUSE, (uint32_t)property,
                          usable ? length : 0, 0};
  const unsigned  bit    = 1U << property;
  p->lost                = rl_processor_ask(p, head, value->body) ? p->lost & ~bit : p->lost | bit;
}

/* Those that are told of all that are asked for, a bit each. */
static unsigned
told(const unsigned asked)
{
  unsigned bits = 0;
  for (int i = 0; i < RL_PROPERTIES; ++i) {
    bits |= rl_properties[i].access & RL_READ ? asked & (1U << i) : 0U;
  }
  return bits;
}

static void
patch_hear(RlProcessor *const p, const RlWalk walk, const bool set)
{
  const RlPatch    patch    = rl_patch_read(walk, &p->uris);
  const RlProperty property = rl_property_of(patch.property, &p->uris);
  if (!rl_patch_ours(&patch, &p->uris)) {
    return;
  }
  if (set && property < RL_PROPERTIES && patch.value.body) {
    property_ask(p, property, &patch.value);
  } else if (!set && patch.named) {
    p->tell |= property < RL_PROPERTIES ? told(1U << property) : 0U;
  } else if (!set) {
    p->tell |= told(~0U);
    p->tell_hearing  = p->listening.wanted;
    p->harp_ear.tell = p->harp_ear.heard.listens;
    ++p->changes;
  }
}

/* Foot switches: general purpose controllers of MIDI 1.0, pressed from 64 up. RL_PEDALS: none. */
static RlPedal
pedal_of(const RlAtom *const atom, uint8_t bytes[3])
{
  int pedal = 0;
  if (atom->size < 3) {
    return RL_PEDALS;
  }
  memcpy(bytes, atom->body, 3);
  while (pedal < RL_PEDALS && bytes[1] != pedal_controllers[pedal]) {
    ++pedal;
  }
  return (bytes[0] & 0xF0U) == 0xB0U ? (RlPedal)pedal : RL_PEDALS;
}

static bool
is_switch(const RlAtom *const atom)
{
  uint8_t bytes[3];
  return pedal_of(atom, bytes) < RL_PEDALS;
}

/* What is no foot switch may be music. */
static void
midi_hear(RlProcessor *const p, const RlAtom *const atom)
{
  uint8_t       bytes[3];
  const RlPedal pedal = pedal_of(atom, bytes);
  if (atom->size < sizeof(bytes)) {
    return;
  }
  rl_processor_note(p, bytes, atom->size);
  if (pedal < RL_PEDALS && bytes[2] >= 64) {
    rl_processor_pedal(p, pedal);
  }
}

static void
event_heed(RlProcessor *const p, const RlAtom *const atom)
{
  const RlUris *const u = &p->uris;
  RlWalk              walk;
  LV2_URID            otype;
  if (atom->type == u->midi_MidiEvent) {
    midi_hear(p, atom);
  } else if (rl_object(atom, u, &walk, &otype)) {
    if (otype == u->time_Position) {
      report_hear(p, walk);
    } else if (otype == u->patch_Get || otype == u->patch_Set) {
      patch_hear(p, walk, otype == u->patch_Set);
    }
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
void
rl_processor_events_hear(RlProcessor *const p, int64_t *const at, const int64_t last)
{
  Arrival in[2];
  in[0].walk = rl_events(p->port[RL_PORT_CONTROL], &p->uris);
  in[1].walk = rl_events(p->port[RL_PORT_MIDI_IN], &p->uris);
  arrival_next(&in[0]);
  arrival_next(&in[1]);
  while (in[0].more || in[1].more) {
    Arrival *const a = !in[1].more || (in[0].more && in[0].frame <= in[1].frame) ? &in[0] : &in[1];
    const int64_t  frame = a->frame < last ? a->frame : last;
    rl_processor_pass(p, at, frame);
    event_heed(p, &a->atom);
    if (a == &in[1] && a->atom.type == p->uris.midi_MidiEvent && !is_switch(&a->atom)) {
      rl_midi_thru_hear(&p->midi_thru, &p->midi_out, *at, &a->atom,
                        !rl_midi_out_busy(&p->midi_out, p->snapshot));
    }
    arrival_next(a);
  }
}
