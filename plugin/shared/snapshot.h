/* SPDX-License-Identifier: ISC */
/* The snapshot: everything the audio thread plays from, immutable, handed over by pointer. Made by
   the document (plugin/worker). */
#ifndef RL_PLUGIN_SHARED_SNAPSHOT_H
#define RL_PLUGIN_SHARED_SNAPSHOT_H

#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/chart/chart.h"
#include "plugin/protocol/properties.h"
#include "plugin/shared/picture.h"

#include <stdatomic.h>

/** The harp in the hand, who plays it, and the key: what a line of targets depends on. */
typedef struct {
  RlHarpChoice harp;
  RlPlayer     player;
  int          song_key; /**< 0..11, 12: as the chart says */
} RlHand;

/** Are the two the same? */
bool rl_hand_same(const RlHand *a, const RlHand *b);

/** "The bar that begins now is bar 1", as it was said. */
typedef struct {
  bool    set;
  int32_t axis;      /**< RlAxis along which it was said */
  int32_t start_bar; /**< the port's value then; another one forgets it */
  double  at;        /**< bar 1: bars from 0, or quarters from the start bar's downbeat */
} RlBarOne;

/** With the port `show` at `from`, so much is shown by now. */
typedef struct {
  uint8_t from, to; /**< RlShow; 0: it has not grown */
} RlGrown;

/** A snapshot. Immutable once handed over. */
typedef struct {
  unsigned     version[RL_PROPERTIES]; /**< another number: that property has changed */
  unsigned     bar_one_version;        /**< another number: take `bar_one` */
  unsigned     bar_one_edits;          /**< likewise: somebody has edited it */
  RlBarOne     bar_one;
  RlHand       hand; /**< the hand `line` and `lane` are for */
  RlForm       form;
  RlTargetLine line;
  RlLane       lane;
  char         plan[RL_PLAN_MAX + 1];
  char         take[RL_PLAN_MAX + 1];     /**< all of them, in the syntax of a plan */
  char         practice[RL_PLAN_MAX + 1]; /**< a line a chorus */
  RlGrown      grown;
  char         chart_file[RL_PATH_SIZE];
  char         osc_to[RL_ADDRESS_SIZE];
  char         problem[RL_PROBLEM_SIZE];
} RlSnapshot;

/** The value of a text property, NUL-terminated. */
const char *rl_snapshot_text(const RlSnapshot *snapshot, RlProperty property);

/** The key the song sounds in with that value of the song_key port. */
RlKey rl_snapshot_key(const RlSnapshot *snapshot, int song_key);

/** What waits for the audio thread; NULL: nothing new. */
typedef struct {
  _Atomic(RlSnapshot *) newest;
  _Atomic(RlPicture *)  picture; /**< somebody has asked for it; a snapshot comes after it */
} RlOutbox;

/** Takes the newest snapshot, NULL if nothing is new. The caller owns it; it goes back by
    RL_ASK_FREE. Real-time safe. */
static inline RlSnapshot *
rl_outbox_pop(RlOutbox *const outbox)
{
  return atomic_load_explicit(&outbox->newest, memory_order_relaxed)
           ? atomic_exchange(&outbox->newest, NULL)
           : NULL;
}

/** Is somebody to be told of a picture? Real-time safe. */
static inline bool
rl_outbox_has_picture(RlOutbox *const outbox)
{
  return atomic_load_explicit(&outbox->picture, memory_order_relaxed);
}

/** Takes it, NULL if there is none. The caller owns it; it goes back by RL_ASK_FREE_PICTURE.
    Real-time safe. */
static inline RlPicture *
rl_outbox_picture_pop(RlOutbox *const outbox)
{
  return atomic_exchange(&outbox->picture, NULL);
}

#endif
