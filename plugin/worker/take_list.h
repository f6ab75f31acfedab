/* SPDX-License-Identifier: ISC */
/* The takes there are: a text in the syntax of a plan, to which takes are added as they are played,
   and which others edit. Texts in, texts out; no heap. Guarded by the document's lock. What the
   texts look like stands in core/capture/TAKES.md. */
#ifndef RL_PLUGIN_WORKER_TAKE_LIST_H
#define RL_PLUGIN_WORKER_TAKE_LIST_H

#include "core/abc/abc.h"
#include "core/arrange/plan.h"
#include "plugin/protocol/properties.h"

/** What is known of the takes besides their text; zeroed at the beginning. */
typedef struct {
  unsigned taken; /**< so many have been taken down; 65535: as many or more */
  char     title[RL_PLAN_PHRASES_MAX][RL_PHRASE_TITLE_SIZE]; /**< of number n at n % their size */
} RlTakeList;

/** Memory to work in, from the caller: no need to clear it; and what comes of it. About 160 KiB. */
typedef struct {
  RlPhrase    phrase;
  RlPlan      takes, sent;
  RlPlanError error;
  char        abc[RL_ABC_MAX], text[RL_PLAN_MAX + 1];
  char        result[RL_PLAN_MAX + 1];  /**< the takes as they are now */
  char        problem[RL_PROBLEM_SIZE]; /**< for a person to read; empty: none */
} RlTakeListWorkspace;

/** One more take, just played, on a bar (from 1) of the form, after those of `takes`. `phrase` gets
   a title that neither they nor `plan` (NULL: none) have. Where there is no room the oldest go.
   False if nothing has changed. */
bool rl_take_list_add(RlTakeList *list, const char *takes, RlPhrase *phrase, int bar,
                      const RlPlan *plan, RlTakeListWorkspace *work);

/** All of them, as somebody sends them in the place of `takes`. If that text says how many takes it
    knows of (`taken: 5`), those that were taken down since stay. False if nothing has changed. */
bool rl_take_list_set(RlTakeList *list, const char *takes, RlSlice sent, RlTakeListWorkspace *work);

/** Does to one take what the text says (plugin/protocol/take_edit.h). False if nothing has changed:
    then the problem says why. */
bool rl_take_list_edit(const RlTakeList *list, const char *takes, RlSlice edit,
                       RlTakeListWorkspace *work);

/** Where the take of a title stands among `takes`, if it is one of those that whoever wrote `sent`
    knows of; of several the first. -1: nowhere. */
int rl_take_list_find(const RlTakeList *list, const RlPlan *takes, RlSlice title,
                      const RlPlan *sent);

/** Takes of a session: what comes next is counted from there. False if they cannot be read. */
bool rl_take_list_restore(RlTakeList *list, RlSlice takes, RlTakeListWorkspace *work);

#endif
