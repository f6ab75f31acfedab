/* SPDX-License-Identifier: ISC */
/* A part of the picture of a take (plugin/PORTS.md, Pictures) out of an object. Included by
   plugin_events.c only. */
#ifndef RL_UI_WINDOW_PICTURE_EVENT_H
#define RL_UI_WINDOW_PICTURE_EVENT_H

#include "ui/model/picture.h"

#include "plugin/protocol/atoms.h"

/** Reads it; its cells lie inside the atom. False if what must be there is missing or does not fit
    together. */
bool rl_picture_event_read(const RlUris *uris, RlWalk walk, RlViewPicturePart *part);

#endif
