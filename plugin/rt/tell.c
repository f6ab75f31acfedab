/* SPDX-License-Identifier: ISC */
/* What those who watch are told, and the phrases played; apart from the path of a block in which
   nothing is new. */
#include "plugin/rt/processor.h"

void
rl_processor_place_tell(RlProcessor *const p, const int64_t frame)
{
  const bool lit = p->input[RL_PORT_ENABLED] > 0;
  const bool due =
    p->changes != p->window.changes || rl_change_detector_sees(&p->window, &p->follower);
  if (p->publisher.busy) {
    rl_osc_publisher_tell(&p->publisher, &p->follower, p->changes, frame);
  }
  if (!due || rl_notify_place(&p->notify, frame, &p->follower, lit, rl_capture_shown(&p->capture),
                              rl_audition_sounds(&p->audition))) { /* else no room: later */
    rl_change_detector_told(&p->window, &p->follower, p->changes, due);
  }
}

/* The phrases, and how far nothing of them changes. The window finds that out by itself. */
static int64_t
phrases_play(RlProcessor *const p, const int64_t frame, const int64_t frames)
{
  const int64_t passes =
    rl_midi_out_play(&p->midi_out, &p->follower, frame, rl_follower_straight(&p->follower, frames),
                     p->input[RL_PORT_ENABLED] > 0);
  if (p->publisher.busy && p->midi_out.changes != p->publisher.notes) {
    rl_osc_publisher_tell(&p->publisher, &p->follower, p->changes, frame);
  }
  return passes;
}

/* What is over is over before anything else is heard: a loop's first note comes with the jump. */
int64_t
rl_processor_heed(RlProcessor *const p, const int64_t frame, const int64_t frames)
{
  const int64_t most   = p->harp_ear.busy ? rl_processor_harp_hear(p, frame, frames) : frames;
  const bool    plays  = rl_midi_out_busy(&p->midi_out, p->snapshot);
  const int64_t passes = plays ? phrases_play(p, frame, most) : most;
  if ((p->stretch.played || p->harp_ear.busy) && p->stretch.looks != p->follower.looks) {
    rl_processor_stretch_pass(p);
  }
  if (p->capture.state == RL_CAPTURE_ON) {
    rl_processor_take_pass(p, rl_follower_straight(&p->follower, passes));
  }
  if (p->track.wanted) {
    rl_processor_track_hear(p, frame, rl_follower_straight(&p->follower, passes));
  }
  if (rl_processor_place_is_new(p)) {
    rl_processor_place_tell(p, frame);
  }
  return passes;
}

/* The one that is told whole, or that another one waits behind, goes back; the next one comes. */
static void
picture_change(RlProcessor *const p)
{
  const RlAskHead head = {RL_ASK_FREE_PICTURE, 0, sizeof(p->picture), 0};
  if (!p->picture || rl_processor_ask(p, head, &p->picture)) {
    p->picture    = rl_outbox_picture_pop(p->outbox);
    p->picture_at = 0;
    p->tell &= p->picture ? ~0U : ~RL_TELL_PICTURE;
  }
}

/* A part of it in each block, so that no block has much to say. */
static void
picture_tell(RlProcessor *const p, const int64_t frame)
{
  if (!p->picture || (int)p->picture_at >= p->picture->columns ||
      rl_outbox_has_picture(p->outbox)) {
    picture_change(p);
  }
  if (p->picture && (int)p->picture_at < p->picture->columns) {
    p->picture_at += rl_notify_picture(&p->notify, frame, p->picture, p->picture_at);
  }
}

void
rl_processor_properties_tell(RlProcessor *const p, const int64_t frame)
{
  for (int i = 0; i < RL_PROPERTIES; ++i) {
    const unsigned bit = 1U << i;
    if ((p->tell & bit) && rl_notify_property(&p->notify, frame, (RlProperty)i, p->snapshot)) {
      p->tell &= ~bit;
    }
  }
  if (p->tell & RL_TELL_PICTURE) {
    picture_tell(p, frame);
  }
}
