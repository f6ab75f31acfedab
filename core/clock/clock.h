/* SPDX-License-Identifier: ISC */
/* The clock that follows a host: transport reports and elapsed frames in, bar and beat at any frame
   out. Reports may be partial, rare, in every block, rounded to ticks, in a beat other than the
   tempo's, or garbage; README.md says what hosts were measured to do. All functions are real-time
   safe; one thread. */
#ifndef RL_CORE_CLOCK_CLOCK_H
#define RL_CORE_CLOCK_CLOCK_H

#include <assert.h>
#include <stdbool.h>
#include <stdint.h>

/** Which fields a report carries, as named by the LV2 time vocabulary
    (lv2plug.in/ns/ext/time). */
enum {
  RL_SAID_FRAME         = 1 << 0,
  RL_SAID_SPEED         = 1 << 1,
  RL_SAID_BAR           = 1 << 2,
  RL_SAID_BAR_BEAT      = 1 << 3,
  RL_SAID_BEAT          = 1 << 4,
  RL_SAID_BEAT_UNIT     = 1 << 5,
  RL_SAID_BEATS_PER_BAR = 1 << 6,
  RL_SAID_TEMPO         = 1 << 7,
  RL_SAID_SCALE         = 1 << 8 /**< the host has the quarter_ticks of QUARTER_TICKS below */
};

/** One report as it came. The clock drops what cannot be. */
typedef struct {
  unsigned said; /**< RL_SAID_… */
  int64_t  frame;
  int64_t  bar;       /**< from 0 */
  double   speed;     /**< 1: rolling at normal speed */
  double   bar_beat;  /**< beats of the meter's unit since the bar line */
  double   beat;      /**< the same since the beginning of the song */
  double   beat_unit; /**< 4: a quarter */
  double   beats_per_bar;
  double   tempo; /**< beats a minute; of which note, the report does not say */
} RlReport;

/** Where the music is. */
typedef struct {
  bool    known; /**< false: nothing tells the place, and the rest means nothing */
  bool    rolling;
  int     unit; /**< of the meter */
  int64_t bar;  /**< from 0; negative in a pre-roll */
  double  beat; /**< 0 up to (not incl.) beats_per_bar */
  double  beats_per_bar;
  double  per_frame;     /**< beats a frame now; 0 while stopped */
  double  tempo;         /**< beats of the meter's unit a minute, also while stopped; 0 unknown */
  double  quarters;      /**< quarter notes since the downbeat of the start bar */
  float   sure;          /**< confidence in bar and beat: 1 told by the host, 0.5 estimated */
  float   quarters_sure; /**< the same of `quarters` */
} RlMoment;

/** A place in the host's bars. */
typedef struct {
  int64_t bar;
  double  beat;
} RlBarBeat;

/** What has been covered up to some report, to measure the pace by. Private. */
typedef struct {
  int64_t at;     /* frames since the beginning */
  double  song;   /* frames of the song */
  double  travel; /* quarters, by the places told */
  double  beats;  /* of the tempo told */
  double  blur;   /* error of `beats`, since nobody says when the tempo changed */
} RlMilestone;

/** One reading of the host's bar_beat, followed to see whether it keeps an even pace. Private. */
typedef struct {
  RlBarBeat place;
  double    slope;  /* quarters a frame over the last even step */
  double    frames; /* of that step */
} RlReading;

/** What is known of a host that tells whole beats (whole.h). Private. */
typedef struct {
  bool      is_habit; /* it is such a host */
  bool      fit;      /* the last report could have come from one */
  int64_t   bar;      /* as told last */
  double    beat;
  double    first;    /* what it tells at a bar line */
  double    span;     /* beats of the stretch that this report tells; 0: it tells a place */
  RlBarBeat told;     /* the head of the stretch before */
  bool      began[2]; /* this stretch, and the one before, had just begun when told */
  bool      misled;   /* where a jump led to was guessed too far ahead */
} RlWholeBeats;

/** The state. Private; here so that it can live inside another struct. */
typedef struct {
  double  rate; /* frames a second */
  int64_t now;  /* frames since the beginning */

  /* the line the music moves along: `from` at frame `at` + `hold`, then per_frame (line.h) */
  RlBarBeat from;
  int64_t   at;
  double    hold, per_frame;
  double    quarters_at_bar; /* of from.bar */
  bool      known, rolling;
  float     sure, quarters_sure;

  /* what the host told last, field by field (report.h, meter.h) */
  bool      frame_told, bar_told, place_comes_with_frame, meter_told, unit_told;
  double    frame;   /* of the song, now */
  int64_t   said_at; /* frames since the beginning */
  RlBarBeat said;    /* its beat may reach past the bar, until the meter is told too */
  double    speed, beats_per_bar, tempo, beat;
  int       unit;

  /* what the tempo counts, and the pace measured (tempo.h) */
  double      note;            /* quarters in a beat of the tempo; 0: the host's usual one */
  bool        note_known;      /* measured since the tempo last leapt */
  bool        note_presumed;   /* the line moves by rl_clock_tempo_note_presumed() */
  RlMilestone here, window[2]; /* now; an earlier and a later one to measure from */
  bool        restart;         /* measure anew from here */

  /* what bar_beat means (ticks.h) */
  int       quarter_ticks; /* > 0: its fraction counts quarters; -4..4, hysteresis */
  bool      scale_told;    /* RL_SAID_SCALE has been seen */
  bool      unclear;       /* a quarter had to be guessed */
  int       ticks;         /* so many readings in a row were whole ticks */
  RlReading literal, decoded;
  int       readings; /* in a row: 0, 1, or with a slope 2 */

  RlWholeBeats whole;

  int64_t start_bar;
  double  beat_origin; /* time:beat at the start bar's downbeat */
  bool    beat_told, beat_origin_told;
  bool    units_mixed; /* time:beat adds up beats of several units */
} RlClock;

/** Begins with nothing known. `rate`: frames a second, > 0. */
void rl_clock_init(RlClock *clock, double rate);

/** Sets the bar (from 0) that quarters are counted from; limited to a million either way. */
void rl_clock_set_start(RlClock *clock, int64_t bar);

/** Time passes: `frames` >= 0. Inline, as every block asks for it. */
static inline void
rl_clock_advance(RlClock *const clock, const int64_t frames)
{
  assert(frames >= 0);
  clock->now += frames;
}

/** The host reports, now. Fields it leaves out keep their last value; values that cannot be (not
    finite, out of range) count as left out. Returns whether rl_clock_moment() changed by it. */
bool rl_clock_report(RlClock *clock, const RlReport *report);

/** Where the music is `ahead` frames (>= 0) from now if nothing else is reported. */
RlMoment rl_clock_moment(const RlClock *clock, int64_t ahead);

#endif
