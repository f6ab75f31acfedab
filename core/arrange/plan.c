/* SPDX-License-Identifier: ISC */
#include "core/arrange/plan.h"

#include "core/abc/abc.h"
#include "core/arrange/plan_reader.h"

#include <assert.h>
#include <string.h>

_Static_assert(RL_PLAN_MAX == 16384, "the message below names the number");
_Static_assert(RL_PLAN_MAX <= UINT16_MAX, "RlPlanPhrase.at and RlPlan.text_length hold it");
_Static_assert(RL_PLAN_PHRASES_MAX == 64, "the message below names the number");
_Static_assert(RL_BARS_MAX % 32 == 0, "RlPlan.answers has a bit for every bar");
_Static_assert(sizeof(((RlPlanError *)NULL)->reason) >= sizeof(((RlAbcError *)NULL)->reason),
               "an error of ABC is copied whole");

/* ---- errors ---- */

bool
rl_plan_reader_fail_with(const RlPlanReader *const r, const char *const before,
                         const RlSlice quoted, const char *const after)
{
  RlText text      = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line   = r->line;
  r->error->column = 0;
  rl_text_add(&text, before);
  rl_text_add_quote(&text, quoted);
  rl_text_add(&text, after);
  return false;
}

bool
rl_plan_reader_fail(const RlPlanReader *const r, const char *const reason)
{
  return rl_plan_reader_fail_with(r, reason, rl_slice(""), "");
}

void
rl_plan_error_write(const RlPlanError *const error, RlText *const text)
{
  rl_text_add(text, "line ");
  rl_text_add_int(text, error->line);
  if (error->column) {
    rl_text_add(text, ", column ");
    rl_text_add_int(text, error->column);
  }
  rl_text_add(text, ": ");
  rl_text_add(text, error->reason);
}

/* ---- reading ---- */

static bool
phrase_read(RlPlanReader *const r, const RlSlice tune, const int line, RlPhrase *const phrase)
{
  RlPlan *const plan = r->plan;
  RlAbcError    error;
  r->line = line;
  if (plan->phrase_count == RL_PLAN_PHRASES_MAX) {
    return rl_plan_reader_fail(r, "more than 64 phrases; take some out");
  }
  if (!rl_abc_read(tune, phrase, &error)) {
    rl_plan_reader_fail(r, error.reason);
    r->error->line   = line + error.line - 1;
    r->error->column = error.column;
    return false;
  }
  RlPlanPhrase *const p = &plan->phrase[plan->phrase_count++];
  p->at                 = (uint16_t)(tune.at - plan->text);
  p->length             = (uint16_t)tune.length;
  memcpy(p->title, phrase->title, sizeof(p->title));
  return true;
}

/* Finds for every planned phrase the first phrase of its title. */
static bool
titles_find(RlPlanReader *const r)
{
  RlPlan *const plan = r->plan;
  for (int i = 0; i < plan->planned_count; ++i) {
    int at = 0;
    while (at < plan->phrase_count && !rl_slice_is(r->wanted[i].title, plan->phrase[at].title)) {
      ++at;
    }
    r->line = r->wanted[i].line;
    if (at == plan->phrase_count) {
      return rl_plan_reader_fail_with(r, "no phrase \"", r->wanted[i].title,
                                      "\" stands below; put it there in ABC, from X: on");
    }
    plan->planned[i].phrase = (uint8_t)at;
  }
  return true;
}

static bool
text_copy(RlPlanReader *const r, const RlSlice text)
{
  r->line = 1;
  if (text.length > RL_PLAN_MAX) {
    return rl_plan_reader_fail(r, "more than 16384 bytes; take phrases out");
  }
  const ptrdiff_t bad = rl_slice_bad_byte(text);
  for (ptrdiff_t i = 0; i < bad; ++i) {
    r->line += text.at[i] == '\n';
  }
  if (bad >= 0) {
    return rl_plan_reader_fail(r, "this line holds a byte that is not UTF-8 text; type it again");
  }
  memcpy(r->plan->text, text.at, text.length);
  r->plan->text[text.length] = '\0';
  r->plan->text_length       = (uint16_t)text.length;
  return true;
}

bool
rl_plan_read(const RlSlice text, RlPhrase *const scratch, RlPlan *const plan,
             RlPlanError *const error)
{
  assert(text.at != plan->text); /* it is cleared first */
  RlPlanReader r = {.plan = plan, .error = error};
  memset(plan, 0, sizeof(*plan));
  if (!text_copy(&r, text)) {
    return false;
  }
  RlSlice rest = {plan->text, plan->text_length};
  int     line = 1;
  while (rest.length && !rl_slice_begins(rest, "X:")) {
    r.line = line++;
    if (!rl_plan_reader_line(&r, rl_slice_trim(rl_plan_line_next(&rest)))) {
      return false;
    }
  }
  RlAbcBook book = rl_abc_book(rest);
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    if (!phrase_read(&r, tune, line + book.line - 1, scratch)) {
      return false;
    }
  }
  return titles_find(&r);
}

/* ---- what a plan says ---- */

RlSlice
rl_plan_tune(const RlPlan *const plan, const int index)
{
  assert(index >= 0 && index < plan->phrase_count);
  return (RlSlice){plan->text + plan->phrase[index].at, plan->phrase[index].length};
}

void
rl_plan_phrase(const RlPlan *const plan, const int index, RlPhrase *const phrase)
{
  RlAbcError error;
  rl_abc_read(rl_plan_tune(plan, index), phrase, &error); /* it was read once: it is well formed */
}

bool
rl_plan_answers(const RlPlan *const plan, const int bar)
{
  return bar >= 1 && bar <= RL_BARS_MAX && (plan->answers[(bar - 1) / 32] >> ((bar - 1) % 32) & 1U);
}

int
rl_plan_find(const RlPlan *const plan, const char *const title)
{
  int at = 0;
  while (at < plan->phrase_count && strcmp(plan->phrase[at].title, title) != 0) {
    ++at;
  }
  return at < plan->phrase_count ? at : -1;
}
