/* SPDX-License-Identifier: ISC */
/* The follower: follows the clock that leads along the form of the snapshot, and knows at every
   frame what is true there. No LV2 here; real-time safe; the audio thread's. */
#ifndef RL_PLUGIN_RT_FOLLOWER_H
#define RL_PLUGIN_RT_FOLLOWER_H

#include "core/clock/clock.h"
#include "core/clock/heard.h"
#include "core/clock/taps.h"
#include "core/harmony/lamps.h"
#include "plugin/rt/loop.h"
#include "plugin/shared/snapshot.h"

/** What the song follows; as the port `clock` has it. */
typedef enum { RL_BY_HOST, RL_BY_TAPS, RL_BY_EAR } RlClockChoice;

/** What the control ports say. */
typedef struct {
  RlHand        hand;
  int           start_bar;
  bool          by_beats; /**< count_by 1 */
  RlClockChoice clock;
  RlShow        show;
} RlSettings;

/** A foot switch. */
typedef enum {
  RL_PEDAL_TAP,
  RL_PEDAL_BAR_ONE,
  RL_PEDAL_STOP,
  RL_PEDAL_CAPTURE,   /**< not the follower's: see capture.h */
  RL_PEDAL_HALF_TIME, /**< nor these two: see listening.h */
  RL_PEDAL_DOUBLE_TIME,
  RL_PEDAL_KEEP_LAST, /**< see take_events.c */
  RL_PEDALS
} RlPedal;

/** What is true at one frame. */
typedef struct {
  RlPlace    place;
  RlChordsAt chords;
  bool       rolling;
  double     tempo; /**< beats of the bar's own unit a minute; 0 unknown */
  float      sure;
  double     beats_per_frame; /**< of the bar's own unit */
} RlNow;

/** The state. */
typedef struct {
  double            rate;
  const RlSnapshot *snapshot;
  RlSettings        settings;
  RlClock           clock;
  RlTaps            taps;
  RlHeard           heard;
  RlBarOne          bar_one;
  unsigned          bar_ones;            /* how often the music itself has changed that */
  double            taps_bar_one;        /* felt beats at which bar 1 lies */
  double            bar_one_at[RL_AXES]; /* where bar 1 lies along each axis */
  const RlSnapshot *searched;            /* the snapshot `along` was found in */
  RlChordsAt        along;               /* the chords as the form goes on */
  RlLoop            loop;                /* of the host; `now.chords` heeds it */
  RlLoopPlace       at;                  /* where `now` is, and how far it moves in a frame */
  double            at_per_frame;
  RlKey             key;      /* the song sounds in */
  int               position; /* of the harp, 1..12 */
  RlNow             now;
  unsigned          looks; /* how often `now` was made anew */
  int64_t           since; /* frames since `now` was true */
  int64_t           left;  /* frames until the next whole beat, INT64_MAX for none */
} RlFollower;

/** Begins with that snapshot and the standard settings. */
void rl_follower_init(RlFollower *follower, double rate, const RlSnapshot *snapshot);

/** Forgets where the music was; snapshot, settings and "bar one" stay. */
void rl_follower_restart(RlFollower *follower);

/** A new snapshot. Where its chart has another number of bars, "bar one" is forgotten, or what the
    snapshot brings holds. */
void rl_follower_snapshot(RlFollower *follower, const RlSnapshot *snapshot);

/** New settings. Another start bar forgets "bar one". */
void rl_follower_settings(RlFollower *follower, const RlSettings *settings);

/** Where the music has put bar 1, if it has and that holds; else NULL. */
const RlBarOne *rl_follower_bar_one(const RlFollower *follower);

/** The host reports, now. */
void rl_follower_report(RlFollower *follower, const RlReport *report);

/** What was heard at an earlier frame. */
void rl_follower_heard(RlFollower *follower, const RlHeardReport *report);

/** What sounds goes on elsewhere, now, at `place` or nobody knows where (NULL); see
   rl_heard_move(). */
void rl_follower_heard_move(RlFollower *follower, const RlHeardReport *place);

/** A pedal goes down, now. */
void rl_follower_pedal(RlFollower *follower, RlPedal pedal);

/** How many of `frames` rl_follower_advance() would let pass. */
static inline int64_t
rl_follower_straight(const RlFollower *const follower, const int64_t frames)
{
  return frames < follower->left ? frames : follower->left;
}

/** Private: on a beat, and where the ear's clock wants to know that time has passed. */
int64_t rl_follower_arrive(RlFollower *follower, int64_t passed);

/** Time passes: at most `frames` (>= 0), but not beyond the next whole beat. Returns how many
    frames passed; on a beat `now` is fresh. */
static inline int64_t
rl_follower_advance(RlFollower *const follower, const int64_t frames)
{
  const int64_t passed = rl_follower_straight(follower, frames);
  rl_clock_advance(&follower->clock, passed);
  rl_taps_advance(&follower->taps, passed);
  follower->since += passed;
  follower->left -= follower->left == INT64_MAX ? 0 : passed;
  return follower->left == 0 || follower->settings.clock == RL_BY_EAR
           ? rl_follower_arrive(follower, passed)
           : passed;
}

/** The beat of the bar now, from 0. */
double rl_follower_beat(const RlFollower *follower);

/** The same as it is shown: 1 up to (not incl.) beats + 1; 0 where nobody knows. */
float rl_follower_shown_beat(const RlFollower *follower);

/** Beats to the next chord, seen from now (`now.chords` is as seen from `since` frames ago); 0 if
    there is none. */
double rl_follower_beats_to_next(const RlFollower *follower);

/** The target of a change (RlChordsAt.now or .next); hole 0 while there is none. */
RlTarget rl_follower_target(const RlFollower *follower, int change);

#endif
