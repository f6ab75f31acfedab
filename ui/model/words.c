/* SPDX-License-Identifier: ISC */
#include "ui/model/words.h"

static char
lower(const char c)
{
  return (char)(c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c);
}

static bool
begins(const char *const text, const RlSlice word)
{
  size_t i = 0;
  while (i < word.length && text[i] && lower(text[i]) == lower(word.at[i])) {
    ++i;
  }
  return i == word.length;
}

static bool
has(const char *text, const RlSlice word)
{
  while (*text && !begins(text, word)) {
    ++text;
  }
  return *text;
}

bool
rl_words_all_in(const char *const text, RlSlice words)
{
  bool all = true;
  for (words = rl_slice_trim(words); all && words.length;) {
    const RlSlice word = {words.at, rl_slice_until(words, " ")};
    all                = has(text, word);
    words              = rl_slice_trim(rl_slice_after(words, word.length));
  }
  return all;
}
