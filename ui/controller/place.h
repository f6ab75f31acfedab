/* SPDX-License-Identifier: ISC */
/* Where the music is, between two reports of the plugin: the beat runs on at the reported tempo. */
#ifndef RL_UI_CONTROLLER_PLACE_H
#define RL_UI_CONTROLLER_PLACE_H

#include "ui/controller/controller.h"

typedef struct {
  RlPlaceReport report;      /**< the last one */
  double        received_at; /**< seconds, as `now` below */
  double        fade_from;   /**< when the chord changed; seconds */
} RlPlaceState;

/** A report that came at `now`, seconds on the controller's clock. */
void rl_place_receive(RlController *controller, const RlPlaceReport *report, double now);

/** Brings view.report and the fade between two chords up to `now`. */
void rl_place_advance(RlController *controller, double now);

#endif
