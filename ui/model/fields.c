/* SPDX-License-Identifier: ISC */
#include "ui/model/fields.h"
#include "ui/model/music_signs.h"

#include <assert.h>
#include <math.h>

enum { STEPS = 4, AS_WRITTEN = 12 };

static const int step[STEPS] = {-10, -1, 1, 10}; /* of the start bar */

static const char *const registers[]  = {"low", "standard", "high"};
static const char *const bends[]      = {"none", "½ step", "1 step", "1½ steps"};
static const char *const steps[]      = {"−10", "−1", "+1", "+10"};
static const char *const counts[]     = {"bars", "beats"};
static const char *const clocks[]     = {"host", "taps", "ear"};
static const char *const shows[]      = {"targets", "chord tones", "safe, blue", "all"};
static const char *const harps_from[] = {"no", "harp in", "track"};
static const char *const lasts[]      = {"chorus", "four bars"};
static const char *const sources[]    = {"MIDI", "harp", "track"};
static const char *const yes_no[]     = {"no", "yes"};
static const char *const on_off[]     = {"off", "on"};

/* What the entries of a list are. */
typedef enum { WORDS, KEYS, TUNINGS, POSITIONS } Naming;

static const struct {
  const char        *label;
  RlPort             port;
  int                choices;
  Naming             naming;
  const char *const *word;
  int                first; /* the port's value for the first entry */
} fields[RL_FIELDS] = {
  [RL_FIELD_SONG_KEY]     = {"song key", RL_PORT_SONG_KEY, 14, KEYS, NULL, 0},
  [RL_FIELD_HARP_KEY]     = {"harp key", RL_PORT_HARP_KEY, 12, KEYS, NULL, 0},
  [RL_FIELD_REGISTER]     = {"register", RL_PORT_HARP_REGISTER, 3, WORDS, registers, -1},
  [RL_FIELD_TUNING]       = {"tuning", RL_PORT_TUNING, RL_TUNINGS, TUNINGS, NULL, 0},
  [RL_FIELD_POSITION]     = {"position", RL_PORT_HARP_KEY, 12, POSITIONS, NULL, 0},
  [RL_FIELD_START_BAR]    = {"start bar", RL_PORT_START_BAR, STEPS, WORDS, steps, 0},
  [RL_FIELD_COUNT_BY]     = {"count by", RL_PORT_COUNT_BY, 2, WORDS, counts, 0},
  [RL_FIELD_CLOCK]        = {"clock", RL_PORT_CLOCK, 3, WORDS, clocks, 0},
  [RL_FIELD_DRAW_BENDS]   = {"draw bends", RL_PORT_BEND_DEPTH, 4, WORDS, bends, 0},
  [RL_FIELD_BLOW_BENDS]   = {"blow bends", RL_PORT_BLOW_BEND_DEPTH, 4, WORDS, bends, 0},
  [RL_FIELD_OVERBLOWS]    = {"overblows", RL_PORT_OVERBLOWS, 2, WORDS, yes_no, 0},
  [RL_FIELD_SHOW]         = {"show", RL_PORT_SHOW, 4, WORDS, shows, 1},
  [RL_FIELD_HARP_FROM]    = {"hear me", RL_PORT_HARP_FROM, 3, WORDS, harps_from, 0},
  [RL_FIELD_OSC]          = {"phones", RL_PORT_SEND_OSC, 2, WORDS, on_off, 0},
  [RL_FIELD_SHOW_GROWS]   = {"show grows", RL_PORT_SHOW_GROWS, 2, WORDS, yes_no, 0},
  [RL_FIELD_KEEP_LAST]    = {"keep last", RL_PORT_KEEP_LAST_LENGTH, 2, WORDS, lasts, 0},
  [RL_FIELD_CAPTURE_FROM] = {"write down from", RL_PORT_CAPTURE_FROM, 3, WORDS, sources, 0},
};

const char *
rl_field_label(const RlField field)
{
  assert(field >= 0 && field < RL_FIELDS);
  return fields[field].label;
}

static bool
is_put(const RlView *const view, const RlField field)
{
  return field == RL_FIELD_START_BAR && rl_view_bar_one(view);
}

const char *
rl_field_title(const RlView *const view, const RlField field)
{
  return is_put(view, field) ? "bar 1 at" : rl_field_label(field);
}

/* The DAW's bar 1 lies on, or how many quarter notes behind the start bar. */
static void
bar_one_write(const RlView *const view, RlText *const text)
{
  const double quarters = view->report.bar_one_quarters;
  if (view->report.bar_one_at != 0) {
    rl_text_add_int(text, (int)lround(view->report.bar_one_at));
  } else {
    rl_text_add(text, quarters < 0 ? "−" : "+");
    rl_text_add_int(text, (int)lround(fabs(quarters)));
  }
}

void
rl_field_head(const RlView *const view, const RlField field, RlText *const text)
{
  if (!is_put(view, field)) {
    rl_text_add(text, rl_field_label(field));
    return;
  }
  rl_text_add(text, "bar 1 is at ");
  rl_text_add(text, view->report.bar_one_at != 0 ? "the DAW’s bar " : "the start bar ");
  bar_one_write(view, text);
  rl_text_add(text, view->report.bar_one_at != 0 ? "" : " quarter notes");
}

int
rl_field_choices(const RlField field)
{
  assert(field >= 0 && field < RL_FIELDS);
  return fields[field].choices;
}

RlPort
rl_field_port(const RlField field)
{
  return fields[field].port;
}

const char *
rl_position_name(const int position)
{
  static const char *const names[] = {"1st", "2nd", "3rd", "4th",  "5th",  "6th",
                                      "7th", "8th", "9th", "10th", "11th", "12th"};
  return names[(position + 11) % 12];
}

static void
key_write(const int tonic, const bool minor, RlText *const text)
{
  char   buffer[RL_NAME_SIZE];
  RlText name = rl_text_in(buffer, sizeof(buffer));
  rl_key_write(rl_key_named(tonic, minor), &name);
  rl_music_signs(buffer, text);
}

/* Only the song can be in minor: a harp is named by the note of its hole 1 blow. */
static bool
in_minor(const RlView *const view, const RlField field)
{
  return field == RL_FIELD_SONG_KEY && view->form && view->form->key.minor;
}

void
rl_field_choice(const RlView *const view, const RlField field, const int n, RlText *const text)
{
  assert(n >= 0 && n < rl_field_choices(field));
  switch (fields[field].naming) {
  case WORDS:
    rl_text_add(text, fields[field].word[n]);
    break;
  case KEYS:
    if (n >= AS_WRITTEN) {
      rl_text_add(text, n == AS_WRITTEN ? "as the chart" : "as heard");
    } else {
      key_write(n, in_minor(view, field), text);
    }
    break;
  case TUNINGS:
    rl_text_add(text, rl_tuning_name((RlTuning)n));
    break;
  case POSITIONS:
    rl_text_add(text, rl_position_name(n + 1));
    break;
  }
}

int
rl_field_entries(const RlView *const view, const RlField field)
{
  return rl_field_choices(field) + is_put(view, field);
}

void
rl_field_entry(const RlView *const view, const RlField field, const int n, RlText *const text)
{
  if (n < rl_field_choices(field)) {
    rl_field_choice(view, field, n, text);
  } else {
    rl_text_add(text, "reset");
  }
}

static int
port_value(const RlView *const view, const RlField field)
{
  return (int)lroundf(view->port[fields[field].port]);
}

static int
position_of(const RlView *const view)
{
  return rl_harp_position(rl_view_harp(view).key, rl_spelling_class(rl_view_key(view).tonic));
}

int
rl_field_chosen(const RlView *const view, const RlField field)
{
  const bool grown = field == RL_FIELD_SHOW && rl_view_grown(view);
  const int  n = (grown ? (int)rl_view_show(view) : port_value(view, field)) - fields[field].first;
  return field == RL_FIELD_START_BAR           ? -1
         : field == RL_FIELD_POSITION          ? position_of(view) - 1
         : n >= 0 && n < fields[field].choices ? n
                                               : -1;
}

void
rl_field_value(const RlView *const view, const RlField field, RlText *const text)
{
  const int chosen = rl_field_chosen(view, field);
  if (is_put(view, field)) {
    bar_one_write(view, text);
  } else if (field == RL_FIELD_START_BAR) {
    rl_text_add_int(text, port_value(view, field));
  } else if (field == RL_FIELD_SONG_KEY) { /* the key it results in, not `as the chart` */
    key_write(rl_spelling_class(rl_view_key(view).tonic), rl_view_key(view).minor, text);
  } else if (chosen >= 0) {
    rl_field_choice(view, field, chosen, text);
  }
}

/* The start bar as it is, or as it would be to say where bar 1 was put. */
static int
start_bar(const RlView *const view)
{
  return view->report.bar_one_at != 0
           ? (int)lround(view->report.bar_one_at) - (view->form ? view->form->lead_in : 0)
           : port_value(view, RL_FIELD_START_BAR);
}

float
rl_field_to(const RlView *const view, const RlField field, const int n)
{
  const int               tonic = rl_spelling_class(rl_view_key(view).tonic);
  const int               value = field == RL_FIELD_START_BAR  ? start_bar(view) + step[n]
                                  : field == RL_FIELD_POSITION ? rl_pitch_class(tonic - 7 * n)
                                                               : fields[field].first + n;
  const RlPortInfo *const port  = &rl_ports[fields[field].port];
  return fminf(fmaxf((float)value, port->low), port->high);
}

bool
rl_field_typed(const RlField field)
{
  return field == RL_FIELD_START_BAR || field == RL_FIELD_OSC;
}

void
rl_field_typing(const RlView *const view, const RlField field, RlText *const text)
{
  if (field == RL_FIELD_OSC) {
    rl_text_add(text, view->osc_to);
  } else if (field == RL_FIELD_START_BAR) {
    rl_text_add_int(text, port_value(view, field));
  } else {
    rl_field_value(view, field, text);
  }
}
