/* SPDX-License-Identifier: ISC */
/* The picture of a window that is drawn part by part, beside one that is drawn whole. Of the
   controller of hands.h. */
#ifndef RL_TESTS_UI_KEPT_PICTURE_H
#define RL_TESTS_UI_KEPT_PICTURE_H

/** Of the host's size. */
void pictures_make(void);

void pictures_drop(void);

/** Draws what has changed into the picture that is kept, in whole pixels, as the window does; how
    many parts that were. */
int parts_draw(void);

/** The test fails with `what` where the two differ. */
void same_as_whole(const char *what);

#endif
