/* SPDX-License-Identifier: ISC */
/* A take for the pictures that was lifted from a record, and the picture of its sound: a horn that
   is drawn note by note, over a band of noise. */
#ifndef RL_PLUGIN_DEMO_LIFTED_H
#define RL_PLUGIN_DEMO_LIFTED_H

#include "ui/controller/controller.h"

/** The take, as the plugin tells takes. */
extern const char rl_lifted_take[];

/** Tells the picture that goes with it, in parts. */
void rl_lifted_picture(RlController *controller);

#endif
