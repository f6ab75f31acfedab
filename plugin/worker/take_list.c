/* SPDX-License-Identifier: ISC */
#include "plugin/worker/take_list.h"

#include <string.h>

typedef RlTakeListWorkspace Room;

static const char too_long[] = "take: longer than there is room for; play less of it at a time";
static const char unread[] =
  "take: the takes before could not be read; they stand among the takes as comments";
static const char no_room[] = "take: no room for more takes, the oldest went; keep or discard some";

static RlText
result_begin(Room *const r)
{
  r->problem[0] = '\0';
  return rl_text_in(r->result, sizeof(r->result));
}

static RlText
problem_begin(Room *const r, const char *const words)
{
  RlText text = rl_text_in(r->problem, sizeof(r->problem));
  rl_text_add(&text, words);
  return text;
}

static bool
plan_read(Room *const r, const RlSlice text, const char *const what, RlPlan *const plan)
{
  if (rl_plan_read(text, &r->phrase, plan, &r->error)) {
    return true;
  }
  RlText problem = problem_begin(r, what);
  rl_plan_error_write(&r->error, &problem);
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
takes_again(Room *const r)
{
  rl_plan_read(rl_slice(r->text), &r->phrase, &r->takes, &r->error);
}

/* Says in the takes how many there have been. */
static void
count_write(Room *const r, const unsigned taken)
{
  RlText text = rl_text_in(r->text, sizeof(r->text));
  if (rl_plan_count(&r->takes, taken < UINT16_MAX ? (int)taken : UINT16_MAX, &text)) {
    takes_again(r);
  }
}

/* `result` gets one more; while there is no room the oldest go. */
static bool
take_add(Room *const r, const RlPlanned *const where, const char *const title, const RlSlice tune)
{
  RlText result = rl_text_in(r->result, sizeof(r->result));
  while (rl_plan_add(&r->takes, where, title, tune, &result)) {
    if (!r->takes.phrase_count) {
      problem_begin(r, too_long);
      return false;
    }
    RlText fewer = rl_text_in(r->text, sizeof(r->text));
    rl_plan_drop(&r->takes, 0, &fewer);
    takes_again(r);
    problem_begin(r, no_room);
  }
  return true;
}

/* Takes that cannot be read (of another version, or a hand has been at them) stay there as
   comments, as far as there is room. */
static void
comment(Room *const r, const char *const takes)
{
  RlSlice rest = rl_slice(takes);
  RlText  out  = rl_text_in(r->text, sizeof(r->text) / 2);
  while (rest.length) {
    const size_t n = rl_slice_until(rest, "\n");
    rl_text_add(&out, "# ");
    rl_text_add_slice(&out, (RlSlice){rest.at, n});
    rl_text_add(&out, "\n");
    rest = rl_slice_after(rest, n + 1);
  }
  if (out.used + 1 >= out.size ||
      !rl_plan_read(rl_slice(r->text), &r->phrase, &r->takes, &r->error)) {
    rl_text_in(r->text, sizeof(r->text));
    takes_again(r);
  }
  problem_begin(r, unread);
}

static void
title_find(const Room *const r, const RlPlan *const plan, char *const to)
{
  int n = 0;
  do {
    RlText title = rl_text_in(to, RL_PHRASE_TITLE_SIZE);
    rl_text_add(&title, "Take ");
    rl_text_add_int(&title, ++n);
  } while (rl_plan_find(&r->takes, to) >= 0 || (plan && rl_plan_find(plan, to) >= 0));
}

bool
rl_take_list_add(RlTakeList *const list, const char *const takes, RlPhrase *const phrase,
                 const int bar, const RlPlan *const plan, Room *const r)
{
  const RlPlanned where = {.bar = (uint16_t)bar, .move = RL_MOVE_CHORD};
  RlAbcError      wrong;
  RlText          abc = rl_text_in(r->abc, sizeof(r->abc));
  result_begin(r);
  if (!rl_plan_read(rl_slice(takes), &r->phrase, &r->takes, &r->error)) {
    comment(r, takes);
  }
  title_find(r, plan, phrase->title);
  const RlSlice tune = rl_abc_tune(phrase, &abc);
  if (!rl_abc_read(tune, &r->phrase, &wrong)) { /* more bars than a tune has */
    problem_begin(r, too_long);
    return false;
  }
  count_write(r, list->taken + 1);
  if (!take_add(r, &where, phrase->title, tune)) {
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
          Room *const r)
{
  for (int i = 0; i < there->phrase_count; ++i) {
    const char *const title = there->phrase[i].title;
    const RlPlanned   where = place_of(there, i);
    if (number_of(list, title) > known_of && rl_plan_find(&r->takes, title) < 0 &&
        take_add(r, &where, title, rl_plan_tune(there, i))) {
      memcpy(r->text, r->result, sizeof(r->text));
      takes_again(r);
    }
  }
}

bool
rl_take_list_set(RlTakeList *const list, const char *const takes, const RlSlice sent, Room *const r)
{
  result_begin(r);
  if (!plan_read(r, sent, "take: ", &r->takes)) {
    return false;
  }
  const unsigned known_of = known(list, &r->takes);
  if (list->taken) {
    count_write(r, list->taken);
  }
  if (rl_plan_read(rl_slice(takes), &r->phrase, &r->sent, &r->error)) {
    newer_add(list, &r->sent, known_of, r);
  }
  RlText result = rl_text_in(r->result, sizeof(r->result));
  rl_text_add(&result, r->takes.text);
  return true;
}

bool
rl_take_list_restore(RlTakeList *const list, const RlSlice takes, Room *const r)
{
  result_begin(r);
  if (!plan_read(r, takes, "the saved takes: ", &r->takes)) {
    return false;
  }
  memset(list, 0, sizeof(*list));
  list->taken = r->takes.taken;
  return true;
}
