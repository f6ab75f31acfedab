/* SPDX-License-Identifier: ISC */
#include "core/arrange/plan.h"

#include "core/arrange/plan_reader.h"

#include <assert.h>
#include <string.h>

_Static_assert(RL_PLAN_MAX == 16384, "the message below names the number");
_Static_assert(RL_PLAN_MAX <= UINT16_MAX, "RlPlanPhrase.at and RlPlan.text_length hold it");
_Static_assert(RL_PLAN_PHRASES_MAX == 64, "the message below names the number");
_Static_assert(RL_BARS_MAX % 32 == 0, "RlPlan.answers has a bit for every bar");
_Static_assert(sizeof(((RlPlanError *)NULL)->reason) >= sizeof(((RlAbcError *)NULL)->reason),
               "an error of ABC is copied whole");

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
  RlPlanPhrase *const p = &plan->phrase[plan->phrase_count];
  if (!rl_abc_read_counting(tune, phrase, &p->left, &error)) {
    rl_plan_reader_fail(r, error.reason);
    r->error->line   = line + error.line - 1;
    r->error->column = error.column;
    return false;
  }
  ++plan->phrase_count;
  p->left.bar_line += line - 1;
  p->at     = (uint16_t)(tune.at - plan->text);
  p->length = (uint16_t)tune.length;
  memcpy(p->title, phrase->title, sizeof(p->title));
  return true;
}

static int
title_find(const RlPlan *const plan, const RlSlice title)
{
  int at = 0;
  while (at < plan->phrase_count && !rl_slice_is(title, plan->phrase[at].title)) {
    ++at;
  }
  return at < plan->phrase_count ? at : -1;
}

/* The phrase that a line means: that of the title before its options, or of what stands there in
   quotes; else of the title together with some of what looks like options. -1 without one. */
static int
phrase_meant(const RlPlan *const plan, const RlSlice words, RlPlanned *const p)
{
  const RlPlanned bare    = *p;
  int             options = 0;
  for (int kept = 0; kept <= options; ++kept) {
    *p                  = bare;
    const RlSlice title = rl_plan_reader_title(words, kept, p, &options);
    const bool quoted = title.length > 2 && title.at[0] == '"' && title.at[title.length - 1] == '"';
    const int  plain  = title_find(plan, title);
    const int  at =
      plain < 0 && quoted ? title_find(plan, (RlSlice){title.at + 1, title.length - 2}) : plain;
    if (at >= 0) {
      return at;
    }
  }
  return -1;
}

/* Finds for every planned phrase the first phrase of its title. */
static bool
titles_find(RlPlanReader *const r)
{
  RlPlan *const plan = r->plan;
  for (int i = 0; i < plan->planned_count; ++i) {
    RlPlanned *const p = &plan->planned[i];
    RlPlanned        meant =
      (RlPlanned){.bar = p->bar, .beat = p->beat, .move = RL_MOVE_CHORD, .line = p->line};
    const int at = phrase_meant(plan, r->wanted[i].words, &meant);
    if (at < 0) {
      int options = 0;
      r->line     = r->wanted[i].line;
      return rl_plan_reader_fail_with(r, "no phrase \"",
                                      rl_plan_reader_title(r->wanted[i].words, 0, &meant, &options),
                                      "\" stands below; put it there in ABC, from X: on");
    }
    *p        = meant;
    p->phrase = (uint8_t)at;
  }
  return true;
}

/* Copies without the byte order marks that some editors put before what they save. */
static size_t
text_clean(const RlSlice text, char *const to)
{
  static const char mark[] = "\xEF\xBB\xBF";
  size_t            used   = 0;
  for (size_t i = 0; i < text.length; ++i) {
    const bool begins = !used || to[used - 1] == '\n';
    if (begins && rl_slice_begins(rl_slice_after(text, i), mark)) {
      i += sizeof(mark) - 2;
    } else {
      to[used++] = text.at[i];
    }
  }
  return used;
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
  r->plan->text_length                = (uint16_t)text_clean(text, r->plan->text);
  r->plan->text[r->plan->text_length] = '\0';
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

int
rl_plan_twice(const RlPlan *const plan)
{
  int at = 1;
  while (at < plan->phrase_count && rl_plan_find(plan, plan->phrase[at].title) == at) {
    ++at;
  }
  return at < plan->phrase_count ? at : -1;
}
