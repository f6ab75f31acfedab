/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* realpath() */
#include "ui/files/phrase_writer.h"

#include "ui/files/chart_save.h"
#include "ui/files/file_work.h"

#include <errno.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A text of its own; `at` NULL: there is no file. */
typedef struct {
  char  *at;
  size_t length;
} Bytes;

typedef struct Job {
  struct Job   *next;
  Bytes         was, is;
  bool          good;
  RlWriteResult result; /* its path; and how it ended, if not well */
} Job;

typedef struct {
  Job *first, *last;
} Jobs;

struct RlPhraseWriter {
  pthread_mutex_t lock;
  int             holders; /* the window and a thread at work */
  bool            works;
  Jobs            waiting, failed;
};

/* ---- jobs ---- */

static void
job_free(Job *const job)
{
  free(job->was.at);
  free(job->is.at);
  free(job);
}

static void
jobs_add(Jobs *const jobs, Job *const job)
{
  job->next                                        = NULL;
  *(jobs->last ? &jobs->last->next : &jobs->first) = job;
  jobs->last                                       = job;
}

static Job *
jobs_take(Jobs *const jobs)
{
  Job *const job = jobs->first;
  jobs->first    = job ? job->next : NULL;
  jobs->last     = jobs->first ? jobs->last : NULL;
  return job;
}

static bool
jobs_have(const Jobs *const jobs, const char *const path)
{
  const Job *job = jobs->first;
  while (job && strcmp(job->result.path, path) != 0) {
    job = job->next;
  }
  return job;
}

static bool
bytes_copy(Bytes *const to, const RlSlice from)
{
  char *const copy = from.at ? (char *)malloc(from.length + 1) : NULL;
  if (copy) {
    memcpy(copy, from.at, from.length);
  }
  *to = (Bytes){copy, from.length};
  return copy || !from.at;
}

/* ---- one file ---- */

/* Has the file these bytes and no others? */
static bool
holds(const char *const path, const Bytes bytes)
{
  FILE *const file = fopen(path, "rb");
  char *const text = (char *)malloc(bytes.length + 1);
  const bool  same = file && text && fread(text, 1, bytes.length + 1, file) == bytes.length &&
                    !memcmp(text, bytes.at, bytes.length);
  free(text);
  if (file) {
    fclose(file);
  }
  return same;
}

/* 0, EBUSY if the file is not what it should be, or another errno. */
static int
file_write(const char *const path, const Job *const job)
{
  struct stat is  = {0};
  int         why = stat(path, &is) ? errno : 0;
  if (!job->was.at) {
    char              folder[RL_PATH_SIZE];
    const char *const slash = strrchr(path, '/');
    snprintf(folder, sizeof(folder), "%.*s", slash ? (int)(slash - path) : 0, path);
    why = why == ENOENT ? 0 : why ? why : EBUSY;
    why = why ? why : rl_folders_make(folder);
    is  = (struct stat){0};
  } else if (why == ENOENT || (!why && (!S_ISREG(is.st_mode) || !holds(path, job->was)))) {
    why = EBUSY;
  } else if (!why && access(path, W_OK)) {
    why = errno;
  }
  return why ? why : rl_file_replace(path, (RlSlice){job->is.at, job->is.length}, &is);
}

/* The file is put aside first: what it holds then nobody can change unseen. */
static int
file_remove(const char *const path, const Job *const job)
{
  char              aside[RL_PATH_SIZE];
  const char *const slash = strrchr(path, '/');
  if (!holds(path, job->was)) {
    return EBUSY;
  }
  if (snprintf(aside, sizeof(aside), "%.*s/.reedlamp-%ld-gone", slash ? (int)(slash - path) : 0,
               path, (long)getpid()) >= RL_PATH_SIZE) {
    return ENAMETOOLONG;
  }
  if (rename(path, aside)) {
    return errno;
  }
  const bool same = holds(aside, job->was);
  const int  why  = same || !link(aside, path) ? 0 : errno;
  if (!why && unlink(aside)) {
    return errno;
  }
  return same ? 0 : EBUSY;
}

static void
job_do(Job *const job)
{
  char *const       real  = realpath(job->result.path, NULL); /* so that a link stays one */
  const char *const path  = real ? real : job->result.path;
  const int         error = job->is.at ? file_write(path, job) : file_remove(path, job);
  RlText            why   = rl_text_in(job->result.why, sizeof(job->result.why));
  job->good               = !error;
  job->result.kind        = error == EBUSY ? RL_WRITE_CHANGED : RL_WRITE_FAILED;
  rl_file_why(error, &why);
  free(real);
}

/* ---- the thread ---- */

static void
let_go(RlPhraseWriter *const w)
{
  pthread_mutex_lock(&w->lock);
  const bool last = !--w->holders;
  pthread_mutex_unlock(&w->lock);
  if (last) {
    for (Job *job; (job = jobs_take(&w->waiting)) || (job = jobs_take(&w->failed));) {
      job_free(job);
    }
    pthread_mutex_destroy(&w->lock);
    free(w);
  }
}

static void
drop(void *const data)
{
  let_go((RlPhraseWriter *)data);
}

/* The next one to be done; NULL: the work ends. */
static Job *
next(RlPhraseWriter *const w)
{
  pthread_mutex_lock(&w->lock);
  Job *job = jobs_take(&w->waiting);
  while (job && jobs_have(&w->failed, job->result.path)) {
    job_free(job);
    job = jobs_take(&w->waiting);
  }
  w->works = job;
  pthread_mutex_unlock(&w->lock);
  return job;
}

static void
work(void *const data, const RlBackground *const background)
{
  RlPhraseWriter *const w = (RlPhraseWriter *)data;
  (void)background;
  for (Job *job; (job = next(w));) {
    job_do(job);
    pthread_mutex_lock(&w->lock);
    if (!job->good) {
      jobs_add(&w->failed, job);
    }
    pthread_mutex_unlock(&w->lock);
    if (job->good) {
      job_free(job);
    }
  }
}

/* ---- the window's side ---- */

RlPhraseWriter *
rl_phrase_writer_new(void)
{
  RlPhraseWriter *const w = (RlPhraseWriter *)calloc(1, sizeof(RlPhraseWriter));
  if (w) {
    w->holders = 1;
    pthread_mutex_init(&w->lock, NULL);
  }
  return w;
}

void
rl_phrase_writer_free(RlPhraseWriter *const w)
{
  if (w) {
    let_go(w);
  }
}

/* Where no thread can be had, all that waits has failed. */
static void
all_failed(RlPhraseWriter *const w)
{
  pthread_mutex_lock(&w->lock);
  for (Job *job; (job = jobs_take(&w->waiting));) {
    RlText why       = rl_text_in(job->result.why, sizeof(job->result.why));
    job->result.kind = RL_WRITE_FAILED;
    rl_text_add(&why, "too many files are being waited for, or there is not enough memory");
    jobs_add(&w->failed, job);
  }
  w->works = false;
  --w->holders;
  pthread_mutex_unlock(&w->lock);
}

/* What is still to be begun becomes what is wanted now: the text between is never needed. */
static bool
join(Job *const last, Job *const job)
{
  const bool joins = last && !strcmp(last->result.path, job->result.path) && last->is.at &&
                     job->was.at && last->is.length == job->was.length &&
                     !memcmp(last->is.at, job->was.at, job->was.length) &&
                     (last->was.at || job->is.at);
  if (joins) {
    free(last->is.at);
    last->is   = job->is;
    job->is.at = NULL;
    job_free(job);
  }
  return joins;
}

bool
rl_phrase_writer_add(RlPhraseWriter *const w, const char *const path, const RlSlice was,
                     const RlSlice is)
{
  Job *const job = (Job *)calloc(1, sizeof(Job));
  if (!job) {
    return false;
  }
  RlText to = rl_text_in(job->result.path, sizeof(job->result.path));
  rl_text_add(&to, path);
  const bool copied = bytes_copy(&job->was, was);
  if (!bytes_copy(&job->is, is) || !copied) {
    job_free(job);
    return false;
  }
  pthread_mutex_lock(&w->lock);
  if (!join(w->waiting.last, job)) {
    jobs_add(&w->waiting, job);
  }
  const bool begins = !w->works;
  w->works          = true;
  w->holders += begins;
  pthread_mutex_unlock(&w->lock);
  RlBackground *const background = begins ? rl_file_work_begin(work, drop, w) : NULL;
  if (begins && !background) {
    all_failed(w);
  }
  rl_background_end(background); /* it goes on by itself */
  return true;
}

bool
rl_phrase_writer_failed(RlPhraseWriter *const w, RlWriteResult *const result)
{
  pthread_mutex_lock(&w->lock);
  Job *const job = jobs_take(&w->failed);
  pthread_mutex_unlock(&w->lock);
  if (job) {
    *result = job->result;
    job_free(job);
  }
  return job;
}

bool
rl_phrase_writer_busy(RlPhraseWriter *const w)
{
  pthread_mutex_lock(&w->lock);
  const bool busy = w->works;
  pthread_mutex_unlock(&w->lock);
  return busy;
}
