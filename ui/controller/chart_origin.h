/* SPDX-License-Identifier: ISC */
/* Where the chart in force came from: the file, and what was in it. */
#ifndef RL_UI_CONTROLLER_CHART_ORIGIN_H
#define RL_UI_CONTROLLER_CHART_ORIGIN_H

#include "ui/controller/controller.h"
#include "ui/files/chart_text.h"

enum { RL_CHARTS_SENT = 8 };

typedef struct {
  RlControllerPlugin plugin;               /**< the real one, behind that of the controller */
  uint64_t           sent[RL_CHARTS_SENT]; /**< marks of the charts that were sent to it */
  int                sent_next;

  char        file[RL_PATH_SIZE];  /**< where the chart in force came from; empty: from no file */
  RlChartText base;                /**< what is in that file, as far as is known */
  char        noted[RL_PATH_SIZE]; /**< the last one put among the recent charts */
  bool        heard;               /**< the plugin has told which file it has */
} RlChartOrigin;

/** Notes every chart that is sent to the plugin from now on. */
void rl_chart_origin_watch(RlController *controller);

/** The plugin has told a chart, or its file. */
void rl_chart_origin_hear_chart(RlController *controller);
void rl_chart_origin_hear_file(RlController *controller, const char *path);

/** Is the chart in force as it is in its file, as far as is known? */
bool rl_chart_origin_saved(const RlController *controller);

/** The text of the chart in force. There must be one. */
void rl_chart_origin_text(const RlController *controller, RlChartText *text);

/** Puts a file among the recent charts. */
void rl_chart_origin_note(RlController *controller, const char *path);

#endif
