/* SPDX-License-Identifier: ISC */
#include "core/text/text.h"

#include <assert.h>
#include <stdbool.h>
#include <string.h>

RlText
rl_text_in(char *const buffer, const size_t size)
{
  assert(buffer && size > 0);
  buffer[0] = '\0';
  return (RlText){buffer, size, 0};
}

static bool
continues(const char byte)
{
  return ((unsigned char)byte & 0xC0U) == 0x80U;
}

void
rl_text_add_slice(RlText *const text, const RlSlice slice)
{
  assert(text->used < text->size && (slice.at || !slice.length));
  const size_t free_bytes = text->size - text->used - 1;
  size_t       n          = slice.length < free_bytes ? slice.length : free_bytes;
  while (n > 0 && n < slice.length && continues(slice.at[n])) {
    --n;
  }
  if (n > 0) {
    memcpy(text->to + text->used, slice.at, n);
  }
  text->used += n;
  text->to[text->used] = '\0';
}

void
rl_text_add(RlText *const text, const char *const string)
{
  rl_text_add_slice(text, rl_slice(string));
}

void
rl_text_add_int(RlText *const text, const int64_t number)
{
  char     digits[21];
  size_t   at   = sizeof(digits);
  uint64_t rest = number < 0 ? 0U - (uint64_t)number : (uint64_t)number;
  do {
    digits[--at] = (char)('0' + (char)(rest % 10U));
    rest /= 10U;
  } while (rest);
  if (number < 0) {
    digits[--at] = '-';
  }
  rl_text_add_slice(text, (RlSlice){digits + at, sizeof(digits) - at});
}

void
rl_text_add_quote(RlText *const text, const RlSlice quoted)
{
  enum { QUOTE_MAX = 40 };
  const size_t left  = text->size - text->used;
  RlText       quote = {text->to + text->used, left < QUOTE_MAX ? left : QUOTE_MAX, 0};
  rl_text_add_slice(&quote, quoted);
  text->used += quote.used;
}

RlSlice
rl_slice(const char *const string)
{
  return (RlSlice){string, strlen(string)};
}

int
rl_slice_begins(const RlSlice slice, const char *const prefix)
{
  const size_t n = strlen(prefix);
  return slice.length >= n && !memcmp(slice.at, prefix, n);
}

int
rl_slice_is(const RlSlice slice, const char *const string)
{
  return slice.length == strlen(string) && rl_slice_begins(slice, string);
}

RlSlice
rl_slice_after(const RlSlice slice, const size_t bytes)
{
  const size_t n = bytes < slice.length ? bytes : slice.length;
  return (RlSlice){slice.at + n, slice.length - n};
}

static bool
blank(const char c)
{
  return c == ' ' || c == '\t' || c == '\r';
}

size_t
rl_slice_until(const RlSlice slice, const char *const stops)
{
  size_t n = 0;
  while (n < slice.length && (!slice.at[n] || !strchr(stops, slice.at[n]))) {
    ++n;
  }
  return n;
}

RlSlice
rl_slice_trim(RlSlice slice)
{
  while (slice.length && blank(slice.at[0])) {
    slice = rl_slice_after(slice, 1);
  }
  while (slice.length && blank(slice.at[slice.length - 1])) {
    --slice.length;
  }
  return slice;
}

int
rl_slice_number(const RlSlice slice)
{
  int number = 0;
  if (slice.length < 1 || slice.length > 6) {
    return -1;
  }
  for (size_t i = 0; i < slice.length; ++i) {
    if (slice.at[i] < '0' || slice.at[i] > '9') {
      return -1;
    }
    number = number * 10 + (slice.at[i] - '0');
  }
  return number;
}

/* Well-formed byte sequences, RFC 3629 section 4: range of the lead byte, how many bytes follow,
   and the range of the first of those, which excludes overlong forms, surrogates and anything past
   U+10FFFF. */
static const struct {
  unsigned char lead_from, lead_to, follow, first_from, first_to;
} sequences[] = {
  {0x00, 0x7F, 0, 0x00, 0x00}, {0xC2, 0xDF, 1, 0x80, 0xBF}, {0xE0, 0xE0, 2, 0xA0, 0xBF},
  {0xE1, 0xEC, 2, 0x80, 0xBF}, {0xED, 0xED, 2, 0x80, 0x9F}, {0xEE, 0xEF, 2, 0x80, 0xBF},
  {0xF0, 0xF0, 3, 0x90, 0xBF}, {0xF1, 0xF3, 3, 0x80, 0xBF}, {0xF4, 0xF4, 3, 0x80, 0x8F},
};

/* Bytes of the well-formed character at the start of `slice`, 0 if there is none. */
static size_t
character_length(const RlSlice slice)
{
  const unsigned char *const b = (const unsigned char *)slice.at;
  for (size_t s = 0; s < sizeof(sequences) / sizeof(sequences[0]); ++s) {
    if (b[0] < sequences[s].lead_from || b[0] > sequences[s].lead_to) {
      continue;
    }
    const size_t follow = sequences[s].follow;
    if (slice.length < 1 + follow ||
        (follow && (b[1] < sequences[s].first_from || b[1] > sequences[s].first_to))) {
      return 0;
    }
    for (size_t i = 2; i <= follow; ++i) {
      if (!continues(slice.at[i])) {
        return 0;
      }
    }
    return 1 + follow;
  }
  return 0;
}

ptrdiff_t
rl_slice_bad_byte(const RlSlice slice)
{
  for (size_t at = 0; at < slice.length;) {
    const unsigned char c = (unsigned char)slice.at[at];
    const size_t        n = character_length(rl_slice_after(slice, at));
    if (!n || (c < 0x20 && c != '\t' && c != '\r' && c != '\n') || c == 0x7F ||
        (c == 0xC2 && (unsigned char)slice.at[at + 1] < 0xA0)) {
      return (ptrdiff_t)at;
    }
    at += n;
  }
  return -1;
}
