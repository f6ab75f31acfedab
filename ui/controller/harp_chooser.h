/* SPDX-License-Identifier: ISC */
/* "Which harp?": the harps the player owns, kept in a file, and their ranking for the chart in
   force. */
#ifndef RL_UI_CONTROLLER_HARP_CHOOSER_H
#define RL_UI_CONTROLLER_HARP_CHOOSER_H

#include "ui/controller/controller.h"
#include "ui/model/owned_harps.h"

typedef struct {
  RlOwnedHarps owned;
  char         folder[RL_PATH_SIZE];     /**< of the file; empty: nothing is kept */
  char         problem[RL_PROBLEM_SIZE]; /**< with the file; shown while the plugin reports none */
  RlFinding    ranked[RL_OWNED_MAX];
} RlHarpChooser;

/** Reads the harps owned from a folder (NULL: there is none). A file that cannot be read is
   reported as a problem and never written over. */
void rl_harps_open(RlController *controller, const char *folder);

/** The harps owned; as long as none is, those of all twelve keys in the present register and
   tuning. Returns how many. */
int rl_harps_candidates(const RlController *controller, RlHarpChoice choices[RL_OWNED_MAX]);

/** Ranks these candidates for the chart in force, and works out how to transpose the recording
   where none of the harps owned fits. */
void rl_harps_rank(RlController *controller);

/** Does it for the harps that the file holds now: another window may have changed it. */
void rl_harps_show(RlController *controller);

/** Ticks the harp in `key` (0 to 11) in the present register and tuning, or removes the tick. */
void rl_harps_toggle_owned(RlController *controller, int key);

/** Sets the plugin to the n-th harp of the ranking. */
void rl_harps_use(RlController *controller, int n);

/** Sets the plugin to a harp. */
void rl_harps_set(RlController *controller, RlHarpChoice choice);

#endif
