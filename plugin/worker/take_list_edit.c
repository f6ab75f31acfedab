/* SPDX-License-Identifier: ISC */
/* One take edited, as a text of urn:reedlamp:take_edit says. */
#include "plugin/worker/take_list.h"

#include "plugin/protocol/take_edit.h"

#include <string.h>

typedef RlTakeListWorkspace Room;

/* The takes after an edit of the one at `index`; NULL, or why not. `sent` holds what came below the
   first line. */
typedef const char *(*Edit)(const Room *r, int index, RlText *result);

static const char *
add(const Room *const r, const int index, RlText *const result)
{
  const RlPlan *const sent = &r->sent;
  (void)index;
  if (sent->phrase_count != 1 || sent->planned_count != 1) {
    return "write one phrase, and a line that says on which bar it belongs";
  }
  if (rl_plan_find(&r->takes, sent->phrase[0].title) >= 0) {
    return "it is among the takes already";
  }
  return rl_plan_add(&r->takes, &sent->planned[0], sent->phrase[0].title, rl_plan_tune(sent, 0),
                     result);
}

static const char *
change(const Room *const r, const int index, RlText *const result)
{
  const RlPlan *const sent = &r->sent;
  if (sent->phrase_count != 1 || strcmp(sent->phrase[0].title, r->takes.phrase[index].title) != 0) {
    return "write its tune below, under the same title";
  }
  return rl_plan_change(&r->takes, index, rl_plan_tune(sent, 0), result);
}

static const char *
drop(const Room *const r, const int index, RlText *const result)
{
  rl_plan_drop(&r->takes, index, result);
  return NULL;
}

static const Edit edits[RL_TAKE_VERBS] = {
  [RL_TAKE_ADD] = add, [RL_TAKE_CHANGE] = change, [RL_TAKE_DROP] = drop, [RL_TAKE_KEEP] = drop};

/* Nothing is changed, and the problem says why. */
static bool
refuse(Room *const r, const RlSlice title, const char *const why)
{
  RlText problem = rl_text_in(r->problem, sizeof(r->problem));
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
edit_read(Room *const r, const RlSlice edit, RlTakeVerb *const verb, RlSlice *const title)
{
  const RlSlice none = {"", 0};
  RlText        text = rl_text_in(r->text, sizeof(r->text));
  if (!rl_take_edit_read(edit, verb, title)) {
    return refuse(r, none, "write drop:, keep:, change: or add: in the first line");
  }
  rl_text_add(&text, "#");
  rl_text_add_slice(&text, rl_slice_after(edit, 1));
  if (rl_plan_read((RlSlice){r->text, text.used}, &r->phrase, &r->sent, &r->error)) {
    return true;
  }
  char   words[RL_PROBLEM_SIZE];
  RlText why = rl_text_in(words, sizeof(words));
  rl_plan_error_write(&r->error, &why);
  return refuse(r, none, words);
}

bool
rl_take_list_edit(const RlTakeList *const list, const char *const takes, const RlSlice edit,
                  Room *const r)
{
  RlText     result = rl_text_in(r->result, sizeof(r->result));
  RlTakeVerb verb;
  RlSlice    title;
  r->problem[0] = '\0';
  if (!edit_read(r, edit, &verb, &title)) {
    return false;
  }
  if (!rl_plan_read(rl_slice(takes), &r->phrase, &r->takes, &r->error)) {
    return refuse(r, title, "the takes there are cannot be read; they stay as they are");
  }
  const int index = verb == RL_TAKE_ADD ? 0 : rl_take_list_find(list, &r->takes, title, &r->sent);
  if (index < 0) {
    return refuse(r, title, "there is no such take any more; look at those there are");
  }
  const char *const why = edits[verb](r, index, &result);
  return why ? refuse(r, title, why) : true;
}
