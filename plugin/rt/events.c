/* SPDX-License-Identifier: ISC */
/* What comes in on the atom inputs: transport reports, properties, foot switches. */
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

/* Bytes of a text up to its NUL. */
static uint32_t
text_length(const RlAtom *const atom)
{
  const void *const nul = memchr(atom->body, '\0', atom->size);
  return nul ? (uint32_t)((const char *)nul - atom->body) : atom->size;
}

static void
property_ask(RlProcessor *const b, const RlProperty property, const RlAtom *const value)
{
  static const uint32_t most[RL_PROPERTIES] = {[RL_CHART]      = RL_CHART_MAX,
                                               [RL_CHART_FILE] = RL_PATH_MAX - 1,
                                               [RL_PLAN]       = RL_PLAN_MAX,
                                               [RL_TAKE]       = RL_PLAN_MAX,
                                               [RL_OSC_TO]     = RL_ADDRESS_MAX - 1};
  const RlUris *const   u                   = &b->uris;
  const bool            path   = property == RL_CHART_FILE && value->type == u->atom_Path;
  const bool            text   = property != RL_PROBLEM && (path || value->type == u->atom_String);
  const uint32_t        length = text ? text_length(value) : 0;
  const bool            usable = text && length <= most[property];
  const RlAskHead       head   = {usable ? RL_ASK_PROPERTY : RL_ASK_REFUSE, (uint32_t)property,
                          usable ? length : 0, 0};
  const unsigned        bit    = 1U << property;
  b->lost = rl_processor_ask(b, head, value->body) ? b->lost & ~bit : b->lost | bit;
}

/* Which of ours a URID is, RL_PROPERTIES if none. */
static RlProperty
property_of(const RlProcessor *const b, const LV2_URID urid)
{
  const LV2_URID ours[RL_PROPERTIES] = {b->uris.rl_chart,  b->uris.rl_chart_file,
                                        b->uris.rl_plan,   b->uris.rl_take,
                                        b->uris.rl_osc_to, b->uris.rl_problem};
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
patch_take(RlProcessor *const b, RlWalk walk, const bool set)
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
    b->changes += !one;
  } else if (property < RL_PROPERTIES && patch.value.body) {
    property_ask(b, property, &patch.value);
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
