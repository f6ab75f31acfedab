/* SPDX-License-Identifier: ISC */
/* Where the music is, between two reports of the plugin: the beat runs on at the reported tempo. */
#ifndef RL_UI_CONTROLLER_PLACE_H
#define RL_UI_CONTROLLER_PLACE_H

#include "ui/controller/controller.h"

typedef struct {
  RlPlaceReport report;       /**< the last one */
  double        received_at;  /**< seconds, as `now` below */
  double        fade_from;    /**< when the chord changed; seconds */
  int           bar_one_bars; /**< of the chart, when bar 1 was last where `bar one` put it */
  bool          bar_one_went; /**< the last report has it there no more */
} RlPlaceState;

/** A report that came at `now`, seconds on the controller's clock. */
void rl_place_receive(RlController *controller, const RlPlaceReport *report, double now);

/** A report or a chart has come: says so when bar 1 is no longer where it was put because the chart
    has another number of bars. */
void rl_place_bar_one(RlController *controller);

/** Brings view.report and the fade between two chords up to `now`. */
void rl_place_advance(RlController *controller, double now);

#endif
