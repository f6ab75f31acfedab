/* The clock that follows a host: transport reports and frames elapsed in, bar and beat at any frame
   out. Right in hosts as they are: reports may be partial, rare, in every block, rounded to ticks,
   in a beat other than the tempo's, or nonsense. All functions are real-time safe; one thread. */
#ifndef RL_CLOCK_H
#define RL_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

/** Which fields a report carries; the LV2 time vocabulary's (lv2plug.in/ns/ext/time). */
enum {
  RL_SAID_FRAME         = 1 << 0,
  RL_SAID_SPEED         = 1 << 1,
  RL_SAID_BAR           = 1 << 2,
  RL_SAID_BAR_BEAT      = 1 << 3,
  RL_SAID_BEAT          = 1 << 4,
  RL_SAID_BEAT_UNIT     = 1 << 5,
  RL_SAID_BEATS_PER_BAR = 1 << 6,
  RL_SAID_TEMPO         = 1 << 7,
  RL_SAID_SCALE         = 1 << 8 /**< the host has the habit of QUARTER_TICKS below */
};

/** One report as it came; the clock itself drops what cannot be. */
typedef struct {
  unsigned said; /**< RL_SAID_… */
  int64_t  frame;
  int64_t  bar;           /**< from 0 */
  double   speed;         /**< 1: rolling at normal speed */
  double   bar_beat;      /**< beats of the meter's unit since the bar line */
  double   beat;          /**< the same since the beginning of the song */
  double   beat_unit;     /**< 4: a quarter */
  double   beats_per_bar;
  double   tempo;         /**< beats a minute; of which note, the report does not say */
} RlReport;

/** Where the music is. */
typedef struct {
  bool    known;         /**< false: nothing says where we are, the rest means nothing */
  bool    rolling;
  int     unit;          /**< of the meter */
  int64_t bar;           /**< from 0; negative in a pre-roll */
  double  beat;          /**< 0 up to (not incl.) beats_per_bar */
  double  beats_per_bar;
  double  per_frame;     /**< beats a frame now; 0 while stopped */
  double  tempo;         /**< beats of the meter's unit a minute, also while stopped; 0 unknown */
  double  quarters;      /**< quarter notes since the downbeat of the start bar */
  float   sure;          /**< 1: told; less: estimated */
  float   quarters_sure;
} RlMoment;

/** A place in the host's bars. */
typedef struct {
  int64_t bar;
  double  beat;
} RlBarBeat;

/** How far the music had come at some frame, to measure the tempo by. */
typedef struct {
  int64_t at;     /* frames */
  double  travel; /* quarters */
} RlMilestone;

/** One reading of the host's bar_beat, followed to see whether it makes sense. */
typedef struct {
  RlBarBeat place;
  double    slope; /* quarters a frame over the last step, < 0: none yet */
} RlReading;

/** The state. Private; here so that it can live inside another struct. */
typedef struct {
  double  rate;
  int64_t now; /* frames since the beginning */

  /* the line the music moves along: `from` at frame `at` + `hold`, then per_frame */
  RlBarBeat from;
  int64_t   at;
  double    hold, per_frame;
  double    quarters_at_bar; /* of from.bar */
  bool      known, rolling;
  float     sure, quarters_sure;

  /* what the host said last, field by field */
  bool      frame_told, bar_told_with_frame, meter_told, new_meter;
  int64_t   frame, said_at;
  RlBarBeat said;
  double  speed, beats_per_bar, tempo;
  int     unit;

  /* what it turned out to mean */
  double      note;  /* quarters in a beat of the tempo, as measured; 0: as the habit has it */
  int         habit; /* > 0: bar_beat's fraction counts quarters, see decode() */
  RlReading   reading[2];
  int64_t     read_at;
  RlMilestone milestone[2];
  double      travel;

  int64_t start_bar;
  double  beat_origin; /* time:beat at the start bar's downbeat */
  bool    beat_origin_told;
} RlClock;

/** Begins with nothing known. `rate` in frames a second. */
void rl_clock_init(RlClock *clock, double rate);

/** Which bar (from 0) quarters are counted from. */
void rl_clock_set_start(RlClock *clock, int64_t bar);

/** Time passes: `frames` >= 0. */
void rl_clock_advance(RlClock *clock, int64_t frames);

/** The host reports, now. Fields it leaves out keep what they said before; values that cannot be
    (not finite, out of range) count as left out. */
void rl_clock_report(RlClock *clock, const RlReport *report);

/** Where the music is `ahead` frames from now if nothing else is reported. */
RlMoment rl_clock_moment(const RlClock *clock, int64_t ahead);

#endif
