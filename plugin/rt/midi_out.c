/* SPDX-License-Identifier: ISC */
#include "plugin/rt/midi_out.h"

#include "plugin/rt/notify.h"

#include <math.h>
#include <string.h>

static const double leap  = RL_TICKS / 50.0; /* off by more, and the music is elsewhere */
static const double slack = 1.0 / 64;        /* of a frame: reports are rounded to a Float */

enum { NOTE_OFF = 0x80, NOTE_ON = 0x90 };

/* ---- events ---- */

void
rl_midi_out_begin(RlMidiOut *const o, void *const port)
{
  o->port     = port;
  o->capacity = rl_sequence_clear(port, o->uris);
}

bool
rl_midi_out_put(const RlMidiOut *const o, const int64_t frame, const void *const bytes,
                const uint32_t size)
{
  static const uint8_t padding[8];
  const LV2_Atom_Event event = {{frame}, {size, o->uris->midi_MidiEvent}};
  const uint32_t       rest  = (8 - size % 8) % 8;
  LV2_Atom             head;
  if (!o->port) {
    return true;
  }
  memcpy(&head, o->port, sizeof(head));
  const uint64_t needed = (uint64_t)sizeof(head) + head.size + sizeof(event) + size + rest;
  if (needed > o->capacity) {
    return false;
  }
  char *const to = (char *)o->port + sizeof(head) + head.size;
  memcpy(to, &event, sizeof(event));
  memcpy(to + sizeof(event), bytes, size);
  memcpy(to + sizeof(event) + size, padding, rest);
  head.size += (uint32_t)sizeof(event) + size + rest;
  memcpy(o->port, &head, sizeof(head));
  return true;
}

static bool
event_write(const RlMidiOut *const o, const int64_t frame, const int status, const int note,
            const int velocity)
{
  const uint8_t bytes[] = {(uint8_t)status, (uint8_t)note, (uint8_t)velocity};
  return rl_midi_out_put(o, frame, bytes, sizeof(bytes));
}

/* ---- voices ---- */

/* Ends a voice; one that there is no room to end stays, and is tried again. */
static bool
voice_end(RlMidiOut *const o, const int at, const int64_t frame)
{
  const bool ended = event_write(o, frame, NOTE_OFF, o->voice[at].played.note, 0);
  if (ended) {
    o->voice[at] = o->voice[--o->voices];
    ++o->changes;
  }
  return ended;
}

static void
all_end(RlMidiOut *const o, const int64_t frame)
{
  while (o->voices && voice_end(o, o->voices - 1, frame)) {
  }
}

static int
first_to_end(const RlMidiOut *const o)
{
  int first = 0;
  for (int i = 1; i < o->voices; ++i) {
    first = o->voice[i].end < o->voice[first].end ? i : first;
  }
  return first;
}

static void
voice_begin(RlMidiOut *const o, const RlBegunNote played, const double end, const int64_t frame)
{
  for (int i = o->voices - 1; i >= 0; --i) {
    if (o->voice[i].played.note == played.note && !voice_end(o, i, frame)) {
      return;
    }
  }
  if (o->voices == RL_MIDI_OUT_VOICES && !voice_end(o, first_to_end(o), frame)) {
    return;
  }
  if (event_write(o, frame, NOTE_ON, played.note, RL_MIDI_OUT_VELOCITY)) {
    o->voice[o->voices].played = played;
    o->voice[o->voices++].end  = end;
    ++o->changes;
  }
}

/* ---- a straight stretch ---- */

typedef struct {
  const RlPlace *place;           /* the bar */
  double         beat;            /* in it, from 0 */
  double         from, per_frame; /* ticks */
  int64_t        frame, frames;   /* in the block */
} Way;

/* The first frame that is not before `ticks`, from the way's beginning. */
static double
frames_to(const Way *const w, const double ticks)
{
  return fmax(0, ceil((ticks - w->from) / w->per_frame - slack));
}

static void
due_begin(RlMidiOut *const o, const Way *const w)
{
  const RlLaneNote *const n     = &o->snapshot->lane.note[o->due.index];
  const double            beats = w->place->unit / (4.0 * RL_TICKS); /* in a tick */
  const RlBegunNote       p     = {.bar       = w->place->bar,
                                   .beat      = (float)(w->beat + 1 + (o->due.at - w->from) * beats),
                                   .beats     = (float)(o->due.lasts * beats),
                                   .hole      = n->tab.hole,
                                   .technique = n->tab.technique,
                                   .degree    = n->degree,
                                   .note      = n->tab.note,
                                   .planned   = n->planned};
  voice_begin(o, p, o->due.at + o->due.lasts, w->frame);
  o->due = rl_lane_next(&o->snapshot->lane, &o->snapshot->form, o->due);
}

/* Ends before beginnings. Frames until there is more to do. */
static int64_t
due_play(RlMidiOut *const o, const Way *const w)
{
  for (;;) {
    const int    end   = first_to_end(o);
    const double off   = o->voices ? frames_to(w, o->voice[end].end) : HUGE_VAL;
    const double on    = o->due.index >= 0 ? frames_to(w, o->due.at) : HUGE_VAL;
    const double first = fmin(off, on);
    if (first > 0) {
      return first < (double)w->frames ? (int64_t)first : w->frames;
    }
    if (off > on) {
      due_begin(o, w);
    } else if (!voice_end(o, end, w->frame)) {
      return w->frames;
    }
  }
}

int64_t
rl_midi_out_play(RlMidiOut *const o, const RlFollower *const f, const int64_t frame,
                 const int64_t frames, const bool wanted)
{
  const RlPlace *const    place    = &f->now.place;
  const RlSnapshot *const snapshot = f->snapshot;
  const bool              moves    = wanted && f->now.rolling && f->now.beats_per_frame > 0 &&
                     place->part != RL_PART_NOWHERE && place->part != RL_PART_OVER;
  if (!snapshot->lane.notes || !moves) {
    all_end(o, frame);
    o->playing = false;
    return frames;
  }
  const double beat  = rl_follower_beat(f);
  const double ticks = rl_lane_ticks(&snapshot->form, place, beat);
  const double pace  = f->now.beats_per_frame * 4 / place->unit * RL_TICKS;
  const Way    way   = {place, beat, ticks, pace, frame, frames};
  if (!o->playing || fabs(ticks - o->expected) > leap) {
    all_end(o, frame);
    o->snapshot = snapshot;
    o->due      = (RlLaneOnset){.index = -1};
  }
  if (o->due.index < 0) {
    o->due = rl_lane_first(&snapshot->lane, &snapshot->form, ticks - slack * pace);
  }
  const int64_t passed = due_play(o, &way);
  o->playing           = true;
  o->expected          = ticks + pace * (double)passed;
  return passed;
}
