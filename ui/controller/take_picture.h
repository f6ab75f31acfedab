/* SPDX-License-Identifier: ISC */
/* The picture of what the selected take was lifted from: asked for when its notes are corrected,
   told in parts, shown once it is whole. */
#ifndef RL_UI_CONTROLLER_TAKE_PICTURE_H
#define RL_UI_CONTROLLER_TAKE_PICTURE_H

#include "ui/controller/controller.h"

typedef struct {
  RlViewPicture picture;
  int           come;                        /**< columns of it, from the left */
  char          asked[RL_PHRASE_TITLE_SIZE]; /**< the take whose picture was asked for last */
  bool          none;                        /**< and that has none */
} RlTakePicture;

/** Shows the picture of the selected take, or asks for it. */
void rl_take_picture_update(RlController *controller);

/** What the plugin says is wrong; true if it is that the take has no picture, which is no problem.
 */
bool rl_take_picture_missing(RlController *controller, const char *problem);

/** Another take may have any title now. */
void rl_take_picture_forget(RlController *controller);

#endif
