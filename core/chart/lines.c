/* SPDX-License-Identifier: ISC */
#include "core/chart/reader.h"

#include <string.h>

size_t
rl_chart_blank(const RlSlice rest)
{
  static const char *const blanks[] = {" ", "\t", "\r", "\xC2\xA0", "\xE2\x80\xAF"};
  for (size_t i = 0; i < sizeof(blanks) / sizeof(blanks[0]); ++i) {
    if (rl_slice_begins(rest, blanks[i])) {
      return strlen(blanks[i]);
    }
  }
  return 0;
}

/* Bytes of the blank at the end. */
static size_t
blank_behind(const RlSlice slice)
{
  for (size_t n = 1; n <= 3 && n <= slice.length; ++n) {
    if (rl_chart_blank(rl_slice_after(slice, slice.length - n)) == n) {
      return n;
    }
  }
  return 0;
}

RlSlice
rl_chart_trim(RlSlice slice)
{
  for (size_t n = 0; (n = rl_chart_blank(slice)) > 0;) {
    slice = rl_slice_after(slice, n);
  }
  for (size_t n = 0; (n = blank_behind(slice)) > 0;) {
    slice.length -= n;
  }
  return slice;
}

size_t
rl_chart_word(const RlSlice slice)
{
  size_t n = 0;
  while (n < slice.length && !rl_chart_blank(rl_slice_after(slice, n))) {
    ++n;
  }
  return n;
}

bool
rl_chart_comment(const RlSlice rest)
{
  return rl_slice_begins(rest, "#") &&
         (rest.length == 1 || rl_chart_blank(rl_slice_after(rest, 1)));
}

RlSlice
rl_chart_line_next(RlSlice *const rest)
{
  size_t n = 0;
  while (n < rest->length && rest->at[n] != '\n') {
    ++n;
  }
  const RlSlice line = {rest->at, n};
  *rest              = rl_slice_after(*rest, n + 1);
  return rl_chart_trim(line);
}

static bool
name_byte(const char c)
{
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
         c == '_';
}

size_t
rl_chart_header_name(const RlSlice line)
{
  size_t n = 0;
  while (n < line.length && name_byte(line.at[n])) {
    ++n;
  }
  const bool colon = n < line.length && line.at[n] == ':';
  const bool bar   = n + 1 < line.length && line.at[n + 1] == '|';
  return colon && !bar ? n : 0;
}

static char
small(const char c)
{
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool
rl_chart_same_word(const RlSlice word, const char *const lower_case)
{
  if (word.length != strlen(lower_case)) {
    return false;
  }
  for (size_t i = 0; i < word.length; ++i) {
    if (small(word.at[i]) != lower_case[i]) {
      return false;
    }
  }
  return true;
}

RlSpan
rl_chart_span(const RlForm *const form, const RlSlice slice)
{
  return (RlSpan){(uint16_t)(slice.at - form->text), (uint16_t)slice.length};
}

bool
rl_chart_meter(const RlSlice text, int *const beats, int *const unit)
{
  const size_t slash = rl_slice_until(text, "/");
  *beats             = rl_slice_number((RlSlice){text.at, slash});
  *unit              = rl_slice_number(rl_slice_after(text, slash + 1));
  return *beats >= 1 && *beats <= RL_BAR_BEATS_MAX && *unit >= 1 && *unit <= 32 &&
         !(*unit & (*unit - 1));
}
