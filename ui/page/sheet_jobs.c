/* SPDX-License-Identifier: ISC */
#define _GNU_SOURCE /* close_range(), pipe2() */

#include "ui/page/sheet_jobs.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

/* Seconds. Drawing a sheet takes some 60 ms. */
static const double start_interval = 0.1; /* from one child to the next, at least */
static const double child_timeout  = 10;

enum { CHUNK = 65536 /* bytes read at once */, NICE = 10 };

/* ---- waiting ---- */

void
rl_sheet_jobs_init(RlSheetJobs *const jobs, const RlSheetJobDraw draw,
                   const RlPageState *const state)
{
  *jobs = (RlSheetJobs){.draw = draw, .state = state, .pipe = -1, .started = -start_interval};
}

RlSheetJob *
rl_sheet_jobs_add(RlSheetJobs *const jobs, const RlSheetRequest *const request,
                  const uint32_t address, void *const owner)
{
  RlSheetJob *free_one = NULL;
  int         same     = 0;
  assert(owner);
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    RlSheetJob *const job = &jobs->job[i];
    same += job->owner && address && job->address == address;
    free_one = job->owner ? free_one : job;
  }
  if (!free_one || same >= RL_SHEET_JOBS_ADDRESS_MAX) {
    return NULL;
  }
  *free_one = (RlSheetJob){
    .owner = owner, .number = jobs->next_number++, .address = address, .request = *request};
  return free_one;
}

void
rl_sheet_jobs_remove(RlSheetJobs *const jobs, RlSheetJob *const job)
{
  assert(job->owner);
  jobs->current = jobs->current == job ? NULL : jobs->current;
  free(job->bytes);
  *job = (RlSheetJob){.owner = NULL};
}

/* The job that waits longest; numbers may wrap around. */
static RlSheetJob *
first_waiting(RlSheetJobs *const jobs)
{
  RlSheetJob *first = NULL;
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    RlSheetJob *const job   = &jobs->job[i];
    const bool        waits = job->owner && !job->ready;
    first = waits && (!first || (int)(job->number - first->number) < 0) ? job : first;
  }
  return first;
}

/* ---- the child ---- */

/* What the child does. It closes all other descriptors first: a connection that the server closes
   would otherwise stay open as long as the child lives. */
static void
child_run(const RlSheetJobs *const jobs, const pid_t parent, const int to)
{
  enum { OUTPUT = 3 };
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != parent || dup2(to, OUTPUT) != OUTPUT || close_range(OUTPUT + 1, ~0U, 0) != 0) {
    _exit(RL_SHEET_JOB_FAILED);
  }
  if (nice(NICE) < 0) {
    errno = 0; /* then it runs at the usual priority */
  }
  _exit((int)jobs->draw(jobs->state, &jobs->current->request, OUTPUT));
}

static bool
child_start(RlSheetJobs *const jobs, const double now)
{
  int         ends[2];
  const pid_t parent = getpid();
  assert(jobs->draw && jobs->current && !jobs->child);
  jobs->started = now;
  if (pipe2(ends, O_CLOEXEC) != 0) {
    return false;
  }
  jobs->child = fork();
  if (jobs->child == 0) {
    child_run(jobs, parent, ends[1]);
  }
  close(ends[1]);
  if (jobs->child < 0 || fcntl(ends[0], F_SETFL, O_NONBLOCK) != 0) {
    close(ends[0]);
    jobs->child = jobs->child < 0 ? 0 : jobs->child;
    return false;
  }
  jobs->pipe = ends[0];
  return true;
}

/* Waits for the child, which is killed first unless its output is `whole`; how it ended. */
static RlSheetJobResult
child_end(RlSheetJobs *const jobs, const bool whole)
{
  int status = 0;
  if (jobs->child > 0) {
    if (!whole) {
      kill(jobs->child, SIGKILL);
    }
    while (waitpid(jobs->child, &status, 0) < 0 && errno == EINTR) {
    }
  }
  if (jobs->pipe >= 0) {
    close(jobs->pipe);
  }
  const bool own = whole && WIFEXITED(status) && WEXITSTATUS(status) <= (int)RL_SHEET_JOB_FAILED;
  jobs->child    = 0;
  jobs->pipe     = -1;
  return own ? (RlSheetJobResult)WEXITSTATUS(status) : RL_SHEET_JOB_FAILED;
}

/* Reads once from the child. 1: there may be more; 0: that was all; -1: an error, no memory, or
   more bytes than allowed. */
static int
child_read(RlSheetJobs *const jobs)
{
  if (jobs->length + CHUNK > jobs->capacity) {
    const size_t         capacity = 2 * jobs->capacity + CHUNK;
    unsigned char *const grown    = (unsigned char *)realloc(jobs->bytes, capacity);
    if (!grown || jobs->length > RL_SHEET_JOBS_BYTES_MAX) {
      jobs->bytes = grown ? grown : jobs->bytes;
      return -1;
    }
    jobs->bytes    = grown;
    jobs->capacity = capacity;
  }
  const ssize_t n = read(jobs->pipe, jobs->bytes + jobs->length, CHUNK);
  jobs->length += n > 0 ? (size_t)n : 0;
  return n > 0 || (n < 0 && (errno == EAGAIN || errno == EINTR)) ? 1 : (int)n;
}

/* Moves the first line of what was written to `name`; false if there is none, or nothing behind it.
 */
static bool
name_read(RlSheetJobs *const jobs, char name[RL_SHEET_JOBS_NAME_SIZE])
{
  const unsigned char *const end =
    jobs->length ? (const unsigned char *)memchr(jobs->bytes, '\n', jobs->length) : NULL;
  const size_t length = end ? (size_t)(end - jobs->bytes) : 0;
  if (!length || length >= RL_SHEET_JOBS_NAME_SIZE || length + 1 == jobs->length) {
    return false;
  }
  memcpy(name, jobs->bytes, length);
  name[length] = '\0';
  jobs->length -= length + 1;
  memmove(jobs->bytes, end + 1, jobs->length);
  return true;
}

/* The child has ended, or must: its sheet becomes the job's, if the job is still there. */
static RlSheetJob *
job_finish(RlSheetJobs *const jobs, const bool whole)
{
  RlSheetJob *const job    = jobs->current;
  RlSheetJobResult  result = child_end(jobs, whole);
  if (job && result == RL_SHEET_JOB_DONE && name_read(jobs, job->name)) {
    job->bytes  = jobs->bytes;
    job->length = jobs->length;
  } else {
    free(jobs->bytes);
    result = result == RL_SHEET_JOB_DONE ? RL_SHEET_JOB_FAILED : result;
  }
  if (job) {
    job->ready  = true;
    job->result = result;
  }
  jobs->bytes  = NULL;
  jobs->length = jobs->capacity = 0;
  jobs->current                 = NULL;
  return job;
}

/* ---- running ---- */

RlSheetJob *
rl_sheet_jobs_run(RlSheetJobs *const jobs, const double now)
{
  if (jobs->child) {
    const int more = child_read(jobs);
    return more > 0 && now - jobs->started < child_timeout ? NULL : job_finish(jobs, more == 0);
  }
  if (now - jobs->started < start_interval || !(jobs->current = first_waiting(jobs)) ||
      child_start(jobs, now)) {
    return NULL;
  }
  return job_finish(jobs, false);
}

int
rl_sheet_jobs_descriptor(const RlSheetJobs *const jobs)
{
  return jobs->pipe;
}

int
rl_sheet_jobs_timeout(const RlSheetJobs *const jobs, const double now)
{
  bool waits = false;
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    waits = waits || (jobs->job[i].owner && !jobs->job[i].ready);
  }
  const double left = jobs->started + (jobs->child ? child_timeout : start_interval) - now;
  return !jobs->child && !waits ? -1 : left <= 0 ? 0 : (int)(left * 1000) + 1;
}

void
rl_sheet_jobs_end(RlSheetJobs *const jobs)
{
  if (jobs->child) {
    job_finish(jobs, false);
  }
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    free(jobs->job[i].bytes);
    jobs->job[i] = (RlSheetJob){.owner = NULL};
  }
}
