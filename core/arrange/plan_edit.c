/* SPDX-License-Identifier: ISC */
/* Plans written anew with one thing changed. Everything else is copied byte for byte, so that
   comments and the user's own layout stay. */
#include "core/arrange/plan.h"

#include "core/arrange/plan_reader.h"

#include <assert.h>

/* ---- a line ---- */

static void
beat_write(const int32_t beat, RlText *const text)
{
  rl_text_add(text, " beat ");
  rl_text_add_int(text, beat / 1000 + 1);
  int part = beat % 1000;
  if (part) {
    rl_text_add(text, part < 10 ? ".00" : part < 100 ? ".0" : ".");
    while (part % 10 == 0) {
      part /= 10;
    }
    rl_text_add_int(text, part);
  }
}

static void
title_write(const char *const title, RlText *const text)
{
  RlPlanned   none    = {.move = RL_MOVE_CHORD};
  int         options = 0;
  const char *quote   = "";
  rl_plan_reader_title(rl_slice(title), 0, &none, &options);
  quote = options ? "\"" : "";
  rl_text_add(text, quote);
  rl_text_add(text, title);
  rl_text_add(text, quote);
}

void
rl_plan_line(const RlPlanned *const p, const char *const title, RlText *const text)
{
  rl_text_add(text, "bar ");
  rl_text_add_int(text, p->bar);
  if (p->beat) {
    beat_write(p->beat, text);
  }
  rl_text_add(text, ": ");
  title_write(title, text);
  if (p->move != RL_MOVE_CHORD) {
    rl_text_add(text, ", ");
    rl_text_add(text, rl_move_name((RlMove)p->move));
  }
  if (p->choruses) {
    rl_text_add(text, p->choruses & (p->choruses - 1) ? ", choruses" : ", chorus");
  }
  for (int n = 0; n < RL_PLAN_CHORUSES; ++n) {
    if (p->choruses >> n & 1U) {
      rl_text_add(text, " ");
      rl_text_add_int(text, n + 1);
    }
  }
}

/* ---- which lines are left out ---- */

/* Does a planned phrase match what `data` points to? */
typedef bool (*Match)(const RlPlanned *planned, const void *data);

static bool
same_place(const RlPlanned *const a, const void *const data)
{
  const RlPlanned *const b = (const RlPlanned *)data;
  return a->bar == b->bar && a->beat == b->beat && a->choruses == b->choruses;
}

static bool
same_bar(const RlPlanned *const a, const void *const data)
{
  return a->bar == *(const int *)data;
}

static bool
same_phrase(const RlPlanned *const a, const void *const data)
{
  return a->phrase == *(const int *)data;
}

static bool
none(const RlPlanned *const a, const void *const data)
{
  (void)a;
  (void)data;
  return false;
}

static bool
line_matches(const RlPlan *const plan, const int line, const Match match, const void *const data)
{
  for (int i = 0; i < plan->planned_count; ++i) {
    if (plan->planned[i].line == line && match(&plan->planned[i], data)) {
      return true;
    }
  }
  return false;
}

static bool
any_matches(const RlPlan *const plan, const Match match, const void *const data)
{
  int at = 0;
  while (at < plan->planned_count && !match(&plan->planned[at], data)) {
    ++at;
  }
  return at < plan->planned_count;
}

/* ---- copying ---- */

/* Copies the first line of `rest`, its newline included, and removes it from `rest`. */
static void
line_copy(RlSlice *const rest, RlText *const out)
{
  const char *const from = rest->at;
  rl_plan_line_next(rest);
  rl_text_add_slice(out, (RlSlice){from, (size_t)(rest->at - from)});
}

/* Copies the lines before the phrases, but for those that match. Returns what follows: the phrases.
 */
static RlSlice
head_copy(const RlPlan *const plan, const Match without, const void *const data, RlText *const out)
{
  RlSlice rest = {plan->text, plan->text_length};
  for (int line = 1; rest.length && !rl_slice_begins(rest, "X:"); ++line) {
    if (line_matches(plan, line, without, data)) {
      rl_plan_line_next(&rest);
    } else {
      line_copy(&rest, out);
    }
  }
  return rest;
}

static void
newline_add(RlText *const out)
{
  rl_text_add(out, out->used && out->to[out->used - 1] != '\n' ? "\n" : "");
}

/* Blank lines at the end of the head would stand before the new line. */
static void
blank_lines_drop(RlText *const out)
{
  while (out->used > 1 && out->to[out->used - 1] == '\n' && out->to[out->used - 2] == '\n') {
    out->to[--out->used] = '\0';
  }
}

/* ---- changes ---- */

/* One more phrase on a bar, in the place of the lines that match `without`. */
static const char *
plan_with(const RlPlan *const plan, const RlPlanned *const planned, const char *const title,
          const RlSlice tune, const Match without, RlText *const out)
{
  enum { LINE_MOST = 256 }; /* bytes of a `bar` line and the newlines around it */
  const bool known = rl_plan_find(plan, title) >= 0;
  const bool full  = plan->planned_count == RL_PLANNED_MAX && !any_matches(plan, without, planned);
  assert(planned->bar >= 1 && planned->bar <= RL_BARS_MAX);
  if (full || (!known && plan->phrase_count == RL_PLAN_PHRASES_MAX) ||
      plan->text_length + (known ? 0 : tune.length) + LINE_MOST > RL_PLAN_MAX) {
    return "no room for more; take phrases out of the plan";
  }
  const RlSlice phrases = head_copy(plan, without, planned, out);
  newline_add(out);
  blank_lines_drop(out);
  rl_plan_line(planned, title, out);
  rl_text_add(out, phrases.length || !known ? "\n\n" : "\n");
  rl_text_add_slice(out, phrases);
  if (!known) {
    newline_add(out);
    rl_text_add(out, phrases.length ? "\n" : "");
    rl_text_add_slice(out, tune);
    newline_add(out);
  }
  return NULL;
}

const char *
rl_plan_put(const RlPlan *const plan, const RlPlanned *const planned, const char *const title,
            const RlSlice tune, RlText *const out)
{
  return plan_with(plan, planned, title, tune, same_place, out);
}

const char *
rl_plan_add(const RlPlan *const plan, const RlPlanned *const planned, const char *const title,
            const RlSlice tune, RlText *const out)
{
  return plan_with(plan, planned, title, tune, none, out);
}

const char *
rl_plan_change(const RlPlan *const plan, const int index, const RlSlice tune, RlText *const out)
{
  assert(index >= 0 && index < plan->phrase_count);
  const RlPlanPhrase *const p   = &plan->phrase[index];
  const RlSlice             all = {plan->text, plan->text_length};
  const bool blank = plan->text[p->at + p->length] == '\n'; /* the line that ends the old tune */
  if (all.length - p->length + tune.length + 1 > RL_PLAN_MAX) {
    return "no room for more; take phrases out of the plan";
  }
  rl_text_add_slice(out, (RlSlice){plan->text, p->at});
  rl_text_add_slice(out, tune);
  newline_add(out);
  rl_text_add(out, blank || p->at + p->length == all.length ? "" : "\n");
  rl_text_add_slice(out, rl_slice_after(all, (size_t)p->at + p->length));
  return NULL;
}

/* Is the last line of the text an empty one? */
static bool
ends_empty(const RlText *const text)
{
  return text->used > 1 && text->to[text->used - 1] == '\n' && text->to[text->used - 2] == '\n';
}

void
rl_plan_drop(const RlPlan *const plan, const int index, RlText *const out)
{
  assert(index >= 0 && index < plan->phrase_count);
  const RlPlanPhrase *const p       = &plan->phrase[index];
  const RlSlice             phrases = head_copy(plan, same_phrase, &index, out);
  const char *const         from    = plan->text + p->at;
  rl_text_add_slice(out, (RlSlice){phrases.at, (size_t)(from - phrases.at)});
  RlSlice    rest  = rl_slice_after(phrases, (size_t)(from - phrases.at) + p->length);
  const bool first = from == phrases.at; /* then text between tunes would be read as lines */
  while (rl_slice_begins(rest, "\n") || (first && rest.length && !rl_slice_begins(rest, "X:"))) {
    rl_plan_line_next(&rest);
  }
  if (!first && rest.length && !rl_slice_begins(rest, "X:") && !ends_empty(out)) {
    rl_text_add(out, "\n"); /* or text behind it would belong to the tune before */
  }
  rl_text_add_slice(out, rest);
  if (rl_slice_is((RlSlice){out->to, out->used}, "\n")) { /* nothing is left */
    *out = rl_text_in(out->to, out->size);
  }
}

bool
rl_plan_count(const RlPlan *const takes, const int taken, RlText *const out)
{
  enum { LINE_MOST = sizeof("taken: 65535\n") };
  RlSlice rest = {takes->text, takes->text_length};
  assert(taken >= 0 && taken <= UINT16_MAX);
  if (takes->text_length + LINE_MOST > RL_PLAN_MAX) {
    return false;
  }
  rl_text_add(out, "taken: ");
  rl_text_add_int(out, taken);
  rl_text_add(out, "\n");
  for (int line = 1; line < takes->taken_line; ++line) {
    line_copy(&rest, out);
  }
  if (takes->taken_line) {
    rl_plan_line_next(&rest);
  }
  rl_text_add_slice(out, rest);
  return true;
}

void
rl_plan_clear_bar(const RlPlan *const plan, const int bar, RlText *const out)
{
  rl_text_add_slice(out, head_copy(plan, same_bar, &bar, out));
}
