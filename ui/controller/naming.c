/* SPDX-License-Identifier: ISC */
#include "ui/controller/naming.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/phrase_edits.h"

#include <stdlib.h>
#include <string.h>

void
rl_naming_open(RlController *const c, const char *const title)
{
  rl_search_set(c, "");
  rl_editing_open_words(c, RL_EDIT_TITLE, title);
  c->view.phrases.just_kept = true;
  if (!rl_phrase_files_select(c, title)) {
    rl_editing_end(c);
  }
}

/* Does a plan that has a phrase of that title read as it was written? Signs that ABC or a plan has
   a use for may not; and the library shows titles as they stand in the file. */
static bool
reads_back(RlController *const c, const char *const title, const RlPhrase *const phrase)
{
  const RlPlanned at   = {.bar = 1, .move = RL_MOVE_CHORD};
  RlPhrase *const read = (RlPhrase *)malloc(sizeof(RlPhrase));
  char *const     tune = (char *)malloc(RL_ABC_MAX);
  bool            same = false;
  RlPlanError     error;
  if (read && tune && !strpbrk(title, "%\\")) {
    RlText abc  = rl_text_in(tune, RL_ABC_MAX);
    RlText text = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
    *read       = *phrase;
    RlText name = rl_text_in(read->title, sizeof(read->title));
    rl_text_add(&name, title);
    rl_plan_line(&at, title, &text);
    rl_text_add(&text, "\n\n");
    rl_text_add_slice(&text, rl_abc_tune(read, &abc));
    same = rl_plan_read(rl_slice(c->scratch.text), read, &c->scratch.plan, &error) &&
           c->scratch.plan.phrase_count == 1 && !strcmp(c->scratch.plan.phrase[0].title, title);
  }
  free(read);
  free(tune);
  return same;
}

/* Why a phrase cannot have that title; NULL: it can. */
static const char *
title_wrong(RlController *const c, const RlSlice typed, const char *const title,
            const RlPhrase *const phrase)
{
  const bool taken = rl_library_has(&c->picker.library, title) ||
                     rl_plan_find(&c->takes, title) >= 0 || rl_plan_find(&c->plan, title) >= 0;
  return !typed.length                             ? "write a title, or press Escape"
         : typed.length > RL_PHRASE_TITLE_SIZE - 1 ? "too long; a title has up to 63 bytes"
         : taken ? "another phrase has that title; write another one"
         : !reads_back(c, title, phrase)
           ? "a title cannot have those signs; write letters, figures, spaces"
           : NULL;
}

/* The selected phrase, as it was kept. */
static bool
phrase_read(RlController *const c, RlPhrase *const phrase)
{
  const RlView *const v = &c->view;
  RlAbcError          error;
  return v->phrases.selected >= c->takes.phrase_count && v->phrases.selected < rl_view_phrases(v) &&
         rl_abc_read(rl_view_phrase_tune(v, v->phrases.selected), phrase, &error);
}

/* Of a phrase that was in the library before. */
static bool
title_change(RlController *const c, const char *const title)
{
  if (!rl_phrase_edits_title(c, title)) {
    return false;
  }
  rl_editing_end(c);
  rl_phrase_files_show(c);
  return true;
}

bool
rl_naming_keep(RlController *const c)
{
  const RlSlice     typed = rl_slice_trim(rl_slice(c->editing.input.text));
  char              title[RL_PHRASE_TITLE_SIZE];
  RlText            text   = rl_text_in(title, sizeof(title));
  const char *const folder = c->picker.folder[0] ? c->picker.folder : NULL;
  RlPhrase *const   phrase = &c->scratch.lane.phrase;
  rl_text_add_slice(&text, typed);
  if (!phrase_read(c, phrase)) {
    return true; /* somebody has taken it away */
  }
  if (rl_slice_is(typed, phrase->title)) {
    return true;
  }
  const char *const wrong = title_wrong(c, typed, title, phrase);
  if (wrong) {
    rl_editing_error(c, wrong);
    return false;
  }
  if (!c->view.phrases.just_kept) {
    return title_change(c, title);
  }
  if (!rl_library_rename(&c->picker.library, folder, phrase, title)) {
    rl_editing_error(c, c->picker.library.problem);
    return false;
  }
  rl_search_update(c);
  rl_editing_end(c);
  rl_phrase_files_select(c, title);
  return true;
}

void
rl_naming_leave(RlController *const c)
{
  const int    scroll = c->view.scroll;
  const RlEdit edit   = c->view.edit.kind;
  if (rl_view_types_phrase(&c->view)) {
    if (edit == RL_EDIT_TITLE) {
      rl_naming_keep(c);
    } else {
      rl_phrase_edits_keep(c);
    }
    rl_editing_end(c);
    c->view.scroll = scroll;
  }
}
