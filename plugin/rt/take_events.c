/* SPDX-License-Identifier: ISC */
/* What is played, told to the worker with its place along the song: MIDI and notes heard, whether
   or not a take is armed; where a chorus is over. */
#include "plugin/rt/processor.h"

#include <math.h>
#include <string.h>

static bool
tell(RlProcessor *const p, const RlTakeEvent *const event)
{
  const RlAskHead head = {RL_ASK_TAKE, 0, sizeof(*event), 0};
  return rl_processor_ask(p, head, event);
}

/* ---- takes ---- */

static void
take_tell(RlProcessor *const p, const RlTakeEvent *const event)
{
  rl_capture_told(&p->capture, event, tell(p, event));
  p->changes += event->kind != RL_TAKE_MIDI || event->bytes[0] >> 4 == 0x9; /* bends show nothing */
}

void
rl_processor_take_pass(RlProcessor *const p, const int64_t frames)
{
  RlTakeEvent event;
  if (rl_capture_pass(&p->capture, &p->follower, frames, &event)) {
    take_tell(p, &event);
  }
}

void
rl_processor_stretch_pass(RlProcessor *const p)
{
  const bool  counts = p->input[RL_PORT_FREEWHEEL] <= 0;
  RlTakeEvent event;
  while (p->stretch.looks != p->follower.looks &&
         rl_stretch_look(&p->stretch, &p->follower, counts, &event)) {
    event.show     = (uint8_t)p->follower.settings.show;
    event.show_set = (uint8_t)p->input[RL_PORT_SHOW];
    event.grows    = p->input[RL_PORT_SHOW_GROWS] > 0;
    tell(p, &event);
  }
}

/* ---- messages ---- */

/* What belongs to no take is remembered all the same, if the music moves. */
static void
message_tell(RlProcessor *const p, const RlTakeEvent *const message, const uint32_t size)
{
  RlTakeEvent event = *message;
  const bool  ours  = message->source == (int)p->input[RL_PORT_CAPTURE_FROM];
  const bool  taken =
    ours && rl_capture_hear(&p->capture, &p->follower, message->bytes, size, &event);
  const bool kept = taken || rl_capture_would_hear(&p->follower, message->bytes, size, &event);
  if (!kept) {
    return;
  }
  event.source    = message->source;
  event.hole      = message->hole;
  event.technique = message->technique;
  event.cents     = message->cents;
  event.stretch   = p->stretch.number;
  event.aside     = !taken;
  if (message->source == RL_FROM_HARP) { /* it began a little while ago */
    event.at = fmax(fmin(p->stretch.from, event.at), event.at - message->to);
  }
  p->stretch.played = true;
  if (taken) {
    take_tell(p, &event);
  } else {
    tell(p, &event);
  }
}

void
rl_processor_note(RlProcessor *const p, const uint8_t *const bytes, const uint32_t size)
{
  RlTakeEvent message = {.source = RL_FROM_MIDI};
  rl_processor_stretch_pass(p);
  rl_processor_take_pass(p, 0);
  memcpy(message.bytes, bytes, sizeof(message.bytes));
  message_tell(p, &message, size);
}

/* A note heard is a MIDI note of the same pitch. The ear takes a note to begin a little after it
   does: by 12 ms on average, in the lesson of tests/plugin/test_practice.c. */
void
rl_processor_harp_note(RlProcessor *const p, const RlHarpNoteEvent *const heard)
{
  enum { VELOCITY = 80 };
  static const double behind = 0.012; /* seconds */
  const double        ago =
    (double)(p->follower.clock.now - (int64_t)heard->frame) + behind * p->follower.rate;
  const double      each    = p->follower.now.place.unit > 0
                                ? p->follower.now.beats_per_frame * 4 / p->follower.now.place.unit
                                : 0;
  const RlTakeEvent message = {
    .source    = RL_FROM_HARP,
    .bytes     = {(uint8_t)(heard->begins ? 0x90 : 0x80), heard->note.midi, VELOCITY},
    .hole      = heard->note.hole,
    .technique = heard->note.technique,
    .cents     = heard->note.cents,
    .to        = fmax(0, ago * each)};
  rl_processor_stretch_pass(p);
  rl_processor_take_pass(p, 0);
  message_tell(p, &message, sizeof(message.bytes));
}

/* ---- pedals ---- */

static void
last_keep(RlProcessor *const p)
{
  const RlStretch *const s = &p->stretch;
  RlTakeEvent            event;
  rl_processor_stretch_pass(p);
  const bool moves = s->on && rl_music_moves(&p->follower);
  const int  from  = (int)p->input[RL_PORT_CAPTURE_FROM];
  event            = (RlTakeEvent){.kind      = RL_TAKE_LAST,
                                   .at        = moves ? rl_music_quarters(&p->follower) : s->at,
                                   .from      = s->from,
                                   .tempo     = s->tempo,
                                   .stretch   = s->number,
                                   .source    = (uint8_t)from,
                                   .four_bars = p->input[RL_PORT_KEEP_LAST_LENGTH] > 0};
  if (from == RL_FROM_TRACK) {
    event.at = (double)p->follower.clock.now;
  }
  tell(p, &event);
}

static void
capture_press(RlProcessor *const p)
{
  RlTakeEvent event;
  if (rl_capture_press(&p->capture, &event)) {
    take_tell(p, &event);
  }
}

void
rl_processor_pedal(RlProcessor *const p, const RlPedal pedal)
{
  if (pedal == RL_PEDAL_CAPTURE) {
    capture_press(p);
  } else if (pedal == RL_PEDAL_KEEP_LAST) {
    last_keep(p);
  } else if (p->listening.wanted) {
    rl_listening_pedal(&p->listening, pedal);
  } else {
    rl_follower_pedal(&p->follower, pedal);
  }
  ++p->changes;
}
