/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: listen to both sides, write down, find from which side the horn
   comes, listen there, write down again. */
#ifndef RL_CORE_EAR_PHRASE_PASS_H
#define RL_CORE_EAR_PHRASE_PASS_H

#include "core/ear/phrase/trust.h"

/* Seconds: how far notes lie from their places. */
#define rl_lift_strays 0.02F

/* Memory of the job. */
typedef struct {
  RlLiftRoom    room;
  RlLiftSpectra spectra;
  RlLiftHeard   heard;
  float        *prior, *other; /* [frames] */
  float        *side[2];       /* [samples] each: what is heard */
  float        *mean;          /* [samples] */
} RlLiftJob;

/* What is written down. */
typedef struct {
  RlLiftSpan   span[RL_LIFT_NOTES_MAX];
  float        sure[RL_LIFT_NOTES_MAX]; /* once they are judged */
  int          count;
  RlLiftPlayed played;
} RlLiftFound;

void rl_lift_job_take(RlLiftJob *job, size_t samples);

/* All of it; the job has what was heard last. */
void rl_lift_passes(RlLiftJob *job, const RlLiftSound *sound, const RlLiftGrid *grid,
                    RlLiftFound *found);

#endif
