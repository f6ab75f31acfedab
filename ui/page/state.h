/* SPDX-License-Identifier: ISC */
/* What the plugin last sent by OSC: the latest state and nothing else. Plain data, one thread.
   Times are seconds on the monotonic clock of this machine. */
#ifndef RL_UI_PAGE_STATE_H
#define RL_UI_PAGE_STATE_H

#include "ui/page/osc.h"
#include "ui/page/player.h"

#include "core/arrange/plan.h"
#include "core/harmony/harp.h"

enum {
  RL_PAGE_STATE_NAME_SIZE = 32,           /**< bytes for the name of a chord, a tuning, a key */
  RL_PAGE_STATE_PARTS_MAX = 64,           /**< parts of a long text are numbered below that */
  RL_PAGE_STATE_TEXT_MAX  = RL_CHART_MAX, /**< bytes of a long text: chart, plan, practice */
  RL_PAGE_STATE_JSON_SIZE = 1536
};

_Static_assert((int)RL_PLAN_MAX <= (int)RL_PAGE_STATE_TEXT_MAX, "a plan fits into a long text");
_Static_assert((int)RL_PAGE_STATE_PARTS_MAX <= 64, "parts are bits of a uint64_t");
_Static_assert((int)RL_PAGE_STATE_TEXT_MAX <= UINT16_MAX, "parts begin and end at a uint16_t");

/** What is sent together, and has a time of its own. */
typedef enum {
  RL_PAGE_STATE_TRANSPORT,
  RL_PAGE_STATE_PLACE,
  RL_PAGE_STATE_CHORD,
  RL_PAGE_STATE_HARP,
  RL_PAGE_STATE_LAMPS,
  RL_PAGE_STATE_CHART,
  RL_PAGE_STATE_PLAN,
  RL_PAGE_STATE_PRACTICE, /**< choruses of this song; it may never come */
  RL_PAGE_STATE_HEARING,  /**< how following by ear goes; likewise */
  RL_PAGE_STATE_SHOW,     /**< which lamps are lit; likewise */
  RL_PAGE_STATE_CHORUS,   /**< the last chorus that was practised; likewise */
  RL_PAGE_STATE_LOOP,     /**< of the host */
  RL_PAGE_STATE_HEARD,    /**< what the player plays */
  RL_PAGE_STATE_HIT,      /**< and hits */
  RL_PAGE_STATE_KINDS
} RlPageStateKind;

/** A long text on its way: it comes in parts, in any order. */
typedef struct {
  uint64_t tag; /**< the time tag that all its parts have */
  int      parts;
  uint64_t received; /**< a bit for each part */
  uint16_t start[RL_PAGE_STATE_PARTS_MAX], length[RL_PAGE_STATE_PARTS_MAX];
  size_t   used;
  char     text[RL_PAGE_STATE_TEXT_MAX];
} RlPageStateParts;

/** A long text, UTF-8. */
typedef struct {
  unsigned         number; /**< one more for each different text, 0: none yet */
  uint32_t         sum;    /**< of the text, the same on every server */
  size_t           length; /**< bytes */
  char             text[RL_PAGE_STATE_TEXT_MAX + 1];
  RlPageStateParts incoming;
} RlPageStateText;

/** Begins with all zero. What is newer is decided by the time tags themselves: brought to our
    clock they are inexact. */
typedef struct {
  bool     known[RL_PAGE_STATE_KINDS]; /**< has it been sent? */
  double   at[RL_PAGE_STATE_KINDS];    /**< when it happened, not when it came */
  uint64_t tag[RL_PAGE_STATE_KINDS];
  double   last; /**< when anything came last; 0: nothing has */

  bool  rolling;
  float tempo, beats; /**< a minute, a bar; in beats of the meter */
  int   unit;         /**< of the meter */

  int   chorus, bar, bars;
  float beat, confidence; /**< beat from 1; confidence 0..1 */

  char  now[RL_PAGE_STATE_NAME_SIZE], next[RL_PAGE_STATE_NAME_SIZE];
  char  now_degree[RL_PAGE_STATE_NAME_SIZE], next_degree[RL_PAGE_STATE_NAME_SIZE];
  float left; /**< beats to the next chord, at the chord's own time */

  float loop_from, loop_to; /**< bars of the form from bar 1 of chorus 1; both 0: no loop */

  char hearing[RL_PAGE_STATE_NAME_SIZE]; /**< `off` or empty: the clock is not the ear */
  char harp[RL_PAGE_STATE_NAME_SIZE], tuning[RL_PAGE_STATE_NAME_SIZE],
    song_key[RL_PAGE_STATE_NAME_SIZE];
  int  position;
  int  show;           /**< an RlShow; 0: all */
  char practised[256]; /**< what was counted of the last chorus, in words */

  RlPagePlayer player;

  float lamp[RL_HOLES][RL_TECHNIQUES]; /**< brightness 0..1 */

  RlPageStateText chart, plan, practice; /**< without a plan, without choruses: an empty text */

  /* sent to browsers along with the rest */
  bool     sheets; /**< does this server draw lesson sheets? */
  uint32_t from;   /**< which server this is: another one's clock is another */
} RlPageState;

/** Applies a message that happened at `at` and came at `now`. False if it is none of the plugin's
    (plugin/OSC.md has the table of addresses), if its values are out of range, or if something
   newer has come already; and for what the player plays, of which rl_page_player_news() says
   whether it is worth telling. */
bool rl_page_state_apply(RlPageState *state, const RlOscMessage *message, double at, double now);

/** Writes the state as it stands at `now` as one line of JSON into RL_PAGE_STATE_JSON_SIZE bytes,
    with a NUL; returns its length. What is not known is null; of long texts it has the number, 0
    for an empty one, and of chart, plan and practice the sums, 0 where nothing was practised. Times
   in it are milliseconds. */
size_t rl_page_state_write(const RlPageState *state, double now, char *json);

#endif
