/* SPDX-License-Identifier: ISC */
/* The bend trainer: one note is aimed at, tries on it are timed, and counted in a file. */
#ifndef RL_UI_CONTROLLER_TRAINING_H
#define RL_UI_CONTROLLER_TRAINING_H

#include "ui/controller/controller.h"
#include "ui/files/tries_file.h"

typedef struct {
  RlTrainer     trainer;
  RlTries       tries;                /**< as in the file, and those that are not in it yet */
  RlTries       more;                 /**< those */
  bool          read;                 /**< the file was */
  char          folder[RL_PATH_SIZE]; /**< of the file; empty: nothing is kept */
  RlBackground *noting;               /**< writes `note` */
  RlTriesNote  *note;
  bool          failed;      /**< it could not be written; said once */
  bool          fresh, wait; /**< `more` has grown; but it is not written before the next try */
  double        heard_at, received_at;
} RlTraining;

/** The screen is opened. */
void rl_training_open(RlController *controller);
void rl_training_close(RlController *controller);

/** Aims at a note: its hole (from 1) * RL_TECHNIQUES + its technique. */
void rl_training_aim(RlController *controller, int note);

/** Aims at the bend that is missed most; if that is aimed at, at the next one. */
void rl_training_missed(RlController *controller);

/** Takes the reeds as tuned just, or equal again. */
void rl_training_temper(RlController *controller);

/** Harp, player or key may be others. */
void rl_training_refresh(RlController *controller);

/** What the plugin hears; time passes. */
void rl_training_hear(RlController *controller, const RlPlayedReport *played, double now);
void rl_training_advance(RlController *controller, double now);

#endif
