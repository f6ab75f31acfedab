/* SPDX-License-Identifier: ISC */
/* The host's loop, seen by the jumps of the transport: once the music has gone back twice from the
   same place to the same place, the next chord is the one that the loop brings. The audio thread's;
   real-time safe. */
#ifndef RL_PLUGIN_RT_LOOP_H
#define RL_PLUGIN_RT_LOOP_H

#include "core/chart/form_loop.h"

/** The state; zeroed at the beginning. Places are the host's, along an axis. */
typedef struct {
  int    rounds; /**< how often it was gone through alike; a loop from 2 on */
  RlAxis axis;
  double from, length;
} RlLoop;

/** A place along the host's time, and how it is told. */
typedef struct {
  RlAxis axis;
  double at;
  double near;    /**< the length of a long block: reports are as late as that */
  double bar_one; /**< where bar 1 of the form lies */
} RlLoopPlace;

/** The music, rolling, has jumped from `before` to `place`; forwards it leaves any loop. */
void rl_loop_jump(RlLoop *loop, double before, const RlLoopPlace *place);

/** It is at `place`, without a jump: a loop whose end lies behind it is left. */
void rl_loop_pass(RlLoop *loop, const RlLoopPlace *place);

/** Is the place inside a loop? */
bool rl_loop_holds(const RlLoop *loop, const RlLoopPlace *place);

/** The chords around a place inside the loop; `along` are those that the form goes on with. */
RlChordsAt rl_loop_chords(const RlLoop *loop, const RlForm *form, const RlLoopPlace *place,
                          RlChordsAt along);

/** Where the loop begins and ends, in bars of the form from bar 1 of chorus 1. */
typedef struct {
  double from, to;
} RlLoopBars;

RlLoopBars rl_loop_bars(const RlLoop *loop, const RlForm *form, const RlLoopPlace *place);

#endif
