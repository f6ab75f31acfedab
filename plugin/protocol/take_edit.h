/* SPDX-License-Identifier: ISC */
/* What somebody wants done to a take: the text of urn:reedlamp:take_edit. Its first line says what,
   and to the take of which title; what follows is in the syntax of a plan:

     drop: Take 2             change: Take 2          add:
     taken: 5                 taken: 5                taken: 5
                                                      bar 3: Lantern
                              X:1
                              T:Take 2                X:1
                              …                       T:Lantern
                                                      …

   `taken: 5` says that the sender knows of the first five takes that were taken down, as the line
   of that name in urn:reedlamp:take does. A title may be used again once its take is gone; so the
   take meant is one of those five, and one that came meanwhile is never hit. Any thread. */
#ifndef RL_PLUGIN_PROTOCOL_TAKE_EDIT_H
#define RL_PLUGIN_PROTOCOL_TAKE_EDIT_H

#include "core/text/text.h"

#include <stdbool.h>

/** What is to be done. */
typedef enum {
  RL_TAKE_ADD,    /**< one more, which was not played: a part of a MIDI file */
  RL_TAKE_CHANGE, /**< it has another tune */
  RL_TAKE_DROP,   /**< it goes */
  RL_TAKE_KEEP,   /**< the player's library has got it: it goes from here */
  RL_TAKE_VERBS
} RlTakeVerb;

/** Begins such a text: its first two lines. `title` is "" for one that is added. */
void rl_take_edit_begin(RlText *text, RlTakeVerb verb, const char *title, int taken);

/** Reads the first line; the title is within `text`. False if it says nothing of the kind. */
bool rl_take_edit_read(RlSlice text, RlTakeVerb *verb, RlSlice *title);

#endif
