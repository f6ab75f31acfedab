/* SPDX-License-Identifier: ISC */
/* Private to clip_lift: the work itself. */
#ifndef RL_UI_FILES_CLIP_HEAR_H
#define RL_UI_FILES_CLIP_HEAR_H

#include "ui/files/clip_lift.h"

void rl_clip_hear(RlClipLift *lift);

#endif
