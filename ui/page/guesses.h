/* SPDX-License-Identifier: ISC */
/* How often somebody may type wrong words. Each address has a few tries, and another one every few
   seconds; only wrong ones are counted, and only against the address they come from, so that
   nobody can shut out a class. Addresses beyond those that are remembered share one place. One
   thread; times are seconds on the monotonic clock. */
#ifndef RL_UI_PAGE_GUESSES_H
#define RL_UI_PAGE_GUESSES_H

#include <stdbool.h>
#include <stdint.h>

enum {
  RL_GUESSES_TRIES     = 4, /**< that an address has */
  RL_GUESSES_INTERVAL  = 5, /**< seconds until it has another one */
  RL_GUESSES_ADDRESSES = 1024
};

typedef struct {
  uint32_t address;
  double   until; /**< by then it has all its tries again */
} RlGuesser;

/** Begins with all zero. */
typedef struct {
  RlGuesser guesser[RL_GUESSES_ADDRESSES];
  RlGuesser others; /**< all for whom there is no place */
} RlGuesses;

/** Seconds until words from that address are looked at again: 0 if they are now. */
int rl_guesses_wait(RlGuesses *guesses, uint32_t address, double now);

/** Wrong ones came from there. */
void rl_guesses_wrong(RlGuesses *guesses, uint32_t address, double now);

#endif
