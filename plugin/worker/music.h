/* SPDX-License-Identifier: ISC */
/* The document's chart and plan, and what is worked out from them: the line of targets and the lane
   of phrases. The document's lock is held. */
#ifndef RL_PLUGIN_WORKER_MUSIC_H
#define RL_PLUGIN_WORKER_MUSIC_H

#include "plugin/worker/document.h"

/** Works out the line of targets, the lane, for the hand there is. */
void rl_music_line(RlDocument *document);
void rl_music_lane(RlDocument *document);

/** A new chart, if it can be read; the same text again changes nothing. `what` goes before what is
    wrong: a file's name, or "". */
bool rl_music_chart_set(RlDocument *document, RlSlice text, const char *what);

/** Reads the chart from a file, once; "" forgets the file. */
void rl_music_chart_file_set(RlDocument *document, RlSlice path);

/** A new plan, if it can be read; `what` goes before what is wrong. */
bool rl_music_plan_set(RlDocument *document, RlSlice text, const char *what);

#endif
