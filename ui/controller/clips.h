/* SPDX-License-Identifier: ISC */
/* Recordings of the library: one that is selected is lifted in the background, and becomes a take.
 */
#ifndef RL_UI_CONTROLLER_CLIPS_H
#define RL_UI_CONTROLLER_CLIPS_H

#include "ui/controller/controller.h"
#include "ui/files/clip_lift.h"

typedef struct {
  RlBackground *lifting; /**< NULL: nothing is lifted */
  RlClipLift   *lift;
  char          failed[RL_PHRASE_TITLE_SIZE]; /**< not again until another phrase was selected */
} RlClips;

/** The recording at that place of the library is selected. */
void rl_clips_select(RlController *controller, int index);

/** Another phrase is selected. */
void rl_clips_forget(RlController *controller);

/** Takes what was lifted. */
void rl_clips_advance(RlController *controller);

void rl_clips_close(RlController *controller);

#endif
