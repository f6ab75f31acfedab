/* SPDX-License-Identifier: ISC */
/* Makes sound of what somebody wants to listen to, and lends it to the audio thread. The worker;
   never run(). One sound at a time: the next is made once the one before has come back, so that no
   more than RL_AUDITION_FRAMES are ever lent, and none while nothing sounds. */
#ifndef RL_PLUGIN_WORKER_AUDITIONER_H
#define RL_PLUGIN_WORKER_AUDITIONER_H

#include "plugin/shared/audition_desk.h"
#include "plugin/worker/document.h"

enum { RL_AUDITION_FRAMES = 1 << 22 /**< 16 MiB; 87 s at 48 kHz */ };

/** Sound that a take was lifted from. */
typedef struct {
  float *sound; /**< one side; malloc(), whoever fetched it frees it */
  size_t samples;
  double rate; /**< samples a second, not more than the plugin's */
} RlRecord;

/** Where it comes from. `fetch` returns why there is none of that title, NULL if there is. */
typedef struct {
  void *data;
  const char *(*fetch)(void *data, RlSlice title, RlRecord *record);
} RlRecordSource;

typedef struct {
  RlAuditionDesk  desk;
  pthread_mutex_t lock; /* of what follows; never the audio thread */
  double          rate;
  RlRecordSource  records;
  unsigned        heeded; /* of what was asked, as rl_document_hear_takes() counts */
  uint32_t        number; /* of the newest */
  bool            out;    /* it is lent */
} RlAuditioner;

/** Sets up a zeroed one; `rate` in frames a second. */
void rl_auditioner_open(RlAuditioner *auditioner, double rate, RlRecordSource records);

/** Does what was asked for since. What is wrong becomes the document's problem. */
void rl_auditioner_work(RlAuditioner *auditioner, RlDocument *document);

/** Ends it. The audio thread is gone; `lent` is what it still had, or NULL. */
void rl_auditioner_close(RlAuditioner *auditioner, RlAuditionLoan *lent);

#endif
