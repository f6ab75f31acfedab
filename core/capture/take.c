/* SPDX-License-Identifier: ISC */
#include "core/capture/take.h"

#include "core/phrase/phrase.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* MIDI 1.0: the upper half of a status byte, and numbers of controllers. */
enum {
  NOTE_OFF      = 0x8,
  NOTE_ON       = 0x9,
  CONTROL       = 0xB,
  BEND          = 0xE,
  DATA_COARSE   = 6,
  DATA_FINE     = 38,
  RPN_FINE      = 100,
  RPN_COARSE    = 101,
  SOUND_OFF     = 120,
  ALL_NOTES_OFF = 123
};

static const double range_default = 2;   /* semitones */
static const double scoop         = 0.4; /* semitones: a scoop begins so far below, at least */
static const double fall     = 0.8; /* and a fall ends so far below: more than a vibrato does */
static const double shortest = 1.0 / 1024; /* quarters: no note is shorter */
static const double late_off = 1.0 / 12;   /* quarters, see rl_take_midi() */

void
rl_take_begin(RlTake *const t)
{
  memset(t, 0, sizeof(*t));
  for (int c = 0; c < RL_TAKE_CHANNELS; ++c) {
    t->channel[c] = (RlTakeChannel){.range = range_default, .rpn = {127, 127}};
  }
}

void
rl_take_again(RlTake *const t)
{
  t->notes    = 0;
  t->too_many = 0;
  t->ended    = 0;
}

/* ---- bends ---- */

static void
bend_count(RlTakeNote *const n, const double bend, const double at)
{
  n->bend_sum += bend * (at - n->bend_since);
  n->bend_since = at;
}

static void
bend_set(RlTake *const t, const int channel, const int value, const double range, const double at)
{
  RlTakeChannel *const c = &t->channel[channel];
  for (int i = t->ended; i < t->notes; ++i) {
    RlTakeNote *const n = &t->note[i];
    if (n->sounds && n->channel == channel) {
      bend_count(n, c->bend, at);
    }
  }
  c->value = (int16_t)value;
  c->range = range;
  c->bend  = value * range / 8192;
}

/* What the bend of a whole note means: its mean is where the note was held, its beginning whether
   it was scooped, its end whether it fell. A bend that would leave the range of MIDI is ignored. */
static void
bend_judge(RlTakeNote *const n, const double bend_end)
{
  const double held  = n->bend_sum / (n->ends - n->at);
  const double to    = n->pitch + round(held);
  const double whole = to >= 0 && to <= 127 ? round(held) : 0;
  n->pitch           = (int16_t)(n->pitch + whole);
  n->articulation |= n->bend_begin < held - scoop ? RL_ARTICULATION_SCOOP : 0;
  n->articulation |= bend_end < held - fall ? RL_ARTICULATION_FALL : 0;
  n->articulation |= whole < 0 ? RL_ARTICULATION_BEND : 0;
}

/* ---- notes ---- */

static void
note_end(RlTake *const t, RlTakeNote *const n, const double at)
{
  n->ends = fmax(at, n->at + shortest);
  bend_count(n, t->channel[n->channel].bend, n->ends);
  bend_judge(n, t->channel[n->channel].bend);
  n->sounds = false;
  while (t->ended < t->notes && !t->note[t->ended].sounds) {
    ++t->ended;
  }
}

/* Where a key was struck again before it was let go: is this note off still that of the first note?
   At most one is. */
static bool
off_of_first(RlTakeNote *const n, const double at)
{
  const bool late = n->again && at - n->at < late_off;
  n->again        = n->again && !late;
  return late;
}

/* Ends the notes of a channel with that key, or with any key if it is negative. Returns how many.
 */
static int
notes_end(RlTake *const t, const int channel, const int key, const double at)
{
  int ended = 0;
  for (int i = t->ended; i < t->notes; ++i) {
    RlTakeNote *const n = &t->note[i];
    if (n->sounds && n->channel == channel && (key < 0 || n->key == key)) {
      note_end(t, n, at);
      ++ended;
    }
  }
  return ended;
}

static void
note_off(RlTake *const t, const int channel, const int key, const double at)
{
  RlTakeNote *const last = t->notes ? &t->note[t->notes - 1] : NULL;
  for (RlTakeNote *n = last; n && n >= t->note; --n) {
    if (n->sounds && n->channel == channel && n->key == key && off_of_first(n, at)) {
      return;
    }
  }
  notes_end(t, channel, key, at);
}

static void
note_begin(RlTake *const t, const int channel, const int key, const double at)
{
  const double bend  = t->channel[channel].bend;
  const bool   again = notes_end(t, channel, key, at) > 0;
  if (t->notes == RL_TAKE_NOTES_MAX) {
    t->too_many = (uint16_t)(t->too_many + (t->too_many < UINT16_MAX));
    return;
  }
  t->note[t->notes++] = (RlTakeNote){.at         = at,
                                     .pitch      = (int16_t)key,
                                     .key        = (uint8_t)key,
                                     .channel    = (uint8_t)channel,
                                     .sounds     = true,
                                     .again      = again,
                                     .bend_begin = bend,
                                     .bend_since = at};
}

/* ---- messages ---- */

static void
control_change(RlTake *const t, const int channel, const int control, const int value,
               const double at)
{
  RlTakeChannel *const c          = &t->channel[channel];
  const bool           bend_range = c->rpn[0] == 0 && c->rpn[1] == 0;
  switch (control) {
  case RPN_FINE:
  case RPN_COARSE:
    c->rpn[control - RPN_FINE] = (uint8_t)value;
    break;
  case DATA_COARSE:
    if (bend_range) {
      bend_set(t, channel, c->value, value + fmod(c->range, 1), at);
    }
    break;
  case DATA_FINE:
    if (bend_range) {
      bend_set(t, channel, c->value, floor(c->range) + fmin(value, 99) / 100, at);
    }
    break;
  default:
    if (control == SOUND_OFF || control >= ALL_NOTES_OFF) {
      notes_end(t, channel, -1, at);
    }
    break;
  }
}

void
rl_take_midi(RlTake *const t, const double at, const uint8_t *const bytes, const uint32_t size)
{
  assert(!t->notes || at > t->note[t->notes - 1].at - shortest); /* rl_take_split() rounds */
  if (size < 3 || (bytes[1] | bytes[2]) > 127) {
    return;
  }
  const int  channel = bytes[0] & 0xF;
  const bool off     = bytes[0] >> 4 == NOTE_ON && !bytes[2]; /* without velocity */
  switch (off ? NOTE_OFF : bytes[0] >> 4) {
  case NOTE_ON:
    note_begin(t, channel, bytes[1], at);
    break;
  case NOTE_OFF:
    note_off(t, channel, bytes[1], at);
    break;
  case CONTROL:
    control_change(t, channel, bytes[1], bytes[2], at);
    break;
  case BEND:
    bend_set(t, channel, (bytes[2] << 7 | bytes[1]) - 8192, t->channel[channel].range, at);
    break;
  default:
    break;
  }
}

void
rl_take_lifted(RlTake *const t, const double at, const double ends, const int midi,
               const float sure, const bool scooped, const bool fell)
{
  const uint8_t begins[3] = {NOTE_ON << 4, (uint8_t)midi, 96},
                over[3]   = {NOTE_OFF << 4, (uint8_t)midi, 0};
  const uint16_t before   = t->notes;
  rl_take_midi(t, at, begins, sizeof(begins));
  if (t->notes > before) {
    t->note[before].sure = (uint8_t)(1 + lrintf(99 * sure));
    t->note[before].articulation =
      (uint8_t)((scooped ? RL_ARTICULATION_SCOOP : 0) | (fell ? RL_ARTICULATION_FALL : 0));
  }
  rl_take_midi(t, ends, over, sizeof(over));
}

void
rl_take_split(RlTake *const t, const double from, const double by, RlTake *const next)
{
  int kept = t->ended;
  assert(next != t);
  memcpy(next->channel, t->channel, sizeof(t->channel));
  rl_take_again(next);
  for (int i = t->ended; i < t->notes; ++i) {
    RlTakeNote n = t->note[i];
    if (!n.sounds || n.at < from) {
      t->note[kept++] = n;
      continue;
    }
    n.at += by;
    n.bend_since += by;
    next->note[next->notes++] = n;
  }
  t->notes = (uint16_t)kept;
}

void
rl_take_end(RlTake *const t, const double at)
{
  for (int i = 0; i < t->notes; ++i) {
    if (t->note[i].sounds) {
      note_end(t, &t->note[i], at);
    }
  }
}

void
rl_take_withdraw(RlTake *const t, const uint8_t key, const double from)
{
  for (int i = t->notes - 1; i >= t->ended; --i) {
    const RlTakeNote *const n = &t->note[i];
    if (n->sounds && n->key == key && n->at > from) {
      memmove(&t->note[i], &t->note[i + 1], (size_t)(t->notes - i - 1) * sizeof(t->note[0]));
      --t->notes;
      return;
    }
  }
}
