/* SPDX-License-Identifier: ISC */
/* One take edited, as a text of urn:reedlamp:take_edit says. */
#include "plugin/worker/take_list.h"

#include "plugin/protocol/take_edit.h"

#include <string.h>

/* The takes after an edit of the one at `index`; NULL, or why not. `sent` holds what came below the
   first line. */
typedef const char *(*Edit)(const RlTakeListWorkspace *w, int index, RlText *result);

static const char *
add(const RlTakeListWorkspace *const w, const int index, RlText *const result)
{
  const RlPlan *const sent = &w->sent;
  (void)index;
  if (sent->phrase_count != 1 || sent->planned_count != 1) {
    return "write one phrase, and a line that says on which bar it belongs";
  }
  if (rl_plan_find(&w->takes, sent->phrase[0].title) >= 0) {
    return "it is among the takes already";
  }
  return rl_plan_add(&w->takes, &sent->planned[0], sent->phrase[0].title, rl_plan_tune(sent, 0),
                     result);
}

static const char *
change(const RlTakeListWorkspace *const w, const int index, RlText *const result)
{
  const RlPlan *const sent = &w->sent;
  if (sent->phrase_count != 1 || strcmp(sent->phrase[0].title, w->takes.phrase[index].title) != 0) {
    return "write its tune below, under the same title";
  }
  return rl_plan_change(&w->takes, index, rl_plan_tune(sent, 0), result);
}

static const char *
drop(const RlTakeListWorkspace *const w, const int index, RlText *const result)
{
  rl_plan_drop(&w->takes, index, result);
  return NULL;
}

static const Edit edits[RL_TAKE_VERBS] = {
  [RL_TAKE_ADD] = add, [RL_TAKE_CHANGE] = change, [RL_TAKE_DROP] = drop, [RL_TAKE_KEEP] = drop};

/* Nothing is changed, and the problem says why. */
static bool
refuse(RlTakeListWorkspace *const w, const RlSlice title, const char *const why)
{
  RlText problem = rl_text_in(w->problem, sizeof(w->problem));
  rl_text_add(&problem, "take_edit: ");
  if (title.length) {
    rl_text_add(&problem, "\"");
    rl_text_add_quote(&problem, title);
    rl_text_add(&problem, "\": ");
  }
  rl_text_add(&problem, why);
  return false;
}

/* To the reader of plans the first line is a comment, so that the lines it counts are those of the
   text. */
static bool
edit_read(RlTakeListWorkspace *const w, const RlSlice edit, RlTakeVerb *const verb,
          RlSlice *const title)
{
  const RlSlice none = {"", 0};
  RlText        text = rl_text_in(w->text, sizeof(w->text));
  if (!rl_take_edit_read(edit, verb, title)) {
    return refuse(w, none, "write drop:, keep:, change: or add: in the first line");
  }
  rl_text_add(&text, "#");
  rl_text_add_slice(&text, rl_slice_after(edit, 1));
  if (rl_plan_read((RlSlice){w->text, text.used}, &w->phrase, &w->sent, &w->error)) {
    return true;
  }
  char   words[RL_PROBLEM_SIZE];
  RlText why = rl_text_in(words, sizeof(words));
  rl_plan_error_write(&w->error, &why);
  return refuse(w, none, words);
}

bool
rl_take_list_edit(const RlTakeList *const list, const char *const takes, const RlSlice edit,
                  RlTakeListWorkspace *const w)
{
  RlText     result = rl_text_in(w->result, sizeof(w->result));
  RlTakeVerb verb;
  RlSlice    title;
  w->problem[0] = '\0';
  if (!edit_read(w, edit, &verb, &title)) {
    return false;
  }
  if (!rl_plan_read(rl_slice(takes), &w->phrase, &w->takes, &w->error)) {
    return refuse(w, title, "the existing takes cannot be read; they stay as they are");
  }
  const int index = verb == RL_TAKE_ADD ? 0 : rl_take_list_find(list, &w->takes, title, &w->sent);
  if (index < 0) {
    return refuse(w, title, "that take no longer exists; choose one that does");
  }
  const char *const why = edits[verb](w, index, &result);
  return why ? refuse(w, title, why) : true;
}
