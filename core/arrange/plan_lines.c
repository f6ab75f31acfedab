/* SPDX-License-Identifier: ISC */
#include "core/arrange/plan_reader.h"

#include <string.h>

_Static_assert(RL_PLANNED_MAX == 128, "the message below names the number");
_Static_assert(RL_PLAN_CHORUSES == 32, "a bit each in RlPlanned.choruses");

/* ---- lines and words ---- */

RlSlice
rl_plan_line_next(RlSlice *const rest)
{
  const RlSlice line = {rest->at, rl_slice_until(*rest, "\n")};
  *rest              = rl_slice_after(*rest, line.length + 1);
  return line;
}

static RlSlice
word_next(RlSlice *const rest)
{
  *rest              = rl_slice_trim(*rest);
  const RlSlice word = {rest->at, rl_slice_until(*rest, " ")};
  *rest              = rl_slice_trim(rl_slice_after(*rest, word.length));
  return word;
}

/* A number from 1 to `most` with up to three decimals, in thousandths; -1 if it is not one. */
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

/* ---- `bar 6 beat 2: Down the Steps, with the key, choruses 2 4` ---- */

static bool
where_read(const RlPlanReader *const r, RlSlice words, RlPlanned *const p)
{
  word_next(&words); /* `bar` */
  const RlSlice bar    = word_next(&words);
  const int     number = rl_slice_number(bar);
  if (number < 1 || number > RL_BARS_MAX) {
    return rl_plan_reader_fail_with(r, "no such bar \"", bar,
                                    "\"; write: bar 4: and the phrase's title");
  }
  p->bar = (uint16_t)number;
  if (!words.length) {
    return true;
  }
  const RlSlice name = word_next(&words);
  const RlSlice beat = word_next(&words);
  const int32_t at   = thousandths(beat, RL_BAR_BEATS_MAX);
  if (!rl_slice_is(name, "beat") || at < 0 || words.length) {
    return rl_plan_reader_fail_with(r, "no such beat \"", beat,
                                    "\"; write: bar 7 beat 2.5: and the title");
  }
  p->beat = at - 1000;
  return true;
}

/* One option behind the title. False without an error if it is none: then it is part of the title.
 */
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
  for (word_next(&rest); rest.length;) {
    const int number = rl_slice_number(word_next(&rest));
    if (number < 1 || number > RL_PLAN_CHORUSES) {
      return false;
    }
    choruses |= 1U << (number - 1);
  }
  p->choruses = choruses;
  return true;
}

/* Removes the last option from the end of `text`. False if it ends in none. */
static bool
option_remove(RlSlice *const text, RlPlanned *const p)
{
  size_t comma = text->length;
  while (comma > 0 && text->at[comma - 1] != ',') {
    --comma;
  }
  if (!comma || !option_read(rl_slice_trim(rl_slice_after(*text, comma)), p)) {
    return false;
  }
  *text = rl_slice_trim((RlSlice){text->at, comma - 1});
  return true;
}

/* A title may contain commas, so options are read from the end of the line. */
RlSlice
rl_plan_reader_title(const RlSlice words, const int kept, RlPlanned *const p, int *const options)
{
  RlPlanned read = *p;
  RlSlice   text = words;
  for (*options = 0; option_remove(&text, &read); ++*options) {
  }
  text = words;
  for (int i = *options; i > kept; --i) {
    option_remove(&text, p);
  }
  return text;
}

static bool
planned_read(RlPlanReader *const r, const RlSlice where, const RlSlice what)
{
  RlPlan *const plan = r->plan;
  RlPlanned     p    = {.move = RL_MOVE_CHORD, .line = (uint16_t)r->line};
  if (!where_read(r, where, &p)) {
    return false;
  }
  if (plan->planned_count == RL_PLANNED_MAX) {
    return rl_plan_reader_fail(r, "more than 128 phrases on bars; take some out");
  }
  const RlSlice words   = rl_slice_trim(what);
  int           options = 0;
  if (!rl_plan_reader_title(words, 0, &p, &options).length) {
    return rl_plan_reader_fail(
      r, "no title; write: bar 5: and the title of a phrase that stands below");
  }
  r->wanted[plan->planned_count].words = words;
  r->wanted[plan->planned_count].line  = r->line;
  plan->planned[plan->planned_count++] = p;
  return true;
}

/* ---- `answer: 3 4 7-8` ---- */

static bool
answers_read(const RlPlanReader *const r, RlSlice words)
{
  while (rl_slice_trim(words).length) {
    const RlSlice word = word_next(&words);
    const RlSlice from = {word.at, rl_slice_until(word, "-")};
    const int     low  = rl_slice_number(from);
    const int     high =
      from.length < word.length ? rl_slice_number(rl_slice_after(word, from.length + 1)) : low;
    if (low < 1 || high < low || high > RL_BARS_MAX) {
      return rl_plan_reader_fail_with(r, "no such bars \"", word, "\"; write: answer: 3 4 7-8");
    }
    for (int bar = low - 1; bar < high; ++bar) {
      r->plan->answers[bar / 32] |= 1U << (bar % 32);
    }
  }
  return true;
}

/* ---- `taken: 12` ---- */

static bool
taken_read(const RlPlanReader *const r, const RlSlice words)
{
  const RlSlice word   = rl_slice_trim(words);
  const int     number = rl_slice_number(word);
  if (r->plan->taken_line) {
    return rl_plan_reader_fail(r, "taken: stands above already; take one of them out");
  }
  if (number < 0 || number > UINT16_MAX) {
    return rl_plan_reader_fail_with(
      r, "no such number \"", word,
      "\"; write: taken: and how many takes there have been, or nothing");
  }
  r->plan->taken      = (uint16_t)number;
  r->plan->taken_line = (uint16_t)r->line;
  return true;
}

/* ---- any line ---- */

bool
rl_plan_reader_line(RlPlanReader *const r, const RlSlice line)
{
  const RlSlice name  = {line.at, rl_slice_until(line, ":")};
  const RlSlice rest  = rl_slice_after(line, name.length + 1);
  const RlSlice word  = rl_slice_trim(name);
  const bool    colon = name.length < line.length;
  if (!line.length || line.at[0] == '#' || line.at[0] == '%') { /* %abc-2.1, and ABC's comments */
    return true;
  }
  if (colon && rl_slice_begins(name, "bar ")) {
    return planned_read(r, name, rest);
  }
  if (colon && rl_slice_is(word, "answer")) {
    return answers_read(r, rest);
  }
  if (colon && rl_slice_is(word, "taken")) {
    return taken_read(r, rest);
  }
  return rl_plan_reader_fail_with(
    r, "what is \"", line,
    "\"? A line says bar 11: and a title, or answer: and bars; # begins a comment");
}
