/* Who reads the news, and what of it each has been given. Nothing is queued: whoever can take
   something again gets the latest state. One thread. */
#ifndef RL_READERS_H
#define RL_READERS_H

#include "heard.h"

enum { RL_READERS_MAX = 120 /**< streams of news at once */ };

/** Someone who reads the news. */
typedef struct {
  void    *whose;      /**< NULL: free */
  void    *with;       /**< its owner's own */
  bool     asleep;     /**< has read everything there is */
  unsigned seen;       /**< the news it has been given; 0: none yet */
  size_t   length, at; /**< of the text, and how much of it is gone */
  char     text[RL_HEARD_JSON + 64];
} RlReader;

typedef struct {
  int      count;
  RlReader reader[RL_READERS_MAX];
} RlReaders;

/** A reader; NULL if there is no room for one more. */
RlReader *rl_readers_enter(RlReaders *readers, void *whose, void *with);
void      rl_readers_leave(RlReaders *readers, RlReader *reader);

/** Copies up to `room` bytes of an event stream: what is left of the state given last, else the
    state as it stands at `now`, if `news` is not what was given last. 0: everything was read. */
size_t rl_reader_take(RlReader *reader, const RlHeard *heard, unsigned news, double now, char *to,
                      size_t room);

#endif
