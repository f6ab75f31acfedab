/* SPDX-License-Identifier: ISC */
#include "plugin/worker/take_list.h"

#include <string.h>

static const char too_long[] = "take: too long; play less of it at a time";
static const char unread[] = "take: the earlier takes could not be read; they are kept as comments";
static const char no_room[] =
  "take: no room for more takes; the oldest take was deleted; keep or discard some";

static RlText
result_begin(RlTakeListWorkspace *const w)
{
  w->problem[0] = '\0';
  return rl_text_in(w->result, sizeof(w->result));
}

static RlText
problem_begin(RlTakeListWorkspace *const w, const char *const words)
{
  RlText text = rl_text_in(w->problem, sizeof(w->problem));
  rl_text_add(&text, words);
  return text;
}

static bool
plan_read(RlTakeListWorkspace *const w, const RlSlice text, const char *const what,
          RlPlan *const plan)
{
  if (rl_plan_read(text, &w->phrase, plan, &w->error)) {
    return true;
  }
  RlText problem = problem_begin(w, what);
  rl_plan_error_write(&w->error, &problem);
  return false;
}

/* ---- numbers ---- */

/* Which take has that title, by when it was taken down, from 1; the last one if several had it. 0
   if it was not played since the session was opened. */
static unsigned
number_of(const RlTakeList *const list, const char *const title)
{
  unsigned n = list->taken;
  for (unsigned left = RL_PLAN_PHRASES_MAX; n && left; --n, --left) {
    if (!strcmp(list->title[n % RL_PLAN_PHRASES_MAX], title)) {
      return n;
    }
  }
  return 0;
}

static void
number_next(RlTakeList *const list, const char *const title)
{
  list->taken += list->taken < UINT16_MAX;
  memcpy(list->title[list->taken % RL_PLAN_PHRASES_MAX], title, RL_PHRASE_TITLE_SIZE);
}

/* How many of the takes somebody knows of. */
static unsigned
known(const RlTakeList *const list, const RlPlan *const sent)
{
  return sent->taken_line ? sent->taken : list->taken;
}

int
rl_take_list_find(const RlTakeList *const list, const RlPlan *const takes, const RlSlice title,
                  const RlPlan *const sent)
{
  char   words[RL_PHRASE_TITLE_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, title);
  return number_of(list, words) > known(list, sent) ? -1 : rl_plan_find(takes, words);
}

/* ---- adding ---- */

static void
takes_again(RlTakeListWorkspace *const w)
{
  rl_plan_read(rl_slice(w->text), &w->phrase, &w->takes, &w->error);
}

/* Says in the takes how many there have been. */
static void
count_write(RlTakeListWorkspace *const w, const unsigned taken)
{
  RlText text = rl_text_in(w->text, sizeof(w->text));
  if (rl_plan_count(&w->takes, taken < UINT16_MAX ? (int)taken : UINT16_MAX, &text)) {
    takes_again(w);
  }
}

/* `result` gets one more; while there is no room the oldest go. */
static bool
take_add(RlTakeListWorkspace *const w, const RlPlanned *const where, const char *const title,
         const RlSlice tune)
{
  RlText result = rl_text_in(w->result, sizeof(w->result));
  while (rl_plan_add(&w->takes, where, title, tune, &result)) {
    if (!w->takes.phrase_count) {
      problem_begin(w, too_long);
      return false;
    }
    RlText fewer = rl_text_in(w->text, sizeof(w->text));
    rl_plan_drop(&w->takes, 0, &fewer);
    takes_again(w);
    problem_begin(w, no_room);
  }
  return true;
}

/* Takes that cannot be read (of another version, or a hand has been at them) stay there as
   comments, as far as there is room. */
static void
comment(RlTakeListWorkspace *const w, const char *const takes)
{
  RlSlice rest = rl_slice(takes);
  RlText  out  = rl_text_in(w->text, sizeof(w->text) / 2);
  while (rest.length) {
    const size_t n = rl_slice_until(rest, "\n");
    rl_text_add(&out, "# ");
    rl_text_add_slice(&out, (RlSlice){rest.at, n});
    rl_text_add(&out, "\n");
    rest = rl_slice_after(rest, n + 1);
  }
  if (out.used + 1 >= out.size ||
      !rl_plan_read(rl_slice(w->text), &w->phrase, &w->takes, &w->error)) {
    rl_text_in(w->text, sizeof(w->text));
    takes_again(w);
  }
  problem_begin(w, unread);
}

static void
title_find(const RlTakeListWorkspace *const w, const RlPlan *const plan, char *const to)
{
  int n = 0;
  do {
    RlText title = rl_text_in(to, RL_PHRASE_TITLE_SIZE);
    rl_text_add(&title, "Take ");
    rl_text_add_int(&title, ++n);
  } while (rl_plan_find(&w->takes, to) >= 0 || (plan && rl_plan_find(plan, to) >= 0));
}

bool
rl_take_list_add(RlTakeList *const list, const char *const takes, RlPhrase *const phrase,
                 const int bar, const RlPlan *const plan, RlTakeListWorkspace *const w)
{
  const RlPlanned where = {.bar = (uint16_t)bar, .move = RL_MOVE_CHORD};
  RlAbcError      wrong;
  RlText          abc = rl_text_in(w->abc, sizeof(w->abc));
  result_begin(w);
  if (!rl_plan_read(rl_slice(takes), &w->phrase, &w->takes, &w->error)) {
    comment(w, takes);
  }
  title_find(w, plan, phrase->title);
  const RlSlice tune = rl_abc_tune(phrase, &abc);
  if (!rl_abc_read(tune, &w->phrase, &wrong)) { /* more bars than a tune has */
    problem_begin(w, too_long);
    return false;
  }
  count_write(w, list->taken + 1);
  if (!take_add(w, &where, phrase->title, tune)) {
    return false;
  }
  number_next(list, phrase->title);
  return true;
}

/* ---- all at once ---- */

/* Where a take stands. */
static RlPlanned
place_of(const RlPlan *const takes, const int index)
{
  for (int i = 0; i < takes->planned_count; ++i) {
    if (takes->planned[i].phrase == index) {
      return takes->planned[i];
    }
  }
  return (RlPlanned){.bar = 1};
}

/* Those that whoever sent the others does not know of yet. */
static void
newer_add(const RlTakeList *const list, const RlPlan *const there, const unsigned known_of,
          RlTakeListWorkspace *const w)
{
  for (int i = 0; i < there->phrase_count; ++i) {
    const char *const title = there->phrase[i].title;
    const RlPlanned   where = place_of(there, i);
    if (number_of(list, title) > known_of && rl_plan_find(&w->takes, title) < 0 &&
        take_add(w, &where, title, rl_plan_tune(there, i))) {
      memcpy(w->text, w->result, sizeof(w->text));
      takes_again(w);
    }
  }
}

bool
rl_take_list_set(RlTakeList *const list, const char *const takes, const RlSlice sent,
                 RlTakeListWorkspace *const w)
{
  result_begin(w);
  if (!plan_read(w, sent, "take: ", &w->takes)) {
    return false;
  }
  const unsigned known_of = known(list, &w->takes);
  if (list->taken) {
    count_write(w, list->taken);
  }
  if (rl_plan_read(rl_slice(takes), &w->phrase, &w->sent, &w->error)) {
    newer_add(list, &w->sent, known_of, w);
  }
  RlText result = rl_text_in(w->result, sizeof(w->result));
  rl_text_add(&result, w->takes.text);
  return true;
}

bool
rl_take_list_restore(RlTakeList *const list, const RlSlice takes, RlTakeListWorkspace *const w)
{
  result_begin(w);
  if (!plan_read(w, takes, "the saved takes: ", &w->takes)) {
    return false;
  }
  memset(list, 0, sizeof(*list));
  list->taken = w->takes.taken;
  return true;
}
