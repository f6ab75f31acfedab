/* SPDX-License-Identifier: ISC */
/* Saving the chart in force. What a file holds is never written over unless it is what was read
   there, or what was asked about. */
#ifndef RL_UI_CONTROLLER_CHART_SAVING_H
#define RL_UI_CONTROLLER_CHART_SAVING_H

#include "ui/controller/controller.h"
#include "ui/files/chart_save.h"

typedef struct {
  RlBackground *background;
  RlChartSave  *save; /**< what it works on */
  RlChartSave  *over; /**< a save that is asked about; from malloc() */
} RlChartSaving;

/** Saves where the chart came from; where that is unknown or nothing of the player's, types a name
    first. */
void rl_chart_saving_begin(RlController *controller);

/** Begins to type a name to save it under; saves under the name that was typed. False if it is no
    name; the error is shown. */
void rl_chart_saving_open_name(RlController *controller);
bool rl_chart_saving_keep_name(RlController *controller);

/** Saves over what was asked about; or forgets that. */
void rl_chart_saving_over(RlController *controller);
void rl_chart_saving_forget(RlController *controller);

/** Takes what has come of saving, once it has ended. */
void rl_chart_saving_take(RlController *controller);

/** Gives up what is going on. */
void rl_chart_saving_close(RlController *controller);

#endif
