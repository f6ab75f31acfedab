/* SPDX-License-Identifier: ISC */
/* Phrases by their titles. */
#include "ui/controller/controller_state.h"

static char
small(const char c)
{
  return (char)(c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c);
}

static bool
begins(const char *const title, const RlSlice word)
{
  size_t i = 0;
  while (i < word.length && title[i] && small(title[i]) == small(word.at[i])) {
    ++i;
  }
  return i == word.length;
}

static bool
has(const char *title, const RlSlice word)
{
  while (*title && !begins(title, word)) {
    ++title;
  }
  return *title;
}

static bool
has_all(const char *const title, RlSlice words)
{
  bool all = true;
  for (words = rl_slice_trim(words); all && words.length;) {
    const RlSlice word = {words.at, rl_slice_until(words, " ")};
    all                = has(title, word);
    words              = rl_slice_trim(rl_slice_after(words, word.length));
  }
  return all;
}

void
rl_controller_find_again(RlController *const b)
{
  RlView *const v        = &b->view;
  const int     picks    = b->wanted[0] ? rl_view_phrases(v) : 0;
  v->phrases.found_count = 0;
  for (int i = 0; i < picks; ++i) {
    if (has_all(rl_view_phrase_title(v, i), rl_slice(b->wanted))) {
      b->found[v->phrases.found_count++] = i;
    }
  }
}

void
rl_controller_find(RlController *const b, const char *const words)
{
  RlText text = rl_text_in(b->wanted, sizeof(b->wanted));
  rl_text_add(&text, words);
  b->view.scroll = 0;
  rl_controller_find_again(b);
}

void
rl_controller_find_first(RlController *const b)
{
  if (rl_view_listed(&b->view)) {
    rl_controller_pick_turn(
      b, (RlAction){RL_ACTION_PHRASE_SELECT, rl_view_listed_phrase(&b->view, 0)});
  }
}
