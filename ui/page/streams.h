/* SPDX-License-Identifier: ISC */
/* Who reads the news, and what of it each has been given. Nothing is queued: whoever can take
   something again gets the latest state. One thread. */
#ifndef RL_UI_PAGE_STREAMS_H
#define RL_UI_PAGE_STREAMS_H

#include "ui/page/state.h"

enum { RL_STREAMS_MAX = 120 /**< streams of news at once */ };

/** Someone who reads the news. */
typedef struct {
  void    *whose;      /**< NULL: free */
  void    *with;       /**< its owner's own */
  bool     asleep;     /**< has read everything there is */
  unsigned seen;       /**< the news it has been given; 0: none yet */
  size_t   length, at; /**< of the text, and how much of it is gone */
  char     text[RL_PAGE_STATE_JSON + 64];
} RlStream;

typedef struct {
  int      count;
  RlStream reader[RL_STREAMS_MAX];
} RlStreams;

/** A reader; NULL if there is no room for one more. */
RlStream *rl_streams_enter(RlStreams *readers, void *whose, void *with);
void      rl_streams_leave(RlStreams *readers, RlStream *reader);

/** Copies up to `room` bytes of an event stream: what is left of the state given last, else the
    state as it stands at `now`, if `news` is not what was given last. 0: everything was read. */
size_t rl_stream_next(RlStream *reader, const RlPageState *heard, unsigned news, double now,
                      char *to, size_t room);

#endif
