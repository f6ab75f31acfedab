/* SPDX-License-Identifier: ISC */
#include "core/arrange/plan.h"

#include "core/abc/abc.h"

#include <string.h>

typedef struct {
  RlPlan      *plan;
  RlPlanError *error;
  RlPhrase    *room;
  int          line;
  struct {
    RlSlice title;
    int     line;
  } wanted[RL_PLANNED_MAX]; /* the phrases' names, until the phrases are known */
} Reader;

/* ---- errors ---- */

static bool
fail_with(const Reader *const r, const char *const before, const RlSlice quoted,
          const char *const after)
{
  RlText text      = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line   = r->line;
  r->error->column = 0;
  rl_text_add(&text, before);
  rl_text_add_quote(&text, quoted);
  rl_text_add(&text, after);
  return false;
}

static bool
fail(const Reader *const r, const char *const reason)
{
  return fail_with(r, reason, rl_slice(""), "");
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

/* ---- words ---- */

static RlSlice
line_take(RlSlice *const rest)
{
  const RlSlice line = {rest->at, rl_slice_until(*rest, "\n")};
  *rest              = rl_slice_after(*rest, line.length + 1);
  return line;
}

static RlSlice
word_take(RlSlice *const rest)
{
  *rest              = rl_slice_trim(*rest);
  const RlSlice word = {rest->at, rl_slice_until(*rest, " ")};
  *rest              = rl_slice_trim(rl_slice_after(*rest, word.length));
  return word;
}

/* A number from 1 to `most`, thousandths where there is a point; thousandths of it, -1 if it is
   none. */
static int32_t
thousandths(const RlSlice word, const int most)
{
  const RlSlice whole  = {word.at, rl_slice_until(word, ".")};
  const RlSlice part   = rl_slice_after(word, whole.length + 1);
  const int     number = rl_slice_number(whole);
  int32_t       after  = part.length ? rl_slice_number(part) : 0;
  for (size_t i = part.length; i < 3; ++i) {
    after *= 10;
  }
  return number < 1 || number > most || after < 0 || part.length > 3 ? -1 : number * 1000 + after;
}

/* ---- `bar 9 beat 2: Down the Steps, with the key, choruses 2 4` ---- */

static bool
where_read(const Reader *const r, RlSlice words, RlPlanned *const p)
{
  word_take(&words); /* `bar` */
  const RlSlice bar    = word_take(&words);
  const int     number = rl_slice_number(bar);
  if (number < 1 || number > RL_BARS_MAX) {
    return fail_with(r, "no such bar \"", bar, "\"; write: bar 9: and the phrase's title");
  }
  p->bar = (uint16_t)number;
  if (!words.length) {
    return true;
  }
  const RlSlice name = word_take(&words);
  const RlSlice beat = word_take(&words);
  const int32_t at   = thousandths(beat, RL_BAR_BEATS_MAX);
  if (!rl_slice_is(name, "beat") || at < 0 || words.length) {
    return fail_with(r, "no such beat \"", beat, "\"; write: bar 9 beat 2.5: and the title");
  }
  p->beat = at - 1000;
  return true;
}

/* One option behind the title. False, and nothing said, if it is none. */
static bool
option_read(const RlSlice option, RlPlanned *const p)
{
  for (int m = 0; m < RL_MOVES; ++m) {
    if (rl_slice_is(option, rl_move_name((RlMove)m))) {
      p->move = (uint8_t)m;
      return true;
    }
  }
  if (!rl_slice_begins(option, "chorus ") && !rl_slice_begins(option, "choruses ")) {
    return false;
  }
  RlSlice  rest     = option;
  uint32_t choruses = 0;
  for (word_take(&rest); rest.length;) {
    const int number = rl_slice_number(word_take(&rest));
    if (number < 1 || number > RL_PLAN_CHORUSES) {
      return false;
    }
    choruses |= 1U << (number - 1);
  }
  p->choruses = choruses;
  return true;
}

/* The title, without the options behind it. */
static RlSlice
title_read(RlSlice text, RlPlanned *const p)
{
  for (;;) {
    size_t comma = text.length;
    while (comma > 0 && text.at[comma - 1] != ',') {
      --comma;
    }
    if (!comma || !option_read(rl_slice_trim(rl_slice_after(text, comma)), p)) {
      return text;
    }
    text = rl_slice_trim((RlSlice){text.at, comma - 1});
  }
}

static bool
planned_read(Reader *const r, const RlSlice where, const RlSlice what)
{
  RlPlan *const plan = r->plan;
  RlPlanned     p    = {.move = RL_MOVE_CHORD, .line = (uint16_t)r->line};
  if (!where_read(r, where, &p)) {
    return false;
  }
  if (plan->planned_count == RL_PLANNED_MAX) {
    return fail(r, "more than 128 phrases on bars; take some out");
  }
  const RlSlice title = title_read(rl_slice_trim(what), &p);
  if (!title.length) {
    return fail(r, "no title; write: bar 9: and the title of a phrase that stands below");
  }
  r->wanted[plan->planned_count].title = title;
  r->wanted[plan->planned_count].line  = r->line;
  plan->planned[plan->planned_count++] = p;
  return true;
}

/* ---- `answer: 3 4 7-8` ---- */

static bool
answers_read(const Reader *const r, RlSlice words)
{
  while (rl_slice_trim(words).length) {
    const RlSlice word = word_take(&words);
    const RlSlice from = {word.at, rl_slice_until(word, "-")};
    const int     low  = rl_slice_number(from);
    const int     high =
      from.length < word.length ? rl_slice_number(rl_slice_after(word, from.length + 1)) : low;
    if (low < 1 || high < low || high > RL_BARS_MAX) {
      return fail_with(r, "no such bars \"", word, "\"; write: answer: 3 4 7-8");
    }
    for (int bar = low - 1; bar < high; ++bar) {
      r->plan->answers[bar / 32] |= 1U << (bar % 32);
    }
  }
  return true;
}

/* ---- `taken: 12` ---- */

static bool
taken_read(const Reader *const r, const RlSlice words)
{
  const RlSlice word   = rl_slice_trim(words);
  const int     number = rl_slice_number(word);
  if (r->plan->taken_line) {
    return fail(r, "taken: stands above already; take one of them out");
  }
  if (number < 0 || number > UINT16_MAX) {
    return fail_with(r, "no such number \"", word,
                     "\"; write: taken: and how many takes there have been, or nothing");
  }
  r->plan->taken      = (uint16_t)number;
  r->plan->taken_line = (uint16_t)r->line;
  return true;
}

/* ---- lines, then phrases ---- */

static bool
line_read(Reader *const r, const RlSlice line)
{
  const RlSlice name = {line.at, rl_slice_until(line, ":")};
  const RlSlice rest = rl_slice_after(line, name.length + 1);
  if (!line.length || line.at[0] == '#') {
    return true;
  }
  if (name.length < line.length && rl_slice_begins(name, "bar ")) {
    return planned_read(r, name, rest);
  }
  if (name.length < line.length && rl_slice_is(rl_slice_trim(name), "answer")) {
    return answers_read(r, rest);
  }
  if (name.length < line.length && rl_slice_is(rl_slice_trim(name), "taken")) {
    return taken_read(r, rest);
  }
  return fail_with(r, "what is \"", line,
                   "\"? A line says bar 9: and a title, or answer: and bars; # begins a comment");
}

static bool
phrase_read(Reader *const r, const RlSlice tune, const int line)
{
  RlPlan *const plan = r->plan;
  RlAbcError    error;
  r->line = line;
  if (plan->phrase_count == RL_PLAN_PHRASES_MAX) {
    return fail(r, "more than 64 phrases; take some out");
  }
  if (!rl_abc_read(tune, r->room, &error)) {
    fail(r, error.reason);
    r->error->line   = line + error.line - 1;
    r->error->column = error.column;
    return false;
  }
  RlPlanPhrase *const p = &plan->phrase[plan->phrase_count++];
  p->at                 = (uint16_t)(tune.at - plan->text);
  p->length             = (uint16_t)tune.length;
  memcpy(p->title, r->room->title, sizeof(p->title));
  return true;
}

static bool
titles_find(Reader *const r)
{
  RlPlan *const plan = r->plan;
  for (int i = 0; i < plan->planned_count; ++i) {
    int at = 0;
    while (at < plan->phrase_count && !rl_slice_is(r->wanted[i].title, plan->phrase[at].title)) {
      ++at;
    }
    r->line = r->wanted[i].line;
    if (at == plan->phrase_count) {
      return fail_with(r, "no phrase \"", r->wanted[i].title,
                       "\" stands below; put it there in ABC, from X: on");
    }
    plan->planned[i].phrase = (uint8_t)at;
  }
  return true;
}

static bool
text_take(Reader *const r, const RlSlice text)
{
  r->line = 1;
  if (text.length > RL_PLAN_MAX) {
    return fail(r, "more than 16384 bytes; take phrases out");
  }
  const ptrdiff_t bad = rl_slice_bad_byte(text);
  for (ptrdiff_t i = 0; i < bad; ++i) {
    r->line += text.at[i] == '\n';
  }
  if (bad >= 0) {
    return fail(r, "a byte that is no UTF-8 text; type the line again");
  }
  memcpy(r->plan->text, text.at, text.length);
  r->plan->text[text.length] = '\0';
  r->plan->text_length       = (uint16_t)text.length;
  return true;
}

bool
rl_plan_read(const RlSlice text, RlPhrase *const room, RlPlan *const plan, RlPlanError *const error)
{
  Reader r = {.plan = plan, .error = error, .room = room};
  memset(plan, 0, sizeof(*plan));
  if (!text_take(&r, text)) {
    return false;
  }
  RlSlice rest = {plan->text, plan->text_length};
  int     line = 1;
  while (rest.length && !rl_slice_begins(rest, "X:")) {
    r.line = line++;
    if (!line_read(&r, rl_slice_trim(line_take(&rest)))) {
      return false;
    }
  }
  RlAbcBook book = rl_abc_book(rest);
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    if (!phrase_read(&r, tune, line + book.line - 1)) {
      return false;
    }
  }
  return titles_find(&r);
}

RlSlice
rl_plan_tune(const RlPlan *const plan, const int index)
{
  return (RlSlice){plan->text + plan->phrase[index].at, plan->phrase[index].length};
}

void
rl_plan_phrase(const RlPlan *const plan, const int index, RlPhrase *const phrase)
{
  RlAbcError error;
  rl_abc_read(rl_plan_tune(plan, index), phrase, &error);
}

bool
rl_plan_answers(const RlPlan *const plan, const int bar)
{
  return bar >= 1 && bar <= RL_BARS_MAX && (plan->answers[(bar - 1) / 32] >> ((bar - 1) % 32) & 1U);
}

/* ---- writing ---- */

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

void
rl_plan_line(const RlPlanned *const p, const char *const title, RlText *const text)
{
  rl_text_add(text, "bar ");
  rl_text_add_int(text, p->bar);
  if (p->beat) {
    beat_write(p->beat, text);
  }
  rl_text_add(text, ": ");
  rl_text_add(text, title);
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

/* ---- changing ---- */

typedef bool (*Wanted)(const RlPlanned *planned, const void *data);

/* Is the line one of those that are wanted? */
static bool
line_wanted(const RlPlan *const plan, const int line, const Wanted wanted, const void *const data)
{
  for (int i = 0; i < plan->planned_count; ++i) {
    if (plan->planned[i].line == line && wanted(&plan->planned[i], data)) {
      return true;
    }
  }
  return false;
}

/* The lines before the phrases, without those wanted. Returns the rest: the phrases. */
static RlSlice
head_copy(const RlPlan *const plan, const Wanted wanted, const void *const data, RlText *const out)
{
  RlSlice rest = {plan->text, plan->text_length};
  for (int line = 1; rest.length && !rl_slice_begins(rest, "X:"); ++line) {
    const char *const from = rest.at;
    line_take(&rest);
    if (!line_wanted(plan, line, wanted, data)) {
      rl_text_add_slice(out, (RlSlice){from, (size_t)(rest.at - from)});
    }
  }
  return rest;
}

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

static void
newline_add(RlText *const out)
{
  rl_text_add(out, out->used && out->to[out->used - 1] != '\n' ? "\n" : "");
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

/* Blank lines at the end of the head would come between the lines. */
static void
blank_lines_drop(RlText *const out)
{
  while (out->used > 1 && out->to[out->used - 1] == '\n' && out->to[out->used - 2] == '\n') {
    out->to[--out->used] = '\0';
  }
}

static bool
any_wanted(const RlPlan *const plan, const Wanted wanted, const void *const data)
{
  int at = 0;
  while (at < plan->planned_count && !wanted(&plan->planned[at], data)) {
    ++at;
  }
  return at < plan->planned_count;
}

/* One more phrase on a bar, in the place of the lines that are not `wanted` any more. */
static const char *
plan_with(const RlPlan *const plan, const RlPlanned *const planned, const char *const title,
          const RlSlice tune, const Wanted unwanted, RlText *const out)
{
  const bool known = rl_plan_find(plan, title) >= 0;
  const bool full  = plan->planned_count == RL_PLANNED_MAX && !any_wanted(plan, unwanted, planned);
  if (full || (!known && plan->phrase_count == RL_PLAN_PHRASES_MAX) ||
      plan->text_length + (known ? 0 : tune.length) + 256 > RL_PLAN_MAX) {
    return "no room for more; take phrases out of the plan";
  }
  const RlSlice phrases = head_copy(plan, unwanted, planned, out);
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
  const RlPlanPhrase *const p   = &plan->phrase[index];
  const RlSlice             all = {plan->text, plan->text_length};
  const bool blank              = plan->text[p->at + p->length] == '\n'; /* ends the one there is */
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

void
rl_plan_drop(const RlPlan *const plan, const int index, RlText *const out)
{
  const RlPlanPhrase *const p       = &plan->phrase[index];
  const RlSlice             phrases = head_copy(plan, same_phrase, &index, out);
  const char *const         from    = plan->text + p->at;
  rl_text_add_slice(out, (RlSlice){phrases.at, (size_t)(from - phrases.at)});
  RlSlice    rest  = rl_slice_after(phrases, (size_t)(from - phrases.at) + p->length);
  const bool first = from == phrases.at; /* words between tunes would stand among the lines then */
  while (rl_slice_begins(rest, "\n") || (first && rest.length && !rl_slice_begins(rest, "X:"))) {
    line_take(&rest);
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
  if (takes->text_length + LINE_MOST > RL_PLAN_MAX) {
    return false;
  }
  rl_text_add(out, "taken: ");
  rl_text_add_int(out, taken);
  rl_text_add(out, "\n");
  for (int line = 1; line < takes->taken_line; ++line) {
    const char *const from = rest.at;
    line_take(&rest);
    rl_text_add_slice(out, (RlSlice){from, (size_t)(rest.at - from)});
  }
  if (takes->taken_line) {
    line_take(&rest);
  }
  rl_text_add_slice(out, rest);
  return true;
}

void
rl_plan_clear_bar(const RlPlan *const plan, const int bar, RlText *const out)
{
  rl_text_add_slice(out, head_copy(plan, same_bar, &bar, out));
}
