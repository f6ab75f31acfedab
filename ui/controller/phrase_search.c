/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_search.h"

#include "ui/controller/controller_state.h"

static char
lower(const char c)
{
  return (char)(c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c);
}

static bool
begins(const char *const title, const RlSlice word)
{
  size_t i = 0;
  while (i < word.length && title[i] && lower(title[i]) == lower(word.at[i])) {
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
rl_search_update(RlController *const c)
{
  RlView *const v        = &c->view;
  const int     picks    = c->search.query[0] ? rl_view_phrases(v) : 0;
  v->phrases.found_count = 0;
  for (int i = 0; i < picks; ++i) {
    if (has_all(rl_view_phrase_title(v, i), rl_slice(c->search.query))) {
      c->search.found[v->phrases.found_count++] = i;
    }
  }
}

void
rl_search_set(RlController *const c, const char *const words)
{
  RlText text = rl_text_in(c->search.query, sizeof(c->search.query));
  rl_text_add(&text, words);
  c->view.scroll = 0;
  rl_search_update(c);
}

void
rl_search_select_first(RlController *const c)
{
  if (rl_view_listed(&c->view)) {
    rl_picker_change(c, (RlAction){RL_ACTION_PHRASE_SELECT, rl_view_listed_phrase(&c->view, 0)});
  }
}
