/* SPDX-License-Identifier: ISC */
#include "ui/page/guesses.h"

#include <stddef.h>

/* The place of that address, or else one that says nothing any more, which becomes the address's;
   where there is none, the one of all others. */
static RlGuesser *
guesser_of(RlGuesses *const g, const uint32_t address, const double now)
{
  RlGuesser *free = NULL;
  for (int i = 0; i < RL_GUESSES_ADDRESSES; ++i) {
    RlGuesser *const at = &g->guesser[i];
    if (at->address == address && at->until > now) {
      return at;
    }
    if (!free && at->until <= now) {
      free = at;
    }
  }
  if (!free) {
    return &g->others;
  }
  *free = (RlGuesser){address, 0};
  return free;
}

int
rl_guesses_wait(RlGuesses *const g, const uint32_t address, const double now)
{
  const double owed = guesser_of(g, address, now)->until - now;
  const double most = (RL_GUESSES_TRIES - 1) * RL_GUESSES_INTERVAL;
  return owed > most ? (int)(owed - most) + 1 : 0;
}

void
rl_guesses_wrong(RlGuesses *const g, const uint32_t address, const double now)
{
  RlGuesser *const at = guesser_of(g, address, now);
  at->until           = (at->until > now ? at->until : now) + RL_GUESSES_INTERVAL;
}
