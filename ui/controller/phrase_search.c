/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_search.h"

#include "ui/controller/controller_state.h"
#include "ui/model/words.h"

void
rl_search_update(RlController *const c)
{
  RlView *const v        = &c->view;
  const int     picks    = c->search.query[0] ? rl_view_phrases(v) : 0;
  v->phrases.found_count = 0;
  for (int i = 0; i < picks; ++i) {
    if (rl_words_all_in(rl_view_phrase_title(v, i), rl_slice(c->search.query))) {
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
