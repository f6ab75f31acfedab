/* SPDX-License-Identifier: ISC */
/* The chart parser: text typed by a person to a form, or an error that names the place and the way
   out. CHART.md is the reference of the syntax. Not for the audio thread: time grows with the text.
   No heap, no state; any other thread. */
#ifndef RL_CORE_CHART_CHART_H
#define RL_CORE_CHART_CHART_H

#include "core/chart/form.h"

enum {
  RL_REASON_SIZE = 192 /**< bytes of an error's reason, the NUL included; plans use it too */
};

/** Why a chart could not be read. */
typedef struct {
  int  line; /**< from 1 */
  int  bar;  /**< on paper, from 1; 0 where the fault lies outside the bars */
  char reason[RL_REASON_SIZE];
} RlChartError;

/** Reads `text` (at most RL_CHART_MAX bytes of UTF-8) into `form`, which keeps a copy of it. On
    failure returns false, fills in `error`, and `form` means nothing. */
bool rl_chart_read(RlSlice text, RlForm *form, RlChartError *error);

enum {
  RL_CHART_RULES = 2 /**< the newest rules of charts (CHART.md) */
};

/** Writes a chart of which nothing says that it was written under newer rules than 1, from an old
    session, into `chart`, which is emptied first, RL_CHART_MAX + 1 bytes: the text as it is where
   it means the same today, else with a line `chart-rules: 1` at its head. False if there is no room
    for the line; `scratch` is used. */
bool rl_chart_of_rules_1(RlSlice text, RlForm scratch[2], RlText *chart);

/** Appends `line 3, bar 7: no such chord "H7"; letters run A to G, …`. */
void rl_chart_error_write(const RlChartError *error, RlText *text);

/** The value of a header, known to the parser or not: that of the first line `name: value`, its
   name in any case; `name` in lower case. Empty if there is none. */
RlSlice rl_chart_header(const RlForm *form, const char *name);

#endif
