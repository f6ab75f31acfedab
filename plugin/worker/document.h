/* SPDX-License-Identifier: ISC */
/* The document: where charts are read and everything the processor plays from is kept, away from
   the audio thread. What the audio thread gets is a snapshot: immutable, handed over by pointer.
   Any thread but the audio thread's. */
#ifndef RL_PLUGIN_WORKER_DOCUMENT_H
#define RL_PLUGIN_WORKER_DOCUMENT_H

#include "plugin/shared/request.h"
#include "plugin/shared/ring.h"
#include "plugin/shared/snapshot.h"
#include "plugin/worker/lifts.h"
#include "plugin/worker/practice.h"
#include "plugin/worker/problems.h"
#include "plugin/worker/recall.h"
#include "plugin/worker/snapshot_pool.h"
#include "plugin/worker/take_list.h"
#include "plugin/worker/transcriber.h"

#include <pthread.h>

/** The document. */
typedef struct RlDocument {
  pthread_mutex_t lock; /**< between worker, save and restore; never the audio thread */
  RlSnapshot      master;
  RlSnapshotPool  pool;
  RlPlan         *plan; /**< what `lane` is made from; NULL: nothing is planned */
  RlTranscriber   transcriber;
  RlTranscribed   transcribed;
  RlRecall        recall;
  RlPractice      practice;
  RlTakeList      takes;
  RlLifts         lifts;
  RlProblems      problems;
  int             unread_rules; /**< RlSession.chart_rules of `unread_chart` */
  char           *unread_chart,
    *unread_plan;      /**< restored texts that could not be read: saved as they came */
  char    *hear_take;  /**< what somebody wants to hear, as it came last; NULL: nothing */
  unsigned hear_takes; /**< so many have come */
  char     body[RL_PROPERTY_MOST + 1]; /**< of a request being answered */
} RlDocument;

/** Opens the document with the plain twelve-bar and hands over a first snapshot. False without
    memory; close it then too. */
bool rl_document_open(RlDocument *document);
void rl_document_close(RlDocument *document);

/** Frees a snapshot that the audio thread will never take or give back. */
void rl_document_free(RlSnapshot *snapshot);

/** Answers everything asked so far, in order, and hands over a new snapshot if anything changed. */
void rl_document_answer(RlDocument *document, RlRing *ring);

/** Sets a text property, as answering RL_ASK_PROPERTY does. */
void rl_document_set(RlDocument *document, RlProperty property, RlSlice text);

/** What the sender needs of the document; zeroed at the beginning. */
typedef struct {
  unsigned       version[RL_PROPERTIES]; /**< of RlSnapshot, when it was copied */
  char           chart[RL_CHART_MAX + 1], plan[RL_PLAN_MAX + 1];
  char           osc_to[RL_ADDRESS_SIZE];
  char           practice[RL_PRACTICE_TOLD_SIZE]; /**< lines of this song, the newest */
  bool           practised;                       /**< there is a last chorus: */
  RlPracticeLine chorus;
  char           title[RL_PLANNED_MAX][RL_PHRASE_TITLE_SIZE]; /**< of each RlPlan.planned */
} RlDocumentTexts;

/** Brings the texts up to date. Has osc_to been set since? */
bool rl_document_texts(RlDocument *document, RlDocumentTexts *texts);

/** Copies the form; returns its RlSnapshot.version[RL_CHART]. */
unsigned rl_document_form(RlDocument *document, RlForm *form);

/** How often somebody has asked to hear something. */
unsigned rl_document_hear_takes(RlDocument *document);

/** What was asked last, once: the caller frees it. NULL: there was no memory for it. `asked` gets
    how often somebody had asked by then. */
char *rl_document_hear_take(RlDocument *document, unsigned *asked);

/** What is wrong about something that is no property, empty for nothing: it joins the problem. */
void rl_document_problem(RlDocument *document, RlAbout about, const char *text);

/** A part of the track that is wanted, and what it is heard against. */
typedef struct {
  RlLiftWant want;
  RlForm     form;
  RlKey      key;
  unsigned   chart;   /**< RlSnapshot.version[RL_CHART] */
  unsigned   session; /**< RlSnapshot.bar_one_version */
} RlLiftDue;

/** Is any wanted? The oldest: false if there is none. */
bool rl_document_lift_due(RlDocument *document);
bool rl_document_lift_next(RlDocument *document, RlLiftDue *due);

/** Where the sound is that a take was lifted from. */
typedef struct {
  uint32_t keeping;
  int64_t  first;
  uint32_t samples;
} RlLiftWhere;

/** The same of the take of that title. False: it was not lifted, or too long ago. */
bool rl_document_lift_where(RlDocument *document, RlSlice title, RlLiftWhere *where);

/** What may be wrong with a part all the same. */
typedef enum {
  RL_LIFTED_WHOLE,
  RL_LIFTED_SHORT, /**< its beginning was not kept any more */
  RL_LIFTED_LOST   /**< sound in it is missing */
} RlLiftedHow;

/** It has been written down, and is a take now, but where another session was restored meanwhile.
    `picture` (may be NULL) is the document's from here on. */
void rl_document_lifted(RlDocument *document, unsigned session, RlNotated *notated,
                        RlPicture *picture, RlLiftedHow how);

#endif
