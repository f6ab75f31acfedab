/* SPDX-License-Identifier: ISC */
#include "plugin/shared/sound_ring.h"

#include <stddef.h>

/* The chunk being written: behind the committed ones; NULL without room. */
static RlSoundChunk *
open_chunk(RlSoundRing *const r)
{
  const int at = rl_slots_free(&r->slots, RL_SOUND_CHUNKS);
  return at < 0 ? NULL : &r->chunk[at];
}

static void
commit(RlSoundRing *const r)
{
  rl_slots_commit(&r->slots);
  r->filled = 0;
}

/* Is what comes now the straight way on from what the chunk has? */
static bool
goes_on(const RlSoundChunk *const c, const RlSoundHead *const h)
{
  const RlSoundHead *const a = &c->head;
  const int64_t            song =
    a->song == RL_SONG_UNKNOWN || !a->rolling ? a->song : a->song + (int64_t)c->frames;
  return h->frame == a->frame + (int64_t)c->frames && h->song == song && h->chart == a->chart &&
         h->key == a->key && h->rolling == a->rolling && h->freewheel == a->freewheel && !h->word;
}

static void
add(RlSoundChunk *const c, const uint32_t at, const float *const left, const float *const right,
    const uint32_t frames)
{
  float *const to = c->sound + at;
  for (uint32_t i = 0; i < frames; ++i) {
    to[i] = right ? 0.5F * (left[i] + right[i]) : left[i];
  }
  c->frames = at + frames;
}

static void
head_move(RlSoundHead *const head, const uint32_t frames)
{
  head->frame += frames;
  head->song += head->song != RL_SONG_UNKNOWN && head->rolling ? (int64_t)frames : 0;
  head->word = RL_WORD_NONE;
}

bool
rl_sound_ring_put(RlSoundRing *const r, const RlSoundHead *const said, const float *const left,
                  const float *const right, const uint32_t frames)
{
  RlSoundHead   head = *said;
  RlSoundChunk *c    = open_chunk(r);
  uint32_t      done = 0;
  if (c && r->filled && !goes_on(c, &head)) {
    commit(r);
    c = open_chunk(r);
  }
  for (; c && done < frames; c = open_chunk(r)) {
    const uint32_t room = RL_SOUND_FRAMES - r->filled;
    const uint32_t n    = frames - done < room ? frames - done : room;
    c->head             = r->filled ? c->head : head;
    add(c, r->filled, left + done, right ? right + done : NULL, n);
    r->filled += n;
    done += n;
    head_move(&head, n);
    if (r->filled == RL_SOUND_FRAMES) {
      commit(r);
    }
  }
  return done == frames;
}

const RlSoundChunk *
rl_sound_ring_peek(const RlSoundRing *const r)
{
  const int at = rl_slots_oldest(&r->slots, RL_SOUND_CHUNKS);
  return at < 0 ? NULL : &r->chunk[at];
}

void
rl_sound_ring_drop(RlSoundRing *const r)
{
  rl_slots_drop(&r->slots);
}

uint32_t
rl_sound_ring_waiting(const RlSoundRing *const r)
{
  return rl_slots_waiting(&r->slots);
}

void
rl_sound_ring_clear(RlSoundRing *const r)
{
  rl_slots_clear(&r->slots);
  r->filled = 0;
}
