#include "guests.h"

#include <stddef.h>
#include <sys/socket.h>

void
rl_guests_init(RlGuests *const g)
{
  g->count = 0;
  for (int i = 0; i < RL_GUESTS_MAX; ++i) {
    g->guest[i].socket = -1;
  }
}

bool
rl_guests_room(const RlGuests *const g, const uint32_t from)
{
  int same = 0;
  for (int i = 0; from && i < RL_GUESTS_MAX; ++i) {
    same += g->guest[i].socket >= 0 && g->guest[i].from == from;
  }
  return g->count < RL_GUESTS_MAX && same < RL_GUESTS_ADDRESS_MAX;
}

RlGuest *
rl_guests_enter(RlGuests *const g, const int socket, const uint32_t from, const double now)
{
  for (int i = 0; i < RL_GUESTS_MAX; ++i) {
    if (g->guest[i].socket < 0) {
      g->guest[i] = (RlGuest){socket, from, now, false};
      ++g->count;
      return &g->guest[i];
    }
  }
  return NULL;
}

void
rl_guests_leave(RlGuests *const g, RlGuest *const guest)
{
  guest->socket = -1;
  --g->count;
}

int
rl_guests_sweep(RlGuests *const g, const double now)
{
  int shut = 0;
  for (int i = 0; i < RL_GUESTS_MAX; ++i) {
    RlGuest *const guest = &g->guest[i];
    if (guest->socket >= 0 && !guest->asked && now - guest->since > RL_GUESTS_PATIENCE) {
      shutdown(guest->socket, SHUT_RDWR); /* its owner sees the end of it, and leaves */
      guest->asked = true;
      ++shut;
    }
  }
  return shut;
}
