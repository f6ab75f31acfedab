/* SPDX-License-Identifier: ISC */
/* What a session holds of the document. Any thread but the audio thread's. */
#ifndef RL_PLUGIN_WORKER_SESSION_H
#define RL_PLUGIN_WORKER_SESSION_H

#include "plugin/worker/document.h"

/** What a session holds. */
typedef struct {
  RlSlice  text[RL_PROPERTIES]; /**< `at` NULL: the session says nothing about it */
  int      chart_rules;         /**< the newest that its chart may be written under (CHART.md) */
  RlBarOne bar_one;
} RlSession;

/** Puts a saved session into the document: what it says replaces what is there, the rest stays. */
void rl_session_restore(RlDocument *document, const RlSession *session);

/** Calls `save` with what a session should hold; the texts, NUL-terminated, are good during the
    call. */
void rl_session_save(RlDocument *document, void (*save)(void *data, const RlSession *session),
                     void       *data);

#endif
