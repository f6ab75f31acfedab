/* SPDX-License-Identifier: ISC */
/* The screen of charts: which folder is listed, which of its charts is selected and looked at. What
   opens and saves them is chart_files. Files are read in the background; rl_charts_advance() takes
   what comes of it. */
#ifndef RL_UI_CONTROLLER_CHARTS_H
#define RL_UI_CONTROLLER_CHARTS_H

#include "ui/controller/controller.h"
#include "ui/files/chart_open.h"
#include "ui/files/chart_scan.h"

enum { RL_CHARTS_QUERY_SIZE = 128 };

typedef struct {
  char own[RL_PATH_SIZE], presets[RL_PATH_SIZE]; /**< folders; empty: none */
  char state[RL_PATH_SIZE];                      /**< where the recent charts are known, likewise */

  char          folder[RL_PATH_SIZE]; /**< that is listed; empty: the recent charts */
  char          wanted[RL_PATH_SIZE]; /**< a file of it to be selected; empty: none */
  RlChartList   list;
  RlBackground *scanning;
  RlChartScan  *scan;          /**< what it works on */
  double        scanned_since; /**< seconds */

  char query[RL_CHARTS_QUERY_SIZE];
  int  found[RL_CHARTS_MAX + 1];

  RlBackground *looking;      /**< at the selected chart; the view shows it from here */
  RlChartLook  *look;         /**< what it works on */
  double        looked_since; /**< seconds */

  char words[RL_PROBLEM_SIZE]; /**< what has happened */
} RlCharts;

/** Lists charts when the screen is opened: where one was listed last, else in the folder of the
    chart in force, else those that come along, else the player's own. */
void rl_charts_open(RlController *controller);

/** Gives up what is going on in the background. */
void rl_charts_close(RlController *controller);

/** Lists the charts of an RlChartsPlace. */
void rl_charts_go(RlController *controller, int place);

/** Lists a folder, or the folder of a file, which is selected then: absolute, from the home folder
    (`~`), or from the one that is listed. */
void rl_charts_walk(RlController *controller, const char *path);

/** Lists the same folder again; `wanted` (or NULL) is selected then. */
void rl_charts_list_again(RlController *controller, const char *wanted);

/** Selects a line of the list; a folder is walked into, a chart that is selected already opened. */
void rl_charts_select(RlController *controller, int entry);

/** The selected line, NULL: none. */
const RlEntry *rl_charts_selected(const RlController *controller);

/** Searches the list for words. */
void rl_charts_search(RlController *controller, const char *words);
void rl_charts_search_select_first(RlController *controller);

/** Says what has happened, or with `alarm` what is wrong; "" nothing. */
void rl_charts_say(RlController *controller, bool alarm, const char *first, const char *path,
                   const char *last);

/** Copies a text into a buffer, cut at a whole character where it is too long. */
void rl_charts_copy(char *to, size_t size, const char *text);

/** Takes what has been read meanwhile. */
void rl_charts_advance(RlController *controller, double now);

#endif
