/* SPDX-License-Identifier: ISC */
/* The recall: what was played last, armed or not, and a take made of it. Asks for no memory.
   Guarded by the document's lock. */
#ifndef RL_PLUGIN_WORKER_RECALL_H
#define RL_PLUGIN_WORKER_RECALL_H

#include "core/chart/form.h"
#include "plugin/worker/transcriber.h"

enum { RL_RECALL_MAX = 4096 /**< messages; older ones go */ };

/** A message: what a take needs of its RlTakeEvent. */
typedef struct {
  double   at;    /**< quarters along the song */
  float    tempo; /**< quarters a minute */
  uint16_t stretch;
  uint8_t  bytes[3];
  uint8_t  hole, technique;
  uint8_t  source; /**< RlTakeSource */
} RlRecalled;

/** Zeroed at the beginning. */
typedef struct {
  unsigned   count; /**< messages so far, in all */
  RlRecalled message[RL_RECALL_MAX];
  uint16_t   over;    /**< the stretch that ended last, */
  double     over_at; /**< and where */
} RlRecall;

/** Heeds what is told: messages, and where stretches end. */
void rl_recall_hear(RlRecall *recall, const RlTakeEvent *event);

/** The form is another one: forgets all. */
void rl_recall_forget(RlRecall *recall);

/** Makes a take of what `last` (RL_TAKE_LAST) asks for. False: nothing was played there. */
bool rl_recall_take(const RlRecall *recall, const RlForm *form, const RlTakeEvent *last,
                    RlTranscribed *over);

/** Where what is kept begins: the bar line a chorus, or four bars, before the one nearest to `end`.
    Quarters along the song. */
double rl_recall_begin(const RlForm *form, double end, bool four_bars);

#endif
