/* SPDX-License-Identifier: ISC */
/* Lesson sheets for pupils: who waits for one, and the child that draws one at a time. A child of
   the server has the chart and the plan as they were when it began, holds up nobody, takes all its
   memory with it, and can be ended when it takes too long. One thread. */
#ifndef RL_UI_PAGE_SHEET_JOBS_H
#define RL_UI_PAGE_SHEET_JOBS_H

#include "ui/page/state.h"

#include "core/text/text.h"

#include <sys/types.h>

enum {
  RL_SHEET_JOBS_MAX = 64, /**< pupils who wait or are being answered */
  RL_SHEET_JOBS_ADDRESS_MAX =
    4, /**< of them from one address of the network; this machine's are free */
  RL_SHEET_JOBS_BYTES = 8 << 20, /**< of a sheet; one that is longer is not sent */
  RL_SHEET_JOBS_NAME  = 160      /**< bytes of its name */
};

/** What a pupil asks for. */
typedef struct {
  RlHarpChoice harp;
  RlPlayer     player;
  bool         letter; /**< the paper; else A4 */
  unsigned     given;  /**< a bit for each name that was said, as copies.c counts them */
  bool         wrong;  /**< something else was said */
} RlSheetJobWish;

/** Takes one part of a query into a wish that began as RL_SHEET_JOB_WISH. False: there is no such
   name, it was said before, or the value is none of its; then the wish stays wrong. Names and
   values are those of the ports: `harp` 0..11, `register` -1..1, `tuning` 0..5, `bends` and
   `blow_bends` 0..3, `overblows` 0..1; `paper` is `a4` or `letter`. */
bool rl_sheet_job_ask(RlSheetJobWish *wish, RlSlice name, RlSlice value);

/** Is nothing wrong, and was the one name said that must be: `harp`? */
bool rl_sheet_job_asked(const RlSheetJobWish *wish);

/** Standard tuning and register, all bends, no overblows, A4. */
extern const RlSheetJobWish RL_SHEET_JOB_WISH;

/** How drawing ends; also the exit status of the child. */
typedef enum {
  RL_SHEET_JOB_DONE,
  RL_SHEET_JOB_CHART, /**< the chart heard cannot be read */
  RL_SHEET_JOB_FAILED /**< too long, no memory, no font, killed */
} RlSheetJobEnd;

/** Draws a sheet of what was heard and writes to `to` its name (ASCII without quotes), a newline,
    and its bytes. In the child. */
typedef RlSheetJobEnd (*RlSheetJobDraw)(const RlPageState *heard, const RlSheetJobWish *wish,
                                        int to);

/** Someone who waits for a sheet, and the sheet. */
typedef struct {
  void          *whose;  /**< NULL: free */
  unsigned       number; /**< the lower, the sooner */
  uint32_t       from;   /**< as in RlClient */
  bool           ready;
  RlSheetJobEnd  end;
  RlSheetJobWish wish;
  char           name[RL_SHEET_JOBS_NAME];
  unsigned char *bytes; /**< the owner's to take, else freed with it; NULL unless done */
  size_t         length;
} RlSheetJob;

typedef struct {
  RlSheetJobDraw     draw;
  const RlPageState *heard;
  unsigned           asked;
  RlSheetJob        *now;   /**< the one being drawn; NULL: none, or its owner is gone */
  pid_t              child; /**< 0: none */
  int                pipe;
  double             began; /**< when the last child was started */
  unsigned char     *bytes;
  size_t             length, room;
  RlSheetJob         copy[RL_SHEET_JOBS_MAX];
} RlSheetJobs;

void rl_sheet_jobs_init(RlSheetJobs *copies, RlSheetJobDraw draw, const RlPageState *heard);

/** Ends the child and frees everything. */
void rl_sheet_jobs_end(RlSheetJobs *copies);

/** Someone begins to wait. NULL if there is no room for one more. */
RlSheetJob *rl_sheet_jobs_wait(RlSheetJobs *copies, const RlSheetJobWish *wish, uint32_t from,
                               void *whose);

/** Someone waits no longer. */
void rl_sheet_jobs_leave(RlSheetJobs *copies, RlSheetJob *copy);

/** Does what can be done without waiting. A copy that has become ready, else NULL. */
RlSheetJob *rl_sheet_jobs_run(RlSheetJobs *copies, double now);

/** What to wait on for reading (-1: nothing), and for how long at most, in milliseconds (-1: for
    ever). */
int rl_sheet_jobs_descriptor(const RlSheetJobs *copies);
int rl_sheet_jobs_patience(const RlSheetJobs *copies, double now);

#endif
