/* SPDX-License-Identifier: ISC */
/* A tally as a line of text, as session and practice file hold it (README.md has the format), and
   in words. Pure, any thread. */
#ifndef RL_CORE_PRACTICE_LINE_H
#define RL_CORE_PRACTICE_LINE_H

#include "core/practice/tally.h"

#include <stdint.h>

enum { RL_PRACTICE_TITLE_SIZE = 128, RL_PRACTICE_LINE_SIZE = 512 /**< with newline and NUL */ };

/** A chorus that was played. */
typedef struct {
  int64_t when; /**< seconds since 1970 (UTC), when it ended; 0 to 253402300799 (the year 9999) */
  int     chorus;
  int     tempo;    /**< quarters a minute */
  int     song_key; /**< 0..11 */
  int     harp;     /**< its key, 0..11 */
  int     show;     /**< an RlShow, as it was shown */
  RlTally tally;
  char    title[RL_PRACTICE_TITLE_SIZE]; /**< of the chart; UTF-8 without control characters */
} RlPracticeLine;

/** Appends the line and a newline. */
void rl_practice_line_write(const RlPracticeLine *line, RlText *text);

/** Reads a line (without its newline). False if it is damaged. Fields that are not known are passed
    over, so that later versions may add some. */
bool rl_practice_line_read(RlSlice text, RlPracticeLine *line);

/** Takes the next line off a text; false if none is left. */
bool rl_practice_line_next(RlSlice *text, RlSlice *line);

/** Appends what is said after the chorus: `chorus 3: landed on 6 of 9 chords; …`. Facts, and
   nothing that there is none of. */
void rl_practice_line_say(const RlPracticeLine *line, RlText *text);

/** The same in one line: chords and beat. */
void rl_practice_line_brief(const RlPracticeLine *line, RlText *text);

#endif
