/* SPDX-License-Identifier: ISC */
/* The document's takes: played, edited, restored. The document's lock is held. */
#ifndef RL_PLUGIN_WORKER_TAKES_H
#define RL_PLUGIN_WORKER_TAKES_H

#include "plugin/worker/document.h"

/** Heeds what the audio thread tells of a take; true if the takes or the problem have changed. */
bool rl_takes_hear(RlDocument *document, const RlTakeEvent *event);

/** A part of the track is a take now. `picture` (may be NULL) is the document's from here on. */
void rl_takes_lifted(RlDocument *document, RlNotated *notated, RlPicture *picture, RlLiftedHow how);

/** The chart is about to change: a take being played is over where it has come to. */
void rl_takes_finish(RlDocument *document);

/** All takes as somebody sends them; an edit of one; those of a session, which stay there as they
    are where they cannot be read. */
void rl_takes_set(RlDocument *document, RlSlice text);
void rl_takes_edit(RlDocument *document, RlSlice text);
void rl_takes_restore(RlDocument *document, RlSlice text);

#endif
