/* SPDX-License-Identifier: ISC */
/* A song and a DAW, worked out naively, to judge the plugin by: bar tables typed beside their
   charts and a walk along them, bar by bar in whole ticks; nothing of core/ is asked. Sources:
   plugin/PORTS.md, core/clock/CLOCK.md, core/chart/CHART.md ("reference"). */
#ifndef SONG_MODEL_H
#define SONG_MODEL_H

#include "scene.h"

#include "core/chart/form.h"

/* ---- charts, and what they say ---- */

typedef struct {
  int         beat; /* from 0 */
  const char *degree, *name;
} ModelChord;

typedef struct {
  int        beats, unit;
  ModelChord chord[4]; /* up to the first without a name */
} ModelBar;

typedef struct {
  const char *text;
  int         key; /* 0..11 */
  int         bars, ending, lead_in, from, choruses;
  ModelBar    bar[14];
} Model;

#define TWELVE_TEXT                                                                                \
  "[A]\n| I7 | IV7 | I7 | % |\n| IV7 | % | I7 | VI7 |\n| ii7 | V7 | I7 IV7 | I7 V7 |\n"

extern const Model model_twelve, model_silent_lead_in, model_played_lead_in, model_twelve_eight,
  model_crooked, model_motley, model_ended, model_stop_time, model_one_chord;

/* ---- the walk along the form ---- */

/* Bar `n` of the song, counted from the first of the lead-in. */
typedef struct {
  RlPart          part;
  int             chorus, bar;
  const ModelBar *meter, *plays; /* plays: NULL where no chord sounds */
} Slot;

/** The chord that sounds on a beat; NULL for none. */
const ModelChord *model_chord_on(const Slot *slot, double beat);

/** The next chord, and how many beats it is away. Reference: the first to come whose name differs,
    across the end of the form too. */
const ModelChord *model_chord_after(const Model *m, int n, double beat, double *beats);

/* ---- the DAW ---- */

typedef struct {
  int64_t bar; /* from 0; from there on */
  int     beats, unit;
} DawMeter;

/* Its frame 0 is the downbeat of bar 0. A tick is a part of a frame; every length is whole in
 * ticks. */
typedef struct {
  int64_t         ticks;   /* in a frame */
  int64_t         quarter; /* ticks */
  const DawMeter *meter;   /* the first holds before it too */
  int             meters;
} Daw;

const DawMeter *model_meter_of(const Daw *d, int64_t bar);

/** The tick of a bar line. */
int64_t model_bar_line(const Daw *d, int64_t bar);

/** What the host says at a frame of the transport. */
Report model_report_at(const Daw *d, int64_t frame);

/* ---- a journey ---- */

typedef struct {
  const char  *what;
  const Model *model;
  Daw          daw;
  int          start_bar, count_by;
  int64_t      from; /* the DAW's bar (from 0) at which it begins to roll */
  double       beat; /* and the beat of it */
  int64_t      frames;
} Journey;

typedef struct {
  int     n;
  Slot    slot;
  int64_t start, length;
} Playing;

enum { PLAYING_MAX = 4096 };

typedef struct {
  int     count;
  Playing bar[PLAYING_MAX];
} Walk;

/** Reference: count_by 0, one DAW bar is one bar of the form; 1, DAW beats as quarters from the
    downbeat of start_bar, laid along the form's own bars. Before the lead-in: bars like bar 1.
    `begin`, `end`: ticks. */
void model_walk(Walk *walk, const Journey *j, int64_t begin, int64_t end);

const Playing *model_playing_at(const Walk *walk, int64_t tick);

/** Beats since the bar's line. */
double model_beat_at(const Playing *p, int64_t tick);

#endif
