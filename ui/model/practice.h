/* SPDX-License-Identifier: ISC */
/* Practice as it is shown: choruses side by side, each measure a panel. Pure. */
#ifndef RL_UI_MODEL_PRACTICE_H
#define RL_UI_MODEL_PRACTICE_H

#include "core/practice/line.h"

enum { RL_PRACTICE_SHOWN = 80 /**< choruses at most, the newest */ };

/** The choruses of the song, oldest first. */
typedef struct {
  int            count;
  RlPracticeLine line[RL_PRACTICE_SHOWN];
} RlPracticeShown;

/** The panels, in their order. */
typedef enum {
  RL_PANEL_TARGETS,
  RL_PANEL_STRONG,
  RL_PANEL_PLANNED,
  RL_PANEL_BENDS,
  RL_PANEL_BEAT,
  RL_PANEL_ROLES, /**< which notes: parts of a whole */
  RL_PANELS
} RlPanel;

enum { RL_PANEL_PARTS = 5 /**< of RL_PANEL_ROLES, what tells the chord first */ };

/** Reads the property `practice`: the choruses of the song of that title, "Untitled" where it has
   none. What cannot be read is left out. */
void rl_practice_show(RlPracticeShown *shown, RlSlice text, RlSlice title);

/** For example `landed on chords`. */
const char *rl_panel_title(RlPanel panel);

/** How good a chorus was, 0 to 1, the higher the better; negative: there was nothing of it. */
double rl_panel_good(RlPanel panel, const RlTally *tally);

/** The share of part `n` of RL_PANEL_ROLES, 0 to 1. */
double rl_panel_part(const RlTally *tally, int n);

/** Appends what it was, `6 of 9`; nothing where there was nothing of it. */
void rl_panel_words(RlPanel panel, const RlTally *tally, RlText *text);

/** The day it was played on, from 1970-01-01 (UTC); appends it, `30 Nov`. */
int  rl_practice_day(const RlPracticeLine *line);
void rl_practice_day_write(const RlPracticeLine *line, RlText *text);

#endif
