/* SPDX-License-Identifier: ISC */
/* Lesson sheets for pupils: a table of who waits for one, and a child process that draws one at a
   time. The child has the chart and the plan as they were when it was forked, holds up nobody,
   takes its memory with it when it ends, and is killed when it takes too long. One thread. */
#ifndef RL_UI_PAGE_SHEET_JOBS_H
#define RL_UI_PAGE_SHEET_JOBS_H

#include "ui/page/sheet_request.h"
#include "ui/page/state.h"

#include <sys/types.h>

enum {
  RL_SHEET_JOBS_MAX         = 64, /**< waiting or being answered */
  RL_SHEET_JOBS_ADDRESS_MAX = 4,  /**< of them from one address; this machine's are not counted */
  RL_SHEET_JOBS_BYTES_MAX   = 8 << 20, /**< of a sheet; a longer one is not sent */
  RL_SHEET_JOBS_NAME_SIZE   = 160      /**< bytes of its file name, the NUL included */
};

/** How drawing ends; also the exit status of the child. */
typedef enum {
  RL_SHEET_JOB_DONE,
  RL_SHEET_JOB_NO_CHART, /**< the chart received cannot be read */
  RL_SHEET_JOB_FAILED    /**< too long, no memory, no font, killed */
} RlSheetJobResult;

/** Draws a sheet of the state and writes to the descriptor `to` its file name (ASCII without
    quotes), a newline, and its bytes. In the child. */
typedef RlSheetJobResult (*RlSheetJobDraw)(const RlPageState *state, const RlSheetRequest *request,
                                           int to);

/** Someone who waits for a sheet, and the sheet. */
typedef struct {
  void            *owner;   /**< NULL: this entry is free */
  unsigned         number;  /**< jobs are drawn in the order of their numbers */
  uint32_t         address; /**< as in RlClient */
  bool             ready;
  RlSheetJobResult result;
  RlSheetRequest   request;
  char             name[RL_SHEET_JOBS_NAME_SIZE];
  unsigned char *bytes; /**< freed with the job unless its owner sets it to NULL; NULL until done */
  size_t         length;
} RlSheetJob;

typedef struct {
  RlSheetJobDraw     draw;
  const RlPageState *state;
  unsigned           next_number;
  RlSheetJob        *current; /**< the one being drawn; NULL: none, or it has been removed */
  pid_t              child;   /**< 0: none */
  int                pipe;    /**< from the child; -1: none */
  double             started; /**< when the last child was started, seconds */
  unsigned char     *bytes;   /**< what the child has written so far */
  size_t             length, capacity;
  RlSheetJob         job[RL_SHEET_JOBS_MAX];
} RlSheetJobs;

void rl_sheet_jobs_init(RlSheetJobs *jobs, RlSheetJobDraw draw, const RlPageState *state);

/** Kills the child and frees everything. */
void rl_sheet_jobs_end(RlSheetJobs *jobs);

/** A new job, which waits. NULL if there is no room for one more. */
RlSheetJob *rl_sheet_jobs_add(RlSheetJobs *jobs, const RlSheetRequest *request, uint32_t address,
                              void *owner);

/** Forgets a job, whatever has become of it. */
void rl_sheet_jobs_remove(RlSheetJobs *jobs, RlSheetJob *job);

/** Does what can be done without waiting; `now` in seconds. A job that has become ready, else NULL.
 */
RlSheetJob *rl_sheet_jobs_run(RlSheetJobs *jobs, double now);

/** What to wait on for reading (-1: nothing), and for how long at most, in milliseconds (-1: for
    ever). */
int rl_sheet_jobs_descriptor(const RlSheetJobs *jobs);
int rl_sheet_jobs_timeout(const RlSheetJobs *jobs, double now);

#endif
