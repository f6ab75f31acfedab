/* SPDX-License-Identifier: ISC */
/* What the plugin hears the player play, and what of the plan is hit: the latest of both. Plain
   data, one thread. Times are seconds on the monotonic clock of this machine. */
#ifndef RL_UI_PAGE_PLAYER_H
#define RL_UI_PAGE_PLAYER_H

#include "ui/page/osc.h"

enum { RL_PAGE_NOTES_MAX = 3 /**< at once */, RL_PAGE_HITS_MAX = 8 };

/** A note that sounds. */
typedef struct {
  int hole, how, note; /**< hole from 1; RlTechnique; MIDI number */
  int cents;
} RlPageNote;

/** Those that sound, from the lowest hole up. */
typedef struct {
  int        count;
  RlPageNote note[RL_PAGE_NOTES_MAX];
} RlPageNotes;

/** A note of the plan that was played, or a target landed on. */
typedef struct {
  int    chorus, bar;
  float  beat; /**< from 1 */
  bool   target;
  double at; /**< when it came */
} RlPageHit;

/** Begins with all zero. */
typedef struct {
  bool   known;
  double last; /**< when a `/reedlamp/heard` came last: while the plugin hears one comes every two
                  seconds */
  uint64_t    tag;         /**< of the bundle that `heard` came in */
  RlPageNotes heard, told; /**< what sounds; what browsers were last told of it, */
  double      told_at;     /**< and when */
  unsigned hits; /**< in all; the newest are in `hit`, number n, from 0, at n modulo their number */
  RlPageHit hit[RL_PAGE_HITS_MAX];
} RlPagePlayer;

/** Applies a `/reedlamp/heard`; a `/reedlamp/hit`. False if values are out of range. */
bool rl_page_player_heard(RlPagePlayer *player, const RlOscMessage *message, double now);
bool rl_page_player_hit(RlPagePlayer *player, const RlOscMessage *message, double now);

/** A packet has been applied: is what sounds worth telling? Other notes are, at once; the cents of
    a bend ten times a second at most, since a hall of phones is to bear it. */
bool rl_page_player_news(RlPagePlayer *player, double now);

/** Writes it as a part of a line of JSON, nothing while nobody hears, at most `size` bytes with a
 * NUL; returns its length. */
size_t rl_page_player_write(const RlPagePlayer *player, double now, char *to, size_t size);

#endif
