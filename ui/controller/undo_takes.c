/* SPDX-License-Identifier: ISC */
#include "ui/controller/undo_takes.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  RlPlan      now, from, to;
  RlPhrase    phrase;
  RlPlanError error;
} Workspace;

static bool
read(Workspace *const w, const char *const text, RlPlan *const takes)
{
  return rl_plan_read(rl_slice(text), &w->phrase, takes, &w->error);
}

/* Where a take stands. */
static RlPlanned
place_of(const RlPlan *const takes, const int index)
{
  int i = 0;
  while (i < takes->planned_count && takes->planned[i].phrase != index) {
    ++i;
  }
  return i < takes->planned_count ? takes->planned[i] : (RlPlanned){.bar = 1};
}

static bool
same(const RlPlan *const a, const int i, const RlPlan *const b, const int k)
{
  const RlPlanned p = place_of(a, i), q = place_of(b, k);
  const RlSlice   x = rl_slice_trim(rl_plan_tune(a, i)), y = rl_slice_trim(rl_plan_tune(b, k));
  return p.bar == q.bar && p.beat == q.beat && p.choruses == q.choruses && p.move == q.move &&
         x.length == y.length && !memcmp(x.at, y.at, x.length);
}

static bool
all_there(const RlPlan *const takes, const RlPlan *const now)
{
  bool there = true;
  for (int i = 0; there && i < takes->phrase_count; ++i) {
    const int k = rl_plan_find(now, takes->phrase[i].title);
    there       = k >= 0 && same(takes, i, now, k);
  }
  return there;
}

/* Adds what is among `now` but was not among `from`, and how many takes there have been. NULL, or
   why it cannot be done. */
static const char *
rest_add(Workspace *const w, char *const result)
{
  const char *why = NULL;
  for (int i = 0; !why && i < w->now.phrase_count; ++i) {
    const char *const title = w->now.phrase[i].title;
    const RlPlanned   where = place_of(&w->now, i);
    RlText            out   = rl_text_in(result, RL_PLAN_MAX + 1);
    if (rl_plan_find(&w->from, title) >= 0) {
      continue;
    }
    why = rl_plan_find(&w->to, title) >= 0
            ? "Another take has its title now; keep or discard that one first."
            : rl_plan_add(&w->to, &where, title, rl_plan_tune(&w->now, i), &out);
    if (!why && !read(w, result, &w->to)) {
      why = "No room for more takes; keep or discard some first.";
    }
  }
  RlText out = rl_text_in(result, RL_PLAN_MAX + 1);
  if (!why && !(w->now.taken_line && rl_plan_count(&w->to, w->now.taken, &out))) {
    rl_text_add(&out, w->to.text);
  }
  return why;
}

RlUndoAnswer
rl_undo_takes(const char *const now, const char *const from, const char *const to,
              char *const result, const char **const why)
{
  if (!strcmp(now, from)) {
    RlText out = rl_text_in(result, RL_PLAN_MAX + 1);
    rl_text_add(&out, to);
    return RL_UNDO_CAN;
  }
  Workspace *const w      = (Workspace *)malloc(sizeof(Workspace));
  RlUndoAnswer     answer = RL_UNDO_CHANGED;
  if (!w) {
    *why   = "Not enough memory; close another program and do it again.";
    answer = RL_UNDO_NOT_NOW;
  } else if (read(w, now, &w->now) && read(w, from, &w->from) && read(w, to, &w->to) &&
             all_there(&w->from, &w->now)) {
    *why   = rest_add(w, result);
    answer = *why ? RL_UNDO_NOT_NOW : RL_UNDO_CAN;
  }
  free(w);
  return answer;
}
