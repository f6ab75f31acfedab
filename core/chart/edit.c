/* SPDX-License-Identifier: ISC */
#include "core/chart/edit.h"

#include "core/chart/reader.h"

#include <assert.h>
#include <string.h>

/* ---- bytes and words ---- */

/* Bytes of the blank that ends before `at`, 0 if none does. */
static size_t
blank_before(const RlSlice text, const size_t at)
{
  for (size_t n = 1; n <= 3 && n <= at; ++n) {
    if (rl_chart_blank(rl_slice_after((RlSlice){text.at, at}, at - n)) == n) {
      return n;
    }
  }
  return 0;
}

static size_t
blank_at(const RlSlice text, const size_t at)
{
  return rl_chart_blank(rl_slice_after(text, at));
}

static bool
digit(const char c)
{
  return c >= '0' && c <= '9';
}

static bool
letter(const char c)
{
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

static RlSlice
text_of(const RlForm *const form)
{
  return (RlSlice){form->text, form->text_length};
}

/* ---- the parts of a bar ---- */

/* The part of a bar in one line: offsets in the form's text, `to` not included. */
typedef struct {
  size_t from, to;
} Part;

/* Would the parser look for bars in this line? */
static bool
bars_line(const RlSlice line)
{
  return line.length && line.at[0] != '#' && !rl_chart_header_name(line);
}

static RlSlice
without_comment(const RlSlice line)
{
  size_t n = 0;
  while (n < line.length &&
         !(n > 0 && rl_chart_comment(rl_slice_after(line, n)) && blank_before(line, n))) {
    ++n;
  }
  return rl_chart_trim((RlSlice){line.at, n});
}

static Part
part_none(const RlSpan bar)
{
  return (Part){bar.at, bar.at};
}

/* Moves on to the next part of the bar; false if there is none. */
static bool
part_next(const RlForm *const form, const RlSpan bar, Part *const part)
{
  RlSlice rest = rl_slice_after(rl_form_text(form, bar), part->to - bar.at);
  while (rest.length) {
    const bool head =
      rest.at == form->text + bar.at; /* perhaps inside a line, where # begins no comment */
    const RlSlice line = without_comment(rl_chart_line_next(&rest));
    if (line.length && (head || bars_line(line))) {
      part->from = (size_t)(line.at - form->text);
      part->to   = part->from + line.length;
      return true;
    }
  }
  return false;
}

static RlSlice
part_text(const RlForm *const form, const Part part)
{
  return (RlSlice){form->text + part.from, part.to - part.from};
}

void
rl_chart_edit_text(const RlForm *const form, const int written, RlText *const text)
{
  assert(written >= 0 && written < form->paper_bars);
  const RlSpan bar  = form->paper[written];
  Part         part = part_none(bar);
  for (bool first = true; part_next(form, bar, &part); first = false) {
    rl_text_add(text, first ? "" : " ");
    rl_text_add_slice(text, part_text(form, part));
  }
}

/* Are these the words rl_chart_edit_text() gives? */
static bool
same_words(const RlForm *const form, const RlSpan bar, RlSlice words)
{
  Part part = part_none(bar);
  for (bool first = true; part_next(form, bar, &part); first = false) {
    const RlSlice here  = part_text(form, part);
    const size_t  space = first ? 0 : 1;
    if (words.length < space + here.length || (space && words.at[0] != ' ') ||
        memcmp(words.at + space, here.at, here.length) != 0) {
      return false;
    }
    words = rl_slice_after(words, space + here.length);
  }
  return !words.length;
}

/* Bytes before the first word that is no meter; all of them if there is none. */
static size_t
meters_at_head(const RlSlice words)
{
  size_t n = 0;
  while (n < words.length && (blank_at(words, n) || digit(words.at[n]))) {
    const size_t blank = blank_at(words, n);
    n += blank ? blank : rl_chart_word(rl_slice_after(words, n));
  }
  return n;
}

static bool
begins_its_line(const RlForm *const form, size_t at)
{
  for (size_t n = 0; (n = blank_before(text_of(form), at)) > 0;) {
    at -= n;
  }
  return at == 0 || form->text[at - 1] == '\n';
}

/* What must stand before the words so that they are not read together with the text before them: a
   # would make the line a comment, a number or x would count endings or passes. A second bar line
   adds no bar. */
static const char *
guard(const RlForm *const form, const size_t at, const RlSlice words)
{
  if (begins_its_line(form, at)) {
    return words.at[0] == '#' ? "| " : "";
  }
  const bool grows = !letter(words.at[0]) || words.at[0] == 'x';
  return grows && !blank_before(text_of(form), at) ? " " : "";
}

/* ---- writing ---- */

/* The chart being written; the form's text is copied up to `at`. */
typedef struct {
  const RlForm *form;
  RlText       *chart;
  size_t        at;
  bool          full;
} Copy;

static Copy
copy_begin(const RlForm *const form, RlText *const chart)
{
  *chart = rl_text_in(chart->to, chart->size);
  return (Copy){form, chart, 0, false};
}

static void
copy_words(Copy *const c, const RlSlice words)
{
  const size_t before = c->chart->used;
  rl_text_add_slice(c->chart, words);
  c->full = c->full || c->chart->used != before + words.length || c->chart->used > RL_CHART_MAX;
}

static void
copy_to(Copy *const c, const size_t to)
{
  copy_words(c, (RlSlice){c->form->text + c->at, to - c->at});
  c->at = to;
}

static void
remove_part(Copy *const c, const Part part)
{
  copy_to(c, part.from);
  c->at = part.to;
}

static const char *
copy_end(Copy *const c)
{
  copy_to(c, c->form->text_length);
  if (c->full) {
    *c->chart = rl_text_in(c->chart->to, c->chart->size);
    return "the chart would be longer than 16384 bytes; leave out comments or write repeats";
  }
  return NULL;
}

static const char *
bar_refused(const RlForm *const form, const int written)
{
  return written < 0 || written >= form->paper_bars ? "there is no such bar; choose one of the form"
                                                    : NULL;
}

static const char *
words_refused(const RlSlice words)
{
  static const char signs[] = "|[]:\r\n";
  for (size_t i = 0; i < words.length; ++i) {
    if (memchr(signs, words.at[i], sizeof(signs) - 1)) {
      return "a bar holds chords only; edit bar lines, repeats, sections and line breaks in the "
             "whole chart";
    }
  }
  for (size_t n = 0; n < words.length; ++n) {
    const bool    begins = n == 0 || blank_before(words, n);
    const RlSlice word   = rl_slice_after(words, n);
    if (begins && rl_chart_comment(word)) {
      return "a comment does not belong in a bar; write it in the whole chart";
    }
    if (begins && word.length > 1 && word.at[0] == 'x' && digit(word.at[1])) {
      return "how often a repeat plays does not belong in a bar; write it in the whole chart";
    }
  }
  return meters_at_head(words) == words.length ? "a bar cannot be empty; write I7, or %, or N.C."
                                               : NULL;
}

/* ---- the three edits ---- */

const char *
rl_chart_edit_bar(const RlForm *const form, const int written, const RlSlice words,
                  RlText *const chart)
{
  Copy              c       = copy_begin(form, chart);
  const RlSlice     trimmed = rl_chart_trim(words);
  const char *const no_bar  = bar_refused(form, written);
  const char *const refused = no_bar ? no_bar : words_refused(trimmed);
  if (refused) {
    return refused;
  }
  const RlSpan bar  = form->paper[written];
  Part         part = part_none(bar);
  if (same_words(form, bar, trimmed)) {
    return copy_end(&c);
  }
  part_next(form, bar, &part);
  remove_part(&c, part);
  copy_words(&c, rl_slice(guard(form, part.from, trimmed)));
  copy_words(&c, trimmed);
  while (part_next(form, bar, &part)) {
    remove_part(&c, part);
  }
  return copy_end(&c);
}

const char *
rl_chart_edit_insert(const RlForm *const form, const int written, const RlSlice words,
                     RlText *const chart)
{
  Copy              c       = copy_begin(form, chart);
  const RlSlice     trimmed = rl_chart_trim(words);
  const char *const no_bar  = bar_refused(form, written);
  const char *const refused = no_bar ? no_bar : words_refused(trimmed);
  if (refused) {
    return refused;
  }
  copy_to(&c, (size_t)form->paper[written].at + form->paper[written].length);
  copy_words(&c, rl_slice(" | "));
  copy_words(&c, trimmed);
  return copy_end(&c);
}

static size_t
blanks_from(const RlForm *const form, size_t at)
{
  for (size_t n = 0; (n = blank_at(text_of(form), at)) > 0;) {
    at += n;
  }
  return at;
}

/* Digits that count an ending; a slash behind them would make them a meter. */
static bool
ending_at(const RlForm *const form, size_t at)
{
  const bool digits = digit(form->text[at]);
  while (digit(form->text[at])) {
    ++at;
  }
  return digits && form->text[at] != '/';
}

/* The words of a bar with the plain bar line after them, so that no empty bar is left on paper; the
   words alone where that could join what they kept apart. */
static Part
with_its_bar_line(const RlForm *const form, Part words)
{
  const size_t line = blanks_from(form, words.to);
  const char   next = form->text[line] == '|' ? form->text[line + 1] : '|';
  if (next == '|' || next == ']' || next == ':' || ending_at(form, line + 1) ||
      begins_its_line(form, words.from)) {
    return words;
  }
  words.to        = blanks_from(form, line + 1);
  const char last = form->text[words.to];
  if (last == '\0' || last == '\r' || last == '\n') {
    words.to = line + 1;
    for (size_t n = 0; (n = blank_before(text_of(form), words.from)) > 0;) {
      words.from -= n;
    }
  }
  return words;
}

/* Removes a part, with a space in its place where the words around it would touch. */
static void
remove_apart(Copy *const c, const Part part)
{
  const char *const text  = c->form->text;
  const RlSlice     whole = text_of(c->form);
  const bool        touch = part.from > 0 && part.to < c->form->text_length &&
                     !blank_before(whole, part.from) && !blank_at(whole, part.to) &&
                     text[part.from - 1] != '\n' && text[part.to] != '\n' && text[part.to] != '\r';
  remove_part(c, part);
  copy_words(c, rl_slice(touch ? " " : ""));
}

/* Do the bars after this one play in the meter at its head? */
static bool
meter_needed(const RlForm *const form, const int written)
{
  return written + 1 < form->paper_bars && !digit(form->text[form->paper[written + 1].at]);
}

const char *
rl_chart_edit_delete(const RlForm *const form, const int written, RlText *const chart)
{
  Copy              c      = copy_begin(form, chart);
  const char *const no_bar = bar_refused(form, written);
  if (no_bar || form->paper_bars == 1) {
    return no_bar ? no_bar : "this is the only bar; change what is in it";
  }
  const RlSpan bar  = form->paper[written];
  const bool   keep = meter_needed(form, written);
  Part         part = part_none(bar);
  while (part_next(form, bar, &part)) {
    const size_t meters = keep ? meters_at_head(part_text(form, part)) : 0;
    const Part   words  = {part.from + meters, part.to};
    remove_apart(&c, with_its_bar_line(form, words));
  }
  return copy_end(&c);
}
