/* SPDX-License-Identifier: ISC */
/* Private to core/chart: the parser's state and parts. edit.c uses the lines, to see a chart as the
   parser does. */
#ifndef RL_CORE_CHART_READER_H
#define RL_CORE_CHART_READER_H

#include "core/chart/chart.h"

/* Bars being unrolled, repeats and endings open in them; one for the chorus, one for the ending. */
typedef struct {
  RlBar *bar;
  int    count;
  int    repeat_from;      /* where a :| goes back to */
  int    repeat_line;      /* of the |: that is open, 0 if none is */
  int    first_ending;     /* its first bar, -1 if none is open */
  int    ending_line;      /* of the |1 that opened it */
  bool   had_first_ending; /* the last :| closed one */
  bool   in_second_ending;
} RlStrain;

/* The bar being read. */
typedef struct {
  RlFormChord chord[RL_BAR_CHORDS_MAX]; /* .beat counts shares until the bar is closed */
  int         chords, shares;
  bool        as_before; /* % */
  bool        marks;     /* nothing but / and . so far: the chord is that of the bar before */
} RlDraft;

/* The parser's state. */
typedef struct {
  RlForm       *form;
  RlChartError *error;
  int           line, bar;
  int           bar_line, lead_in_line; /* where the bar being read begins; of the header */
  int           beats, unit;
  RlDraft       draft;
  RlStrain      chorus, ending;
  RlStrain     *strain; /* the one being written */
  RlBar         ending_bar[RL_BARS_MAX];
  RlSpan        paper;     /* from the first to the last word since the last bar line */
  RlDraft       last;      /* the bar before on paper; none while .chords is 0 */
  RlChord       before;    /* the last chord as it was read, before it was settled in the key */
  bool          bar_begun; /* only blanks since a plain bar line in this line */
  int           rules;     /* 1 or 2, see CHART.md */
  unsigned      seen;      /* headers already read, a bit each */
} RlChartReader;

/* ---- errors: error.c ---- */

/* Stores the error at the line and bar being read; returns false. `quoted` is cut if it is long. */
bool rl_chart_reader_fail(RlChartReader *r, const char *reason);
bool rl_chart_reader_fail_with(RlChartReader *r, const char *before, RlSlice quoted,
                               const char *after);

/* The same for a bar whose chords and holds do not share its beats. */
bool rl_chart_reader_fail_shares(RlChartReader *r);

/* ---- lines and words: lines.c ---- */

/* Bytes of the blank at the head of `rest`: a space, a tab, a carriage return, a space that does
   not break (U+00A0, U+202F); 0 if there is none. */
size_t rl_chart_blank(RlSlice rest);

/* The slice without blanks at both ends. */
RlSlice rl_chart_trim(RlSlice slice);

/* Bytes before the first blank; the whole length if there is none. */
size_t rl_chart_word(RlSlice slice);

/* Does a comment begin here, inside a line of bars: a # with a blank or the end after it? */
bool rl_chart_comment(RlSlice rest);

/* The first line of `rest`, trimmed; `rest` goes on behind it. */
RlSlice rl_chart_line_next(RlSlice *rest);

/* Bytes of `name` in a line `name: value`, 0 if it is not one. `V7 :|` and `V7:|` are bars. */
size_t rl_chart_header_name(RlSlice line);

/* Is the word this one, its letters in any case? */
bool rl_chart_same_word(RlSlice word, const char *lower_case);

/* A slice of the form's own text as a span. */
RlSpan rl_chart_span(const RlForm *form, RlSlice slice);

/* `12/8`: how many of which note value. */
bool rl_chart_meter(RlSlice text, int *beats, int *unit);

/* ---- the parts of the parser; false: failed, and the error is filled in ---- */

/* headers.c: a header line. An unknown one is accepted and means nothing. */
bool rl_chart_reader_header(RlChartReader *r, RlSlice name, RlSlice value);

/* bars.c: a line of bars. */
bool rl_chart_reader_bars(RlChartReader *r, RlSlice line);

/* bars.c: a bar line. Closes the bar being read, if anything stands in it. */
bool rl_chart_reader_bar_close(RlChartReader *r);

/* bars.c: appends a bar to the strain. */
bool rl_chart_reader_bar_append(RlChartReader *r, RlBar bar);

/* repeats.c: `|:`, `:|` played `times` in all, `|1` and `|2`. A first ending is left out of
   the last pass. */
bool rl_chart_reader_repeat_open(RlChartReader *r);
bool rl_chart_reader_repeat_close(RlChartReader *r, int times);
bool rl_chart_reader_ending_open(RlChartReader *r, int number);

/* repeats.c: an empty strain that unrolls into `bar`. */
RlStrain rl_strain_in(RlBar *bar);

/* repeats.c: is everything that the strain opened closed? */
bool rl_chart_reader_strain_done(RlChartReader *r, const RlStrain *s);

#endif
