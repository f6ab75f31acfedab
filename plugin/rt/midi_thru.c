/* SPDX-License-Identifier: ISC */
#include "plugin/rt/midi_thru.h"

#include <string.h>

enum { NOTE_OFF = 0x8, NOTE_ON = 0x9, CONTROLLER = 0xB, SYSEX = 0xF0, SYSEX_END = 0xF7 };

enum {
  FIRST_HOLD    = 64,
  LAST_HOLD     = 69,  /* hold, portamento, sostenuto, soft, legato, hold 2: below 64 they are up */
  FIRST_MODE    = 120, /* all sound off and other channel modes */
  PEDAL_PRESSED = 64
};

/* Does it end something that may sound? */
static bool
ends(const RlMidiThru *const t, const uint8_t *const m, const int kind)
{
  const bool lifts = m[1] >= FIRST_HOLD && m[1] <= LAST_HOLD && m[2] < PEDAL_PRESSED;
  return kind == NOTE_OFF ? t->on[m[0] & 0xFU][m[1] / 32] >> (m[1] % 32) & 1U
                          : kind == CONTROLLER && (lifts || m[1] >= FIRST_MODE);
}

static void
note_mark(uint32_t bits[16][4], const uint8_t *const m, const bool set)
{
  uint32_t *const word = &bits[m[0] & 0xFU][m[1] / 32];
  const uint32_t  bit  = 1U << (m[1] % 32);
  *word                = set ? *word | bit : *word & ~bit;
}

void
rl_midi_thru_begin(RlMidiThru *const t, RlMidiOut *const out)
{
  if (!t->late) {
    return;
  }
  t->late = false;
  for (unsigned i = 0; i < 16U * 128U; ++i) {
    const uint8_t off[] = {(uint8_t)(NOTE_OFF << 4U | i / 128U), (uint8_t)(i % 128U), 64};
    if (t->due[i / 128U][i % 128U / 32U] >> (i % 32U) & 1U) {
      const bool gone = rl_midi_out_put(out, 0, off, sizeof(off));
      t->late         = t->late || !gone;
      note_mark(t->due, off, !gone);
    }
  }
}

/* A channel message of three bytes; a note on with velocity 0 is its end. */
static void
message_pass(RlMidiThru *const t, RlMidiOut *const out, const int64_t frame, const uint8_t *const m,
             const bool open)
{
  const int said = m[0] >> 4U;
  const int kind = said == NOTE_ON && !m[2] ? NOTE_OFF : said;
  if (!open && !ends(t, m, kind)) {
    return;
  }
  const bool gone = rl_midi_out_put(out, frame, m, 3);
  if (kind == NOTE_ON && gone) {
    note_mark(t->on, m, true);
  } else if (kind == NOTE_OFF && (t->on[m[0] & 0xFU][m[1] / 32] >> (m[1] % 32) & 1U)) {
    note_mark(t->on, m, false);
    note_mark(t->due, m, !gone);
    t->late = t->late || !gone;
  }
}

/* A whole message, as MIDI 1.0 has them; a broken one is nobody's. */
static bool
whole(const uint8_t *const m, const uint32_t size)
{
  static const uint8_t channel[] = {3, 3, 3, 3, 2, 2, 3};
  static const uint8_t common[]  = {0, 2, 3, 2, 0, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 1};
  const uint32_t       data      = size - (m[0] == SYSEX);
  if (m[0] < 0x80 || (m[0] == SYSEX && (size < 2 || m[size - 1] != SYSEX_END))) {
    return false;
  }
  for (uint32_t i = 1; i < data; ++i) {
    if (m[i] >= 0x80) {
      return false;
    }
  }
  return m[0] == SYSEX || size == (m[0] < SYSEX ? channel[(m[0] >> 4U) - 8] : common[m[0] & 0xFU]);
}

void
rl_midi_thru_hear(RlMidiThru *const t, RlMidiOut *const out, const int64_t frame,
                  const RlAtom *const atom, const bool open)
{
  const uint8_t *const m = (const uint8_t *)atom->body;
  if (!atom->size || !whole(m, atom->size)) {
    return;
  }
  if (m[0] < SYSEX && atom->size == 3) {
    message_pass(t, out, frame, m, open);
  } else if (open) {
    rl_midi_out_put(out, frame, m, atom->size);
  }
}
