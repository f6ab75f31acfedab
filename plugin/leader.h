/* The leader: follows the clocks through the score and knows, at every frame, what to call out. No
   LV2 here; real-time safe; the audio thread's. */
#ifndef RL_LEADER_H
#define RL_LEADER_H

#include "clock.h"
#include "desk.h"
#include "taps.h"

/** What the control ports say. */
typedef struct {
  RlHand hand;
  int    start_bar;
  bool   by_beats; /**< count_by 1 */
  bool   by_taps;  /**< clock 1 */
} RlSettings;

/** A foot switch. */
typedef enum {
  RL_PEDAL_TAP,
  RL_PEDAL_BAR_ONE,
  RL_PEDAL_STOP,
  RL_PEDAL_CAPTURE, /**< not the leader's: see capture.h */
  RL_PEDALS
} RlPedal;

/** What is true at one frame. */
typedef struct {
  RlPlace place;
  RlTurn  turn;
  bool    rolling;
  double  tempo; /**< beats of the bar's own unit a minute; 0 unknown */
  float   sure;
  double  beats_per_frame; /**< of the bar's own unit */
} RlNow;

/** The state. */
typedef struct {
  double         rate;
  const RlScore *score;
  RlSettings     settings;
  RlClock        clock;
  RlTaps         taps;
  RlBarOne       bar_one;
  unsigned       bar_ones;            /* how often the music itself has changed that */
  double         taps_bar_one;        /* felt beats at which bar 1 lies */
  double         bar_one_at[RL_AXES]; /* where bar 1 lies along each axis */
  const RlScore *turned;              /* the score `now.turn` was found in */
  RlKey          key;                 /* the song sounds in */
  int            position;            /* of the harp, 1..12 */
  RlNow          now;
  unsigned       looks; /* how often `now` was made anew */
  int64_t        since; /* frames since `now` was true */
  int64_t        left;  /* frames until the next whole beat, INT64_MAX for none */
} RlLeader;

/** Begins with that score and the standard settings. */
void rl_leader_init(RlLeader *leader, double rate, const RlScore *score);

/** Forgets where the music was; score, settings and "bar one" stay. */
void rl_leader_restart(RlLeader *leader);

/** A new score. Where it is another chart, "bar one" is forgotten, or what the score brings holds.
 */
void rl_leader_score(RlLeader *leader, const RlScore *score);

/** New settings. Another start bar forgets "bar one". */
void rl_leader_settings(RlLeader *leader, const RlSettings *settings);

/** The host reports, now. */
void rl_leader_report(RlLeader *leader, const RlReport *report);

/** A pedal goes down, now. */
void rl_leader_pedal(RlLeader *leader, RlPedal pedal);

/** Time passes: at most `frames` (>= 0), but not beyond the next whole beat. Returns how many
   frames passed; on a beat `now` is fresh. */
int64_t rl_leader_advance(RlLeader *leader, int64_t frames);

/** How many of `frames` rl_leader_advance() would let pass. */
int64_t rl_leader_straight(const RlLeader *leader, int64_t frames);

/** The beat of the bar now, from 0. */
double rl_leader_beat(const RlLeader *leader);

/** The same as it is shown: 1 up to (not incl.) beats + 1; 0 where nobody knows. */
float rl_leader_shown_beat(const RlLeader *leader);

/** Beats to the next chord, seen from now (`now.turn` is as seen from `since` frames ago); 0 if
    there is none. */
double rl_leader_beats_to_next(const RlLeader *leader);

/** The target of a change (RlTurn.now or .next); hole 0 while there is none. */
RlTarget rl_leader_target(const RlLeader *leader, int change);

#endif
