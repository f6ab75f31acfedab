/* SPDX-License-Identifier: ISC */
/* A folder of charts, or the recent ones, listed in the background: first by their files' names,
   then, once all are read, by their titles. */
#ifndef RL_UI_FILES_CHART_SCAN_H
#define RL_UI_FILES_CHART_SCAN_H

#include "plugin/protocol/properties.h"
#include "ui/files/chart_list.h"
#include "ui/files/file_work.h"

#include <stdatomic.h>

typedef struct {
  char                   folder[RL_PATH_SIZE]; /**< as it was found; empty: the recent charts */
  char                   chosen[RL_PATH_SIZE]; /**< the file, where one was named; else empty */
  char                   state[RL_PATH_SIZE];  /**< where the recent charts are known */
  RlChartList            list;                 /**< once the work is done */
  _Atomic(RlChartList *) names; /**< what is there so far; whoever takes it frees it */
} RlChartScan;

/** Begins to list a folder, or the folder of a file. NULL if that cannot be done. */
RlBackground *rl_chart_scan_begin(const char *path, RlChartScan **scan);

/** Begins to list the recent charts that the folder `state` knows, in their order. */
RlBackground *rl_chart_scan_recent(const char *state, RlChartScan **scan);

/** Moves the list by names into `list`, if there is a new one. */
bool rl_chart_scan_names(RlChartScan *scan, RlChartList *list);

#endif
