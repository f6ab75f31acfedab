/* SPDX-License-Identifier: ISC */
#include "plugin/shared/track_ring.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

static const double off = 1e-5; /* quarters: less is the same place */

/* The chunk being written: behind the committed ones; NULL without room. */
static RlTrackChunk *
open_chunk(RlTrackRing *const r)
{
  const int at = rl_slots_free(&r->slots, RL_TRACK_CHUNKS);
  return at < 0 ? NULL : &r->chunk[at];
}

static void
commit(RlTrackRing *const r)
{
  rl_slots_commit(&r->slots);
  r->filled = 0;
}

static RlTrackHead
moved(RlTrackHead head, const uint32_t frames)
{
  head.frame += frames;
  head.quarters += head.rate * frames;
  return head;
}

/* Is what comes now the straight way on from what the chunk has? */
static bool
goes_on(const RlTrackChunk *const c, const RlTrackHead *const h, const bool stereo)
{
  const RlTrackHead due = moved(c->head, c->frames);
  return h->frame == due.frame && h->run == due.run && h->chart == due.chart &&
         c->stereo == stereo && fabs(h->quarters - due.quarters) < off &&
         fabs(h->rate - due.rate) * RL_TRACK_FRAMES < off;
}

static void
add(RlTrackRing *const r, RlTrackChunk *const c, const float *const left, const float *const right,
    const uint32_t frames)
{
  memcpy(c->sound[0] + r->filled, left, frames * sizeof(float));
  memcpy(c->sound[1] + r->filled, right ? right : left, frames * sizeof(float));
  r->filled += frames;
  c->frames = r->filled;
}

void
rl_track_ring_put(RlTrackRing *const r, const RlTrackHead *const said, const float *const left,
                  const float *const right, const uint32_t frames)
{
  RlTrackHead   head = *said;
  RlTrackChunk *c    = open_chunk(r);
  if (c && r->filled && !goes_on(c, &head, right != NULL)) {
    commit(r);
    c = open_chunk(r);
  }
  for (uint32_t done = 0; c && done < frames; c = open_chunk(r)) {
    const uint32_t room = RL_TRACK_FRAMES - r->filled;
    const uint32_t n    = frames - done < room ? frames - done : room;
    if (!r->filled) {
      c->head   = head;
      c->stereo = right != NULL;
    }
    add(r, c, left + done, right ? right + done : NULL, n);
    done += n;
    head = moved(head, n);
    if (r->filled == RL_TRACK_FRAMES) {
      commit(r);
    }
  }
}

const RlTrackChunk *
rl_track_ring_peek(const RlTrackRing *const r)
{
  const int at = rl_slots_oldest(&r->slots, RL_TRACK_CHUNKS);
  return at < 0 ? NULL : &r->chunk[at];
}

void
rl_track_ring_drop(RlTrackRing *const r)
{
  rl_slots_drop(&r->slots);
}
