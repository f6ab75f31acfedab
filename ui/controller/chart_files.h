/* SPDX-License-Identifier: ISC */
/* Opening and making charts. A chart is opened by setting the property chart_file, so that the
   host, which may set it too, sees the same; a new one by setting chart. Before a chart that is in
   no file is lost it is asked. */
#ifndef RL_UI_CONTROLLER_CHART_FILES_H
#define RL_UI_CONTROLLER_CHART_FILES_H

#include "ui/controller/controller.h"
#include "ui/files/chart_open.h"

/** What is to be done with the chart in force's place once it may be lost. */
typedef enum { RL_NEXT_NOTHING, RL_NEXT_OPEN, RL_NEXT_NEW } RlChartNext;

enum { RL_TITLE_QUOTE_SIZE = 256 };

typedef struct {
  RlChartNext   next;
  int           next_key;
  char          next_path[RL_PATH_SIZE];
  RlBackground *asking; /**< whether the chart in force is kept */
  RlChartKept  *kept;   /**< what it works on */
  double        since;  /**< seconds, of what is going on; -1: just begun */
  bool          late;   /**< that it is late has been said */
  char          question[RL_PROBLEM_SIZE];
} RlChartFiles;

/** Gives up what is going on. */
void rl_chart_files_close(RlController *controller);

/** Opens the selected chart, makes a new one in a key (0 C to 11, from 12 on minor): asks first if
    the one in force would be lost. */
void rl_chart_files_open(RlController *controller);
void rl_chart_files_new(RlController *controller, int key);

/** Does what was to be done; what was in force is lost, if it is in no file. */
void rl_chart_files_next(RlController *controller);

/** Asks for the key of a new chart. */
void rl_chart_files_ask_key(RlController *controller);

/** Asks something: the words before a path or title, and after it. */
void rl_chart_files_ask(RlController *controller, RlChartsAsk what, const char *first,
                        const char *path, const char *last);

/** Answers what is asked; an RlChartsAnswer. */
void rl_chart_files_answer(RlController *controller, int answer);

/** Takes what has been read and written meanwhile. */
void rl_chart_files_advance(RlController *controller, double now);

#endif
