/* SPDX-License-Identifier: ISC */
/* The order of play: repeats, their endings, and parts. The reader goes back in the text and reads
   again what is played again. */
#include "core/abc/reader.h"

#include <string.h>

enum { TIMES_MAX = 9 }; /* that a part is played */

static bool
is_digit(const char c)
{
  return c >= '0' && c <= '9';
}

static RlAbcPlace
place_of(const RlAbcReader *const r, const char *const at)
{
  return (RlAbcPlace){r->line, r->line_at, at};
}

/* Goes on at another place, where a new bar begins. */
static void
go_to(RlAbcReader *const r, const RlAbcPlace place)
{
  r->jump   = place;
  r->ended  = false;
  r->jumped = true;
}

/* A repeat without a sign of its own begins there. */
static void
section_at(RlAbcReader *const r, const RlAbcPlace place)
{
  r->from    = place;
  r->before  = r->rules;
  r->pass    = r->once ? 2 : 1;
  r->times   = 2;
  r->endings = 0;
}

void
rl_abc_section(RlAbcReader *const r, const char *const at)
{
  section_at(r, place_of(r, at));
}

/* ---- endings ---- */

/* Reads `1`, `1,3`, `1-3` from the front: a bit for each pass. */
static unsigned
endings_read(RlSlice *const rest)
{
  unsigned endings = 0;
  int      last    = TIMES_MAX + 1;
  bool     range   = false;
  while (rest->length && (is_digit(rest->at[0]) || (endings && strchr(",-.", rest->at[0])))) {
    if (is_digit(rest->at[0])) {
      const int n = rest->at[0] - '0';
      for (int i = range ? last : n; i <= n; ++i) {
        endings |= 1U << i;
      }
      last = n;
    }
    range = rest->at[0] == '-';
    *rest = rl_slice_after(*rest, 1);
  }
  return endings;
}

/* The place behind the number of the ending for `pass`; where there is none, the place behind the
   repeat sign of the ending that begins at `at`; nothing if it has none. */
static RlAbcPlace
ending_find(const RlAbcReader *const r, const char *const at, const int pass, bool *const found)
{
  RlAbcPlace place  = place_of(r, at);
  RlAbcPlace past   = {0};
  RlSlice    rest   = rl_slice_after(r->text, (size_t)(at - r->text.at));
  char       before = ' ';
  *found            = false;
  while (rest.length) {
    const char    c     = rest.at[0];
    const RlSlice after = rl_slice_after(rest, 1);
    const bool    line  = rest.at == place.line_at;
    if ((c == '|' || c == '[') && after.length && is_digit(after.at[0])) {
      RlSlice behind = after;
      *found         = endings_read(&behind) & (1U << pass);
      if (*found) {
        place.at = behind.at;
        return place;
      }
      past.at = NULL;
    } else if (past.at && !strchr(" \t\r\n|:[]", c)) {
      return past;
    } else if (before == ':' && (c == '|' || c == ':')) {
      past    = place;
      past.at = after.at;
    }
    if (before == '|' && c == ':') {
      break;
    }
    before = c;
    rest   = after;
    if (c == '"' || c == '%' ||
        (line && rl_abc_is_field((RlSlice){rest.at - 1, rest.length + 1}))) {
      rest = rl_slice_after(rest, rl_slice_until(rest, c == '"' ? "\"\n" : "\n"));
      rest = rl_slice_after(rest, c == '"' && rl_slice_begins(rest, "\""));
    }
    if (c == '\n') {
      ++place.line;
      place.line_at = rest.at;
    }
  }
  return past;
}

size_t
rl_abc_ending(RlAbcReader *const r, const RlSlice rest)
{
  RlSlice        after = rest;
  const unsigned mine  = endings_read(&after);
  const bool     alone = !r->endings && !(mine & 2U) && !r->once;
  bool           found = false;
  r->endings |= mine;
  if (mine & (1U << r->pass) || alone) {
    return rest.length - after.length;
  }
  const RlAbcPlace place = ending_find(r, after.at, r->pass, &found);
  if (place.at) {
    go_to(r, place);
    r->endings |= found ? 1U << r->pass : 0;
  }
  if (place.at && !found) {
    section_at(r, place);
  }
  return rest.length - after.length;
}

/* ---- repeats ---- */

/* At the end of a repeat: once more from its beginning? */
static bool
again(RlAbcReader *const r, const char *const after)
{
  const int next  = r->pass + 1;
  bool      found = false;
  if (r->once || next > TIMES_MAX) {
    return false;
  }
  if (!r->endings || r->pass == 1) {
    return next <= r->times;
  }
  if (!(r->endings & (1U << next))) {
    ending_find(r, after - 1, next, &found);
  }
  return found || r->endings & (1U << next);
}

/* `|`, `||`, `|:`, `:|`, `::`, `|]` and so on, and how often it says that what comes before and
   behind is played. */
static RlSlice
bar_token(RlSlice rest, int *const ends, int *const starts)
{
  const char *const from = rest.at;
  bool              line = false;
  *ends = *starts = 0;
  for (; rest.length; rest = rl_slice_after(rest, 1)) {
    const char c      = rest.at[0];
    const bool before = rest.at > from && rest.at[-1] == '|';
    const bool joins  = c == '[' && rest.length > 1 && rest.at[1] == '|';
    if (c != '|' && c != ':' && !(c == ']' && before) && !joins) {
      break;
    }
    line = line || c != ':';
    *(line ? starts : ends) += c == ':';
    if (c == '|' && *starts) { /* |:| */
      *ends   = *starts;
      *starts = 0;
    }
  }
  if (!line) { /* :: */
    *starts = *ends / 2;
    *ends -= *starts;
  }
  return (RlSlice){from, (size_t)(rest.at - from)};
}

size_t
rl_abc_bar_line(RlAbcReader *const r, const RlSlice rest)
{
  int           ends, starts;
  const RlSlice token   = bar_token(rest, &ends, &starts);
  const RlSlice after   = rl_slice_after(rest, token.length);
  const bool    ending  = after.length && is_digit(after.at[0]);
  const bool    section = ends || starts || ending || token.length > 1;
  if (rl_slice_is(token, ":")) {
    return (size_t)rl_abc_fail(r, rl_abc_mark(r, rest.at),
                               "a single : is not a bar line; write |: or :|");
  }
  if (!rl_abc_bar_close(r, section)) {
    return 0;
  }
  r->times = ends >= r->times ? ends + 1 : r->times;
  if (ends && again(r, after.at)) {
    const int32_t bar = r->rules.bar;
    go_to(r, r->from);
    r->counted = after.at;
    r->rules   = r->before;
    r->grid    = bar == r->rules.bar ? r->grid : r->now;
    ++r->pass;
    return rest.length;
  }
  if (starts || (!ending && (ends || (r->endings && token.length > 1)))) {
    rl_abc_section(r, after.at);
    r->times = starts + 1 > 2 ? starts + 1 : 2;
  }
  if (!ending) {
    return token.length;
  }
  const size_t n = rl_abc_ending(r, after);
  return n ? token.length + n : 0;
}

/* ---- parts ---- */

static bool
order_read(RlAbcReader *const r, RlSlice value)
{
  int used = 0;
  while (value.length) {
    const char c = value.at[0];
    value        = rl_slice_after(value, 1);
    if (strchr(". ", c)) {
      continue;
    }
    const int count = value.length && is_digit(value.at[0]) ? rl_abc_digits(&value) : 1;
    if (c < 'A' || c > 'Z' || count < 1 || count >= RL_ABC_PARTS_MAX - used) {
      return false;
    }
    memset(r->parts + used, c, (size_t)count);
    used += count;
  }
  return true;
}

bool
rl_abc_parts_order(RlAbcReader *const r, const RlSlice value)
{
  memset(r->parts, 0, sizeof(r->parts));
  if (r->once || !order_read(r, value)) {
    rl_abc_left(r, RL_ABC_LINES, value.at);
    memset(r->parts, 0, sizeof(r->parts));
  }
  return true;
}

/* The line behind `P:` with the letter; nothing if there is none. */
static RlAbcPlace
part_find(const RlAbcReader *const r, const char letter)
{
  RlAbcPlace place = r->body;
  RlSlice    rest  = rl_slice_after(r->text, (size_t)(place.line_at - r->text.at));
  while (rest.length) {
    const size_t  n    = rl_slice_until(rest, "\n");
    const RlSlice name = rl_slice_trim((RlSlice){rest.at, n});
    if (name.length > 2 && rl_slice_begins(name, "P:") &&
        rl_slice_begins(rl_slice_trim(rl_slice_after(name, 2)), (const char[2]){letter, '\0'})) {
      return (RlAbcPlace){place.line, rest.at, rest.at + n};
    }
    rest = rl_slice_after(rest, n + 1);
    ++place.line;
  }
  return (RlAbcPlace){0};
}

void
rl_abc_part_next(RlAbcReader *const r)
{
  const char letter = r->parts[r->part];
  if (!r->parts[0]) {
    return;
  }
  const RlAbcPlace place = letter ? part_find(r, letter) : (RlAbcPlace){0};
  bool             again = false;
  for (int i = 0; i < r->part; ++i) {
    again = again || r->parts[i] == letter;
  }
  if (!place.at) { /* no such part: played as it stands; or all are played */
    if (letter) {
      rl_abc_left(r, RL_ABC_LINES, r->line_at);
    }
    r->done     = !letter;
    r->parts[0] = '\0';
    return;
  }
  ++r->part;
  r->rules   = r->head;
  r->counted = again ? r->text.at + r->text.length : NULL;
  go_to(r, place);
  section_at(r, place);
}
