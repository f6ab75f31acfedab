/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: memory dealt out in order, and taken back in one go. The same calls
   over no memory count what would be needed. And what stdlib would have: core knows no heap. */
#ifndef RL_CORE_EAR_PHRASE_ROOM_H
#define RL_CORE_EAR_PHRASE_ROOM_H

#include <stddef.h>

typedef struct {
  unsigned char *memory; /* NULL: counts only */
  size_t         used, most;
} RlLiftRoom;

/* `count` times `size` bytes, aligned for any type; NULL where only counted. */
static inline void *
rl_lift_take(RlLiftRoom *const room, const size_t count, const size_t size)
{
  const size_t at = room->used;
  room->used      = at + ((count * size + 63) & ~(size_t)63);
  room->most      = room->most > room->used ? room->most : room->used;
  return room->memory ? room->memory + at : NULL;
}

/* The size of a difference. */
static inline int
rl_lift_apart(const int difference)
{
  return difference < 0 ? -difference : difference;
}

#endif
