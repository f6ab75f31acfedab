/* SPDX-License-Identifier: ISC */
/* What comes in on the atom inputs: transport reports, properties, foot switches. */
#include "plugin/protocol/patch.h"
#include "plugin/rt/processor.h"

#include <string.h>

static const uint8_t pedal_controllers[RL_PEDALS] = {
  [RL_PEDAL_TAP] = 80, [RL_PEDAL_BAR_ONE] = 81, [RL_PEDAL_STOP] = 82, [RL_PEDAL_CAPTURE] = 83};

/* The fields of time:Position in the order that hosts send them. */
static const struct {
  unsigned said;
  size_t   at; /* in RlReport: a double, or an int64_t where whole */
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
rl_processor_know_fields(RlProcessor *const b)
{
  const RlUris *const u      = &b->uris;
  const LV2_URID      keys[] = {
         u->time_frame,    u->time_speed,       u->time_barBeat,        u->time_bar,
         u->time_beatUnit, u->time_beatsPerBar, u->time_beatsPerMinute, u->time_beat};
  memcpy(b->report_key, keys, sizeof(keys));
}

static void
report_field(const RlProcessor *const b, const int field, const RlAtom *const value,
             RlReport *const report)
{
  char *const to = (char *)report + report_fields[field].at;
  const bool  read =
    report_fields[field].whole ? rl_whole(value, &b->uris, to) : rl_number(value, &b->uris, to);
  report->said |= read ? report_fields[field].said : 0U;
}

static void
report_take(RlProcessor *const b, RlWalk walk)
{
  RlReport report = {0};
  int      due    = 0; /* the field that usually comes next */
  LV2_URID key;
  RlAtom   value;
  while (rl_property_next(&walk, &key, &value)) {
    int n = 0;
    while (n < RL_REPORT_FIELDS && b->report_key[(due + n) % RL_REPORT_FIELDS] != key) {
      ++n;
    }
    if (n < RL_REPORT_FIELDS) {
      report_field(b, (due + n) % RL_REPORT_FIELDS, &value, &report);
      due = (due + n + 1) % RL_REPORT_FIELDS;
    } else if (key == b->uris.ardour_scale) {
      report.said |= RL_SAID_SCALE;
    }
  }
  rl_follower_report(&b->follower, &report);
}

static void
property_ask(RlProcessor *const b, const RlProperty property, const RlAtom *const value)
{
  const RlPropertyInfo *const info = &rl_properties[property];
  const RlUris *const         u    = &b->uris;
  const bool                  text = (info->access & RL_WRITE) &&
                    (value->type == u->atom_String || value->type == rl_property_type(property, u));
  const uint32_t  length = text ? rl_string_length(value) : 0;
  const bool      usable = text && length <= info->most;
  const RlAskHead head   = {usable ? RL_ASK_PROPERTY : RL_ASK_REFUSE, (uint32_t)property,
                          usable ? length : 0, 0};
  const unsigned  bit    = 1U << property;
  b->lost                = rl_processor_ask(b, head, value->body) ? b->lost & ~bit : b->lost | bit;
}

/* Those that are told of all that are asked for, a bit each. */
static unsigned
told(const unsigned asked)
{
  unsigned bits = 0;
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    bits |= rl_properties[p].access & RL_READ ? asked & (1U << p) : 0U;
  }
  return bits;
}

static void
patch_take(RlProcessor *const b, const RlWalk walk, const bool set)
{
  const RlPatch    patch    = rl_patch_read(walk, &b->uris);
  const RlProperty property = rl_property_of(patch.property, &b->uris);
  if (!rl_patch_ours(&patch, &b->uris)) {
    return;
  }
  if (set && property < RL_PROPERTIES && patch.value.body) {
    property_ask(b, property, &patch.value);
  } else if (!set && patch.named) {
    b->tell |= property < RL_PROPERTIES ? told(1U << property) : 0U;
  } else if (!set) {
    b->tell |= told(~0U);
    ++b->changes;
  }
}

/* Foot switches: general purpose buttons of MIDI 1.0, pressed from 64 up. The rest may be music. */
static void
midi_take(RlProcessor *const b, const RlAtom *const atom)
{
  uint8_t bytes[3];
  if (atom->size < sizeof(bytes)) {
    return;
  }
  memcpy(bytes, atom->body, sizeof(bytes));
  rl_processor_note(b, bytes, atom->size);
  for (int pedal = 0; pedal < RL_PEDALS; ++pedal) {
    if ((bytes[0] & 0xF0U) == 0xB0U && bytes[1] == pedal_controllers[pedal] && bytes[2] >= 64) {
      rl_processor_pedal(b, (RlPedal)pedal);
    }
  }
}

void
rl_processor_events(RlProcessor *const b, const RlAtom *const atom)
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
