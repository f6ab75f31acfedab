/* SPDX-License-Identifier: ISC */
#define _GNU_SOURCE /* close_range(), pipe2() */

#include "ui/page/sheet_jobs.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

/* A sheet takes some 60 ms. */
static const double between = 0.1; /* seconds from one beginning to the next, at least */
static const double most    = 10;  /* seconds a child may take */

enum { CHUNK = 65536, NICE = 10 };

/* ---- what is asked for ---- */

const RlSheetJobWish RL_SHEET_JOB_WISH = {.player = {3, 3, false}};

typedef enum { HARP, REGISTER, TUNING, BENDS, BLOW_BENDS, OVERBLOWS, PAPER, NAMES } Name;

static const struct {
  const char *name;
  int         low, high;
} names[NAMES] = {
  [HARP]       = {"harp", 0, 11},
  [REGISTER]   = {"register", -1, 1},
  [TUNING]     = {"tuning", 0, RL_TUNINGS - 1},
  [BENDS]      = {"bends", 0, 3},
  [BLOW_BENDS] = {"blow_bends", 0, 3},
  [OVERBLOWS]  = {"overblows", 0, 1},
  [PAPER]      = {"paper", 0, 1},
};

enum { NO_NUMBER = -1000 };

static int
number_of(const Name name, const RlSlice value)
{
  const bool minus  = rl_slice_begins(value, "-");
  const int  number = rl_slice_number(rl_slice_after(value, minus));
  if (name == PAPER) {
    return rl_slice_is(value, "a4") ? 0 : rl_slice_is(value, "letter") ? 1 : NO_NUMBER;
  }
  return number < 0 ? NO_NUMBER : minus ? -number : number;
}

bool
rl_sheet_job_ask(RlSheetJobWish *const w, const RlSlice name, const RlSlice value)
{
  int which = 0;
  while (which < NAMES && !rl_slice_is(name, names[which].name)) {
    ++which;
  }
  const int n = which < NAMES ? number_of((Name)which, value) : NO_NUMBER;
  if (n == NO_NUMBER || w->given >> which & 1U || n < names[which].low || n > names[which].high) {
    w->wrong = true;
    return false;
  }
  w->given |= 1U << which;
  switch (which) {
  case HARP:
    w->harp.key = (uint8_t)n;
    break;
  case REGISTER:
    w->harp.range = (int8_t)n;
    break;
  case TUNING:
    w->harp.tuning = (RlTuning)n;
    break;
  case BENDS:
    w->player.draw_bends = (uint8_t)n;
    break;
  case BLOW_BENDS:
    w->player.blow_bends = (uint8_t)n;
    break;
  case OVERBLOWS:
    w->player.overblows = n > 0;
    break;
  default:
    w->letter = n > 0;
  }
  return true;
}

bool
rl_sheet_job_asked(const RlSheetJobWish *const wish)
{
  return !wish->wrong && wish->given >> HARP & 1U;
}

/* ---- who waits ---- */

void
rl_sheet_jobs_init(RlSheetJobs *const c, const RlSheetJobDraw draw, const RlPageState *const heard)
{
  *c = (RlSheetJobs){.draw = draw, .heard = heard, .pipe = -1, .began = -between};
}

RlSheetJob *
rl_sheet_jobs_wait(RlSheetJobs *const c, const RlSheetJobWish *const wish, const uint32_t from,
                   void *const whose)
{
  RlSheetJob *free_one = NULL;
  int         same     = 0;
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    RlSheetJob *const copy = &c->copy[i];
    same += copy->whose && from && copy->from == from;
    free_one = copy->whose ? free_one : copy;
  }
  if (!free_one || same >= RL_SHEET_JOBS_ADDRESS_MAX) {
    return NULL;
  }
  *free_one = (RlSheetJob){.whose = whose, .number = c->asked++, .from = from, .wish = *wish};
  return free_one;
}

void
rl_sheet_jobs_leave(RlSheetJobs *const c, RlSheetJob *const copy)
{
  c->now = c->now == copy ? NULL : c->now;
  free(copy->bytes);
  *copy = (RlSheetJob){.whose = NULL};
}

static RlSheetJob *
first_waiting(RlSheetJobs *const c)
{
  RlSheetJob *first = NULL;
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    RlSheetJob *const copy  = &c->copy[i];
    const bool        waits = copy->whose && !copy->ready;
    first = waits && (!first || (int)(copy->number - first->number) < 0) ? copy : first;
  }
  return first;
}

/* ---- the child ---- */

/* Everything else of the server is closed first: a connection that the server ends would otherwise
   stay open as long as the child lives. */
static void
child_be(const RlSheetJobs *const c, const pid_t parent, const int to)
{
  enum { MINE = 3 };
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != parent || dup2(to, MINE) != MINE || close_range(MINE + 1, ~0U, 0) != 0) {
    _exit(RL_SHEET_JOB_FAILED);
  }
  if (nice(NICE) < 0) {
    errno = 0; /* then it takes its share as it is */
  }
  _exit((int)c->draw(c->heard, &c->now->wish, MINE));
}

static bool
child_start(RlSheetJobs *const c, const double now)
{
  int         ends[2];
  const pid_t parent = getpid();
  c->began           = now;
  if (pipe2(ends, O_CLOEXEC) != 0) {
    return false;
  }
  c->child = fork();
  if (c->child == 0) {
    child_be(c, parent, ends[1]);
  }
  close(ends[1]);
  if (c->child < 0 || fcntl(ends[0], F_SETFL, O_NONBLOCK) != 0) {
    close(ends[0]);
    c->child = c->child < 0 ? 0 : c->child;
    return false;
  }
  c->pipe = ends[0];
  return true;
}

/* Ends it, if it has not ended itself; how it went. */
static RlSheetJobEnd
child_end(RlSheetJobs *const c, const bool whole)
{
  int status = 0;
  if (c->child > 0) {
    if (!whole) {
      kill(c->child, SIGKILL);
    }
    while (waitpid(c->child, &status, 0) < 0 && errno == EINTR) {
    }
  }
  if (c->pipe >= 0) {
    close(c->pipe);
  }
  const bool own = whole && WIFEXITED(status) && WEXITSTATUS(status) <= (int)RL_SHEET_JOB_FAILED;
  c->child       = 0;
  c->pipe        = -1;
  return own ? (RlSheetJobEnd)WEXITSTATUS(status) : RL_SHEET_JOB_FAILED;
}

/* What it has written so far. 1: there may be more; 0: that was all; -1: it cannot be kept. */
static int
child_read(RlSheetJobs *const c)
{
  if (c->length + CHUNK > c->room) {
    const size_t         room  = 2 * c->room + CHUNK;
    unsigned char *const grown = (unsigned char *)realloc(c->bytes, room);
    if (!grown || c->length > RL_SHEET_JOBS_BYTES) {
      c->bytes = grown ? grown : c->bytes;
      return -1;
    }
    c->bytes = grown;
    c->room  = room;
  }
  const ssize_t n = read(c->pipe, c->bytes + c->length, CHUNK);
  c->length += n > 0 ? (size_t)n : 0;
  return n > 0 || (n < 0 && (errno == EAGAIN || errno == EINTR)) ? 1 : (int)n;
}

/* Takes the name off what was written; false if there is none, or nothing behind it. */
static bool
name_take(RlSheetJobs *const c, char name[RL_SHEET_JOBS_NAME])
{
  const unsigned char *const end =
    c->length ? (const unsigned char *)memchr(c->bytes, '\n', c->length) : NULL;
  const size_t length = end ? (size_t)(end - c->bytes) : 0;
  if (!length || length >= RL_SHEET_JOBS_NAME || length + 1 == c->length) {
    return false;
  }
  memcpy(name, c->bytes, length);
  name[length] = '\0';
  c->length -= length + 1;
  memmove(c->bytes, end + 1, c->length);
  return true;
}

/* It has come to an end: the sheet is its owner's, if there still is one. */
static RlSheetJob *
copy_finish(RlSheetJobs *const c, const bool whole)
{
  RlSheetJob *const copy = c->now;
  RlSheetJobEnd     end  = child_end(c, whole);
  if (copy && end == RL_SHEET_JOB_DONE && name_take(c, copy->name)) {
    copy->bytes  = c->bytes;
    copy->length = c->length;
  } else {
    free(c->bytes);
    end = end == RL_SHEET_JOB_DONE ? RL_SHEET_JOB_FAILED : end;
  }
  if (copy) {
    copy->ready = true;
    copy->end   = end;
  }
  c->bytes  = NULL;
  c->length = c->room = 0;
  c->now              = NULL;
  return copy;
}

/* ---- running ---- */

RlSheetJob *
rl_sheet_jobs_run(RlSheetJobs *const c, const double now)
{
  if (c->child) {
    const int more = child_read(c);
    return more > 0 && now - c->began < most ? NULL : copy_finish(c, more == 0);
  }
  if (now - c->began < between || !(c->now = first_waiting(c)) || child_start(c, now)) {
    return NULL;
  }
  return copy_finish(c, false);
}

int
rl_sheet_jobs_descriptor(const RlSheetJobs *const c)
{
  return c->pipe;
}

int
rl_sheet_jobs_patience(const RlSheetJobs *const c, const double now)
{
  bool waits = false;
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    waits = waits || (c->copy[i].whose && !c->copy[i].ready);
  }
  const double left = c->began + (c->child ? most : between) - now;
  return !c->child && !waits ? -1 : left <= 0 ? 0 : (int)(left * 1000) + 1;
}

void
rl_sheet_jobs_end(RlSheetJobs *const c)
{
  if (c->child) {
    copy_finish(c, false);
  }
  for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
    free(c->copy[i].bytes);
    c->copy[i] = (RlSheetJob){.whose = NULL};
  }
}
