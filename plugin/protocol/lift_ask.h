/* SPDX-License-Identifier: ISC */
/* What somebody wants of the track that was kept: the text of urn:reedlamp:lift, one line.

     bars: 3-6          the bars 3 to 6 of the form, as they were heard last, become a take
     bars: 3            bar 3 alone
     picture: Take 2    the picture of what that take was lifted from is told

   Any thread. */
#ifndef RL_PLUGIN_PROTOCOL_LIFT_ASK_H
#define RL_PLUGIN_PROTOCOL_LIFT_ASK_H

#include "core/text/text.h"

#include <stdbool.h>

enum { RL_LIFT_ASK_MOST = 127 /**< bytes */ };

/** What is wanted. */
typedef enum { RL_LIFT_ASK_BARS, RL_LIFT_ASK_PICTURE, RL_LIFT_ASKS } RlLiftAskKind;

/** The same, read. */
typedef struct {
  RlLiftAskKind kind;
  int           first, last; /**< bars of the form, 1 to 999999, first <= last */
  RlSlice       title;       /**< of the take; not empty; within what was read */
} RlLiftAsk;

/** Reads it. False if it says nothing of the kind. */
bool rl_lift_ask_read(RlSlice text, RlLiftAsk *ask);

/** What the problem says where a picture is asked for that there is not: no fault of anybody's, so
    that who asked unasked may tell it quietly. */
extern const char rl_lift_no_picture[];

/** Writes what asks for bars, for a picture. */
void rl_lift_ask_bars(RlText *text, int first, int last);
void rl_lift_ask_picture(RlText *text, const char *title);

#endif
