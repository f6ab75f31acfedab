/* SPDX-License-Identifier: ISC */
/* A chart out of a file, to be looked at and to be opened; and whether the one that it would
   replace is kept anywhere. In the background. */
#ifndef RL_UI_FILES_CHART_OPEN_H
#define RL_UI_FILES_CHART_OPEN_H

#include "plugin/protocol/properties.h"
#include "ui/files/chart_text.h"
#include "ui/files/file_work.h"

typedef struct {
  char path[RL_PATH_SIZE];

  /* the result */
  bool   good; /**< `form` is the chart */
  RlForm form;
  char   why[RL_FILE_WORDS_SIZE]; /**< why there is none */
} RlChartLook;

/** Begins to read a chart. NULL if that cannot be done. */
RlBackground *rl_chart_look_begin(const char *path, RlChartLook **look);

typedef struct {
  RlChartText text;                  /**< the chart in force */
  char        file[RL_PATH_SIZE];    /**< where it should be; empty: unknown */
  char        presets[RL_PATH_SIZE]; /**< a folder of charts that nobody needs to keep; or empty */

  bool kept; /**< the result: one of those files holds the same text, or a new plugin does */
} RlChartKept;

/** Begins to find out whether it is kept; `kept` comes from malloc() and is freed with it, unless
    this returns NULL. */
RlBackground *rl_chart_kept_begin(RlChartKept *kept);

#endif
