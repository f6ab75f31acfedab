/* SPDX-License-Identifier: ISC */
/* Work with files in a thread of its own that nobody waits for: a folder of a network may not
   answer for minutes, or ever. The module stays loaded (`nodelete`), so that such a thread has code
   to come back to. */
#ifndef RL_UI_FILES_BACKGROUND_H
#define RL_UI_FILES_BACKGROUND_H

#include <stdbool.h>

enum { RL_BACKGROUNDS_MAX = 16 /**< threads at once, those that hang included */ };

typedef struct RlBackground RlBackground;

/** Calls `work(data, background)` in a new thread. `drop(data)` is called once, when the work has
    ended and nobody wants its result any more. NULL, and nothing is called, if there are too many
    threads or there is no memory. */
RlBackground *rl_background_begin(void (*work)(void *data, const RlBackground *background),
                                  void (*drop)(void *data), void *data);

/** Has the work ended? `data` is the caller's from then on, until rl_background_end(). */
bool rl_background_done(const RlBackground *background);

/** Gives up what was begun, whether it has ended or not. NULL: nothing. */
void rl_background_end(RlBackground *background);

/** For the work itself: does anybody still wait for it? */
bool rl_background_wanted(const RlBackground *background);

#endif
