/* SPDX-License-Identifier: ISC */
/* Work in a thread of its own that nobody waits for: a folder of a network, or the name of another
   machine, may not answer for minutes, or ever. Such a thread can be neither ended nor joined; what
   it writes to goes with whoever lets go of it last. The modules stay loaded (`nodelete`), so that
   it has code to come back to. */
#ifndef RL_PLUGIN_THREAD_BACKGROUND_H
#define RL_PLUGIN_THREAD_BACKGROUND_H

#include <stdbool.h>

typedef struct RlBackground RlBackground;

/** Calls `work(data, background)` in a new thread, unless `most` of them run already in this
   module, those that hang included. `drop(data)` is called once, when the work has ended and nobody
   wants its result any more. NULL, and nothing is called, if there are too many (errno is EAGAIN),
   or without memory or another thread (ENOMEM). Any thread. */
RlBackground *rl_background_begin(int most,
                                  void (*work)(void *data, const RlBackground *background),
                                  void (*drop)(void *data), void *data);

/** Has the work ended? `data` is the caller's from then on, until rl_background_end(). */
bool rl_background_done(const RlBackground *background);

/** Gives up what was begun, whether it has ended or not. Never waits. NULL: nothing. */
void rl_background_end(RlBackground *background);

/** For the work itself: does anybody still wait for it? */
bool rl_background_wanted(const RlBackground *background);

#endif
