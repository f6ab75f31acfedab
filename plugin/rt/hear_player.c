/* SPDX-License-Identifier: ISC */
/* The player's sound on its way to the ear, and what is heard told. */
#include "plugin/rt/processor.h"

/* ---- sound ---- */

typedef struct {
  const float *left, *right;
} Sides;

/* Where the player's sound lies; nothing there is silence. */
static Sides
sides_of(const RlProcessor *const p)
{
  void *const *const port = p->port;
  return p->harp_ear.from == RL_HARP_FROM_SIDE
           ? (Sides){(const float *)port[RL_PORT_HARP_IN], NULL}
           : (Sides){(const float *)port[RL_PORT_IN_LEFT], (const float *)port[RL_PORT_IN_RIGHT]};
}

static void
notes_heed(RlProcessor *const p)
{
  RlHarpNoteEvent   events[RL_HARP_NOTE_EVENTS];
  const RlHeardNow *heard = &p->harp_ear.heard;
  const int         count = rl_harp_notes_hear(&p->harp_notes, &heard->played, heard->rate, events);
  for (int i = 0; i < count; ++i) {
    rl_processor_harp_note(p, &events[i]);
  }
}

static void
heard_heed(RlProcessor *const p, const int64_t at)
{
  const bool heard = rl_harp_ear_heed(&p->harp_ear, &p->follower);
  const bool hits  = rl_harp_hits_find(&p->harp_hits, &p->follower, rl_harp_ear_now(&p->harp_ear));
  if (heard) {
    notes_heed(p);
  }
  if (heard || hits) {
    rl_processor_heard_tell(p, at);
    if (p->publisher.busy) {
      rl_osc_publisher_tell(&p->publisher, &p->follower, p->changes, at);
    }
  }
}

int64_t
rl_processor_harp_hear(RlProcessor *const p, const int64_t at, const int64_t frames)
{
  RlHarpEar *const e = &p->harp_ear;
  if (!e->loan) {
    return frames;
  }
  if (e->fresh && e->fed == at) {
    heard_heed(p, at);
  }
  if (e->fed == at) {
    const Sides s = sides_of(p);
    e->fed +=
      rl_harp_ear_hear(e, s.left ? s.left + at : NULL, s.right ? s.right + at : NULL, frames);
  }
  return e->fed - at;
}

void
rl_processor_heard_tell(RlProcessor *const p, const int64_t frame)
{
  RlHarpHits *const h = &p->harp_hits;
  if (p->harp_ear.tell && rl_notify_played(&p->notify, frame, &p->harp_ear.heard)) {
    p->harp_ear.tell = false;
  }
  h->atoms = rl_hits_first_untold(&h->told, h->atoms);
  while (h->atoms != h->told.count &&
         rl_notify_hit(&p->notify, frame, &h->told.last[h->atoms % RL_HITS_TOLD])) {
    ++h->atoms;
  }
}

/* ---- both ears ---- */

void
rl_processor_ears_begin(RlProcessor *const p)
{
  if (p->harp_ear.busy) {
    p->wake |= rl_harp_ear_begin(&p->harp_ear, p->passed);
  }
  if (p->track.wanted) {
    rl_track_out_begin(&p->track);
  }
  p->hears = p->harp_ear.busy || p->track.wanted;
}

void
rl_processor_track_hear(RlProcessor *const p, const int64_t frame, const int64_t frames)
{
  const float *const left   = (const float *)p->port[RL_PORT_IN_LEFT];
  const float *const right  = (const float *)p->port[RL_PORT_IN_RIGHT];
  const bool         counts = p->input[RL_PORT_FREEWHEEL] <= 0;
  if (p->capture.state == RL_CAPTURE_ARMED) {
    rl_capture_listen(&p->capture, &p->follower);
    p->changes += p->capture.state == RL_CAPTURE_ON;
  }
  rl_track_out_hear(&p->track, &p->follower, left ? left + frame : NULL,
                    right ? right + frame : NULL, (uint32_t)frames, counts);
}
