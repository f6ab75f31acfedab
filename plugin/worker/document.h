/* SPDX-License-Identifier: ISC */
/* The document: where charts are read and everything the processor plays from is kept, away from
   the audio thread. What the audio thread gets is a snapshot: one immutable page, handed over by
   pointer. */
#ifndef RL_PLUGIN_WORKER_DOCUMENT_H
#define RL_PLUGIN_WORKER_DOCUMENT_H

#include "plugin/shared/request.h"
#include "plugin/shared/ring.h"
#include "plugin/shared/snapshot.h"
#include "plugin/worker/transcriber.h"

#include <pthread.h>
#include <stdatomic.h>

/** The document. */
typedef struct {
  pthread_mutex_t lock; /**< between worker, save and restore; never the audio thread */
  RlSnapshot      master;
  RlPlan         *plan; /**< what `lane` is made from */
  RlTranscriber   transcriber;
  char            chart_problem[RL_PROBLEM_SIZE], osc_problem[RL_PROBLEM_SIZE];
  char            plan_problem[RL_PROBLEM_SIZE], lane_problem[RL_PROBLEM_SIZE];
  char            take_problem[RL_PROBLEM_SIZE];
  char            trouble[RL_PROBLEM_SIZE]; /**< what the sender has with its receivers */
  char    *unread, *unread_plan; /**< restored texts that could not be read: saved as they came */
  RlOutbox outbox;               /**< the newest page the audio thread has not taken yet */
} RlDocument;

/** Opens the document with the plain twelve-bar and hands over a first page. False without memory.
 */
bool rl_document_open(RlDocument *document);
void rl_document_close(RlDocument *document);

void rl_document_free(RlSnapshot *snapshot);

/** Answers everything asked so far, in order, and hands over a new page if anything changed. The
    worker's thread (or whichever thread the host runs work() in). */
void rl_document_answer(RlDocument *document, RlRing *ring);

/** Sets a text property, as answering RL_ASK_PROPERTY does. Any thread but the audio thread's. */
void rl_document_set(RlDocument *document, RlProperty property, RlSlice text);

/** What the sender needs of the document; zeroed at the beginning. */
typedef struct {
  unsigned version[RL_PROPERTIES]; /**< of RlSnapshot, when it was copied */
  char     chart[RL_CHART_MAX + 1], plan[RL_PLAN_MAX + 1];
  char     osc_to[RL_ADDRESS_SIZE];
  char     title[RL_PLANNED_MAX][RL_PHRASE_TITLE_SIZE]; /**< of each RlPlan.planned */
} RlDocumentTexts;

/** Brings the texts up to date. Has osc_to been set since? Any thread but the audio thread's. */
bool rl_document_texts(RlDocument *document, RlDocumentTexts *texts);

/** What is wrong with the receivers, empty for nothing: it joins the problem, behind the others.
   Any thread but the audio thread's. */
void rl_document_osc_problem(RlDocument *document, const char *text);

/** What a session holds. */
typedef struct {
  const char *chart, *chart_file, *plan, *take,
    *osc_to; /**< NULL: the session says nothing about it */
  RlBarOne bar_one;
} RlSaved;

/** Puts a saved session into the document: what it says replaces what is there, the rest stays. */
void rl_document_restore(RlDocument *document, const RlSaved *saved);

/** Calls `save` with what a session should hold; the texts are good during the call. */
void rl_document_save(RlDocument *document, void (*save)(void *data, const RlSaved *saved),
                      void       *data);

#endif
