/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/atoms.h"

#include <math.h>
#include <string.h>

static uint32_t
padded(const uint32_t size)
{
  return size > UINT32_MAX - 7U ? UINT32_MAX : (size + 7U) & ~7U;
}

static void
skip(RlWalk *const walk, const uint32_t bytes)
{
  const uint32_t n = bytes < walk->left ? bytes : walk->left;
  walk->at += n;
  walk->left -= n;
}

RlWalk
rl_events(const void *const port, const RlUris *const uris)
{
  LV2_Atom_Sequence head;
  if (port) {
    memcpy(&head.atom, port, sizeof(head.atom));
    if (head.atom.type == uris->atom_Sequence && head.atom.size >= sizeof(head.body)) {
      return (RlWalk){(const char *)port + sizeof(head),
                      head.atom.size - (uint32_t)sizeof(head.body)};
    }
  }
  return (RlWalk){NULL, 0};
}

/* Takes a head of `size` bytes that ends in an LV2_Atom, and the body behind it. */
static bool
next(RlWalk *const walk, void *const head, const uint32_t size, RlAtom *const atom)
{
  LV2_Atom described;
  if (walk->left < size) {
    return false;
  }
  memcpy(head, walk->at, size);
  memcpy(&described, walk->at + size - sizeof(described), sizeof(described));
  if (described.size > walk->left - size) {
    return false;
  }
  *atom = (RlAtom){walk->at + size, described.size, described.type};
  skip(walk, size);
  skip(walk, padded(described.size));
  return true;
}

bool
rl_event_next(RlWalk *const walk, int64_t *const frame, RlAtom *const atom)
{
  LV2_Atom_Event head;
  if (!next(walk, &head, sizeof(head), atom)) {
    return false;
  }
  *frame = head.time.frames;
  return true;
}

bool
rl_object(const RlAtom *const atom, const RlUris *const uris, RlWalk *const walk,
          LV2_URID *const otype)
{
  LV2_Atom_Object_Body body;
  if ((atom->type != uris->atom_Object && atom->type != uris->atom_Blank) ||
      atom->size < sizeof(body)) {
    return false;
  }
  memcpy(&body, atom->body, sizeof(body));
  *otype = body.otype;
  *walk  = (RlWalk){atom->body + sizeof(body), atom->size - (uint32_t)sizeof(body)};
  return true;
}

bool
rl_property_next(RlWalk *const walk, LV2_URID *const key, RlAtom *const value)
{
  struct {
    uint32_t key, context;
    LV2_Atom value;
  } head;
  if (!next(walk, &head, sizeof(head), value)) {
    return false;
  }
  *key = head.key;
  return true;
}

bool
rl_number(const RlAtom *const atom, const RlUris *const uris, void *const to)
{
  double  number = 0;
  int64_t large  = 0;
  int32_t small  = 0;
  float   real   = 0;
  if (atom->type == uris->atom_Float && atom->size >= sizeof(real)) {
    memcpy(&real, atom->body, sizeof(real));
    number = (double)real;
  } else if (atom->type == uris->atom_Double && atom->size >= sizeof(number)) {
    memcpy(&number, atom->body, sizeof(number));
  } else if (atom->type == uris->atom_Long && atom->size >= sizeof(large)) {
    memcpy(&large, atom->body, sizeof(large));
    number = (double)large;
  } else if ((atom->type == uris->atom_Int || atom->type == uris->atom_Bool) &&
             atom->size >= sizeof(small)) {
    memcpy(&small, atom->body, sizeof(small));
    number = small;
  } else {
    return false;
  }
  memcpy(to, &number, sizeof(number));
  return true;
}

bool
rl_whole(const RlAtom *const atom, const RlUris *const uris, void *const to)
{
  double  number;
  int64_t whole;
  if (atom->type == uris->atom_Long && atom->size >= sizeof(whole)) {
    memcpy(to, atom->body, sizeof(whole));
    return true;
  }
  if (!rl_number(atom, uris, &number) || !(fabs(number) < 9e18)) {
    return false;
  }
  whole = (int64_t)floor(number);
  memcpy(to, &whole, sizeof(whole));
  return true;
}

uint32_t
rl_string_length(const RlAtom *const atom)
{
  const void *const nul = memchr(atom->body, '\0', atom->size);
  return nul ? (uint32_t)((const char *)nul - atom->body) : atom->size;
}
