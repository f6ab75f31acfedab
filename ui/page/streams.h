/* SPDX-License-Identifier: ISC */
/* Event streams (WHATWG HTML, server-sent events), and what each of them has been given. Nothing is
   queued: a stream that can take something again gets the latest state. One thread. */
#ifndef RL_UI_PAGE_STREAMS_H
#define RL_UI_PAGE_STREAMS_H

#include "ui/page/state.h"

enum {
  RL_STREAM_TEXT_SIZE = RL_PAGE_STATE_JSON_SIZE + 64 /**< bytes of a state as an event */
};

typedef struct {
  void    *owner;      /**< NULL: this entry is free */
  void    *context;    /**< for the owner's own use */
  bool     suspended;  /**< has been given everything there is */
  unsigned revision;   /**< of the state it was given last; 0: none yet */
  size_t   length, at; /**< of the text, and how much of it has been given */
  char     text[RL_STREAM_TEXT_SIZE];
} RlStream;

typedef struct {
  int       count, max;
  RlStream *stream; /**< `max` of them */
  /* the latest event, written once for all streams */
  unsigned revision;
  double   written; /**< when */
  size_t   length;
  char     text[RL_STREAM_TEXT_SIZE];
} RlStreams;

/** Room for `max` streams; false if there is no memory. */
bool rl_streams_init(RlStreams *streams, int max);
void rl_streams_end(RlStreams *streams);

/** A new stream for `owner` (not NULL); NULL if all are taken. */
RlStream *rl_streams_add(RlStreams *streams, void *owner, void *context);
void      rl_streams_remove(RlStreams *streams, RlStream *stream);

/** Copies up to `size` bytes of the stream: what is left of the event begun last, else the state as
    it stood at most 10 ms before `now` (seconds) if its `revision` (from 1) is not the one given
   last. 0: there is nothing to give. */
size_t rl_streams_read(RlStreams *streams, RlStream *stream, const RlPageState *state,
                       unsigned revision, double now, char *to, size_t size);

#endif
