/* SPDX-License-Identifier: ISC */
/* What the band plays, as the plugin last told it by OSC: the latest state and nothing else. Plain
   data, one thread. */
#ifndef RL_UI_PAGE_STATE_H
#define RL_UI_PAGE_STATE_H

#include "ui/page/osc.h"

#include "core/arrange/plan.h"
#include "core/harmony/harp.h"

enum {
  RL_PAGE_STATE_NAME  = 32,           /**< bytes for the name of a chord, a tuning, a key */
  RL_PAGE_STATE_PARTS = 64,           /**< parts of a long text */
  RL_PAGE_STATE_TEXT  = RL_CHART_MAX, /**< bytes of one: a chart or a plan */
  RL_PAGE_STATE_JSON  = 1024
};

_Static_assert((int)RL_PLAN_MAX <= (int)RL_PAGE_STATE_TEXT, "a plan finds room");

/** What is told together, each with a time of its own. */
typedef enum {
  RL_PAGE_STATE_TRANSPORT,
  RL_PAGE_STATE_PLACE,
  RL_PAGE_STATE_CHORD,
  RL_PAGE_STATE_HARP,
  RL_PAGE_STATE_LAMPS,
  RL_PAGE_STATE_CHART,
  RL_PAGE_STATE_PLAN,
  RL_PAGE_STATE_KINDS
} RlPageStateKind;

/** A long text on its way: it comes in parts, in any order. */
typedef struct {
  uint64_t tag; /**< the time tag of all its parts */
  int      parts;
  uint64_t came; /**< a bit for each part */
  uint16_t start[RL_PAGE_STATE_PARTS], length[RL_PAGE_STATE_PARTS];
  size_t   used;
  char     text[RL_PAGE_STATE_TEXT];
} RlPageStateParts;

/** A long text, UTF-8. */
typedef struct {
  unsigned         number; /**< one more for each new one, 0: none yet */
  size_t           length; /**< bytes */
  char             text[RL_PAGE_STATE_TEXT + 1];
  RlPageStateParts coming;
} RlPageStateText;

/** Times in seconds on the monotonic clock of this machine: when it happened, not when it came.
   What is newer is told by the tags themselves: brought to our clock they are blurred. */
typedef struct {
  bool     told[RL_PAGE_STATE_KINDS];
  double   at[RL_PAGE_STATE_KINDS];
  uint64_t tag[RL_PAGE_STATE_KINDS];
  double   last; /**< when anything came last */

  bool  rolling;
  float tempo, beats; /**< a minute, a bar; in beats of the meter */
  int   unit;

  int   chorus, bar, bars;
  float beat, sure;

  char  now[RL_PAGE_STATE_NAME], next[RL_PAGE_STATE_NAME];
  char  now_degree[RL_PAGE_STATE_NAME], next_degree[RL_PAGE_STATE_NAME];
  float left; /**< beats to the next chord at the chord's own time */

  char harp[RL_PAGE_STATE_NAME], tuning[RL_PAGE_STATE_NAME], song_key[RL_PAGE_STATE_NAME];
  int  position;

  float lamp[RL_HOLES][RL_TECHNIQUES];

  RlPageStateText chart, plan; /**< without a plan: an empty one */

  bool sheets; /**< this server draws lesson sheets; told along with the rest */
} RlPageState;

/** Takes a message that happened at `at` and came at `now`. False if it is none of the plugin's
    (the table of addresses stands in the README), if its values cannot be, or if something newer
    has been told already. */
bool rl_page_state_apply(RlPageState *heard, const RlOscMessage *message, double at, double now);

/** Writes the state as one line of JSON (at most RL_PAGE_STATE_JSON bytes, its NUL included), as it
    stands at `now`; returns its length. What has not been told is null, of long texts the number is
    told, 0 for an empty one. Milliseconds. */
size_t rl_page_state_write(const RlPageState *heard, double now, char *json);

#endif
