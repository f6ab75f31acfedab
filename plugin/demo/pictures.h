/* SPDX-License-Identifier: ISC */
/* Pictures of the window at chosen moments of the demo: the same controller and the same drawing as
   on the screen, written as PNG files. */
#ifndef RL_PLUGIN_DEMO_PICTURES_H
#define RL_PLUGIN_DEMO_PICTURES_H

#include "ui/controller/controller.h"

typedef struct RlPictures RlPictures;

/** Draws into `folder`; the phrases come from the tunebook `book`, the charts from a folder. NULL
    without memory. */
RlPictures *rl_pictures_open(const char *folder, const char *book, const char *charts);

/** What the plugin said, `seconds` after the first frame. */
void rl_pictures_hear_place(RlPictures *pictures, const RlPlaceReport *told, double seconds);
void rl_pictures_hear_text(RlPictures *pictures, RlProperty which, const char *text);

/** Time passes: takes the pictures whose moment has come. */
void rl_pictures_pass(RlPictures *pictures, double seconds);

/** False, and a line on stderr, if a picture could not be written or its moment never came. */
bool rl_pictures_close(RlPictures *pictures);

#endif
