/* SPDX-License-Identifier: ISC */
#include "ui/controller/takes.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/naming.h"

#include "plugin/protocol/take_edit.h"

#include <stdlib.h>
#include <string.h>

static const char no_room[] = "no room for more; take phrases out of the plan";
static const char no_take[] = "that take no longer exists; choose one that does";
static const char no_memory[] =
  "not enough memory to change it; close another program and do it again";

/* Begins an edit of a take (plugin/protocol/take_edit.h) in the scratch text. */
static RlText
edit_begin(RlController *const c, const RlTakeVerb verb, const char *const title)
{
  RlText text = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  rl_take_edit_begin(&text, verb, title, c->takes.taken);
  return text;
}

/* Memory to work in: a tune, and the takes as they will be after an edit. */
typedef struct {
  char tune[RL_ABC_MAX], takes[RL_PLAN_MAX + 1];
} Workspace;

/* The takes as they will be once the edits sent before have arrived. */
static const RlPlan *
takes_expected(RlController *const c)
{
  RlPlanError error;
  return strcmp(rl_undo_text(c, RL_TAKE), c->takes.text) != 0 &&
             rl_plan_read(rl_slice(rl_undo_text(c, RL_TAKE)), &c->scratch.lane.phrase,
                          &c->scratch.plan, &error)
           ? &c->scratch.plan
           : &c->takes;
}

/* `after` are the takes as the plugin will have them: it edits them itself. */
static void
edit_send(RlController *const c, const RlText *const text, const char *const after)
{
  enum { CHARACTER = 4 }; /* bytes of UTF-8 at most: a text that was cut may end this much early */
  if (text->used + CHARACTER > text->size) {
    rl_editing_error(c, no_room);
  } else {
    rl_undo_note_text(c, RL_TAKE, after);
    c->plugin.set_text(c->plugin.data, RL_TAKE_EDIT, c->scratch.text);
  }
}

static const char *
selected_title(const RlController *const c)
{
  return c->takes.phrase[c->view.phrases.selected].title;
}

/* Sends a phrase, played on that bar, as a new take. */
static void
take_add(RlController *const c, const RlPhrase *const phrase, const int bar, Workspace *const w)
{
  RlText            abc   = rl_text_in(w->tune, sizeof(w->tune));
  RlText            whole = rl_text_in(w->takes, sizeof(w->takes));
  const RlPlanned   at    = {.bar = (uint16_t)bar, .move = RL_MOVE_CHORD};
  const RlSlice     lines = rl_abc_tune(phrase, &abc);
  const char *const why   = rl_plan_add(takes_expected(c), &at, phrase->title, lines, &whole);
  if (why) {
    rl_editing_error(c, why);
    return;
  }
  RlText text = edit_begin(c, RL_TAKE_ADD, "");
  rl_plan_line(&at, phrase->title, &text);
  rl_text_add(&text, "\n\n");
  rl_text_add_slice(&text, lines);
  edit_send(c, &text, w->takes);
}

void
rl_takes_add_phrase(RlController *const c, const RlPhrase *const phrase, const int bar)
{
  Workspace *const w = (Workspace *)malloc(sizeof(Workspace));
  if (!w) {
    rl_editing_error(c, no_memory);
  } else if (rl_plan_find(&c->takes, phrase->title) < 0) {
    take_add(c, phrase, bar, w);
  }
  free(w);
}

void
rl_takes_add_midi(RlController *const c)
{
  const RlView *const v     = &c->view;
  const int           index = v->phrases.selected - c->takes.phrase_count;
  RlPhrase *const     p     = &c->scratch.lane.phrase;
  Workspace *const    w     = (Workspace *)malloc(sizeof(Workspace));
  RlText              words = rl_text_in(c->editing.error, sizeof(c->editing.error));
  int                 bar   = 1;
  if (!w) {
    rl_text_add(&words, no_memory);
  } else if (rl_plan_find(&c->takes, c->picker.library.phrase[index].title) >= 0) {
    rl_text_add(&words, "it is among the takes already");
  } else if (c->picker.library.phrase[index].clip) {
    rl_clips_select(c, index);
  } else if (rl_library_midi(&c->picker.library, index, v->form, rl_view_key(v), p, &bar, &words)) {
    take_add(c, p, bar, w);
  }
  free(w);
}

/* The bar on which a take was played. */
static int
take_bar(const RlPlan *const takes, const int index)
{
  int at = 0;
  while (at < takes->planned_count && takes->planned[at].phrase != index) {
    ++at;
  }
  return at < takes->planned_count ? takes->planned[at].bar : 1;
}

void
rl_takes_select_newest(RlController *const c)
{
  RlView *const v        = &c->view;
  v->phrases.selected    = c->takes.phrase_count - 1;
  c->picker.note         = 0;
  v->phrases.planned.bar = (uint16_t)take_bar(&c->takes, v->phrases.selected);
  v->scroll              = 0;
}

void
rl_takes_added(RlController *const c, const int before)
{
  RlView *const v = &c->view;
  rl_take_picture_forget(c);
  if (v->screen == RL_SCREEN_PHRASES && !rl_view_types_phrase(v)) {
    rl_takes_select_newest(c);
  } else if (v->phrases.selected >= before) {
    v->phrases.selected += c->takes.phrase_count - before; /* the same phrase of the library */
  }
}

void
rl_takes_removed(RlController *const c, const int before)
{
  RlView *const v    = &c->view;
  const int     gone = before - c->takes.phrase_count;
  if (gone > 0 && v->phrases.selected >= before) {
    v->phrases.selected -= gone; /* the same phrase of the library */
  } else if (gone > 0 && v->phrases.selected >= c->takes.phrase_count) {
    v->phrases.selected = c->takes.phrase_count - 1; /* the last take, or none */
  }
  v->phrases.selected = v->phrases.selected < rl_view_phrases(v) ? v->phrases.selected : -1;
}

static void
take_drop(RlController *const c, const RlTakeVerb verb)
{
  Workspace *const    w     = (Workspace *)malloc(sizeof(Workspace));
  const RlPlan *const takes = takes_expected(c);
  const int           index = rl_plan_find(takes, selected_title(c));
  if (!w) {
    rl_editing_error(c, no_memory);
  } else if (index >= 0) { /* else it is gone already */
    RlText after = rl_text_in(w->takes, sizeof(w->takes));
    rl_plan_drop(takes, index, &after);
    const RlText text = edit_begin(c, verb, selected_title(c));
    edit_send(c, &text, w->takes);
  }
  free(w);
}

/* Sends another tune for the selected take. */
static void
take_change(RlController *const c, const RlPhrase *const phrase, Workspace *const w)
{
  RlText              abc   = rl_text_in(w->tune, sizeof(w->tune));
  RlText              whole = rl_text_in(w->takes, sizeof(w->takes));
  const RlSlice       lines = rl_abc_tune(phrase, &abc);
  const RlPlan *const takes = takes_expected(c);
  const int           index = rl_plan_find(takes, selected_title(c));
  const char *const   why   = index < 0 ? no_take : rl_plan_change(takes, index, lines, &whole);
  rl_editing_error(c, why ? why : "");
  if (!why) {
    RlText text = edit_begin(c, RL_TAKE_CHANGE, selected_title(c));
    rl_text_add(&text, "\n");
    rl_text_add_slice(&text, lines);
    edit_send(c, &text, w->takes);
  }
}

bool
rl_takes_read(RlController *const c, RlPhrase *const phrase)
{
  const RlPlan *const takes = takes_expected(c);
  const int           index = rl_plan_find(takes, selected_title(c));
  if (index >= 0) {
    rl_plan_phrase(takes, index, phrase);
  } else {
    rl_editing_error(c, no_take);
  }
  return index >= 0;
}

void
rl_takes_write(RlController *const c, const RlPhrase *const phrase)
{
  Workspace *const w = (Workspace *)malloc(sizeof(Workspace));
  if (w) {
    take_change(c, phrase, w);
  } else {
    rl_editing_error(c, no_memory);
  }
  free(w);
}

static void
take_keep(RlController *const c, RlPhrase *const phrase)
{
  if (rl_library_keep(&c->picker.library, c->picker.folder[0] ? c->picker.folder : NULL, phrase)) {
    char   kept[RL_PHRASE_TITLE_SIZE];
    RlText title = rl_text_in(kept, sizeof(kept));
    rl_text_add(&title, phrase->title);
    take_drop(c, RL_TAKE_KEEP);
    rl_search_update(c);
    rl_naming_open(c, kept);
  } else {
    rl_editing_error(c, c->picker.library.problem);
  }
}

void
rl_takes_change(RlController *const c, const RlAction action)
{
  RlPhrase *const phrase = &c->scratch.lane.phrase;
  if (!rl_view_is_take(&c->view, c->view.phrases.selected)) {
    return;
  }
  rl_editing_error(c, "");
  if (action.kind == RL_ACTION_TAKE_DISCARD) {
    take_drop(c, RL_TAKE_DROP);
  } else if (rl_takes_read(c, phrase)) {
    take_keep(c, phrase);
  }
}
