/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_search.h"

#include "ui/controller/controller_state.h"
#include "ui/model/words.h"

#include "core/phrase/edit.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* ---- what fits ---- */

/* Is it meant to be played over the chord with that root, so many half steps above the tonic? */
static bool
goes_over(const RlController *const c, const RlPhrase *const phrase, const RlSlice tune)
{
  static const int       roots[RL_ABC_OVERS] = {[RL_ABC_OVER_IV] = 5, [RL_ABC_OVER_V] = 7};
  const RlHarmony *const here                = &c->scratch.lane.over[0];
  const RlWritten        root                = phrase->chord[0].chord.root;
  const RlAbcTags        tags                = rl_abc_tags(tune);
  const int              tonic               = rl_spelling_class(rl_view_key(&c->view).tonic);
  const int              mine                = tags.over
                                                 ? roots[tags.over]
                                                 : rl_pitch_class(rl_spelling_class((RlSpelling){root.step, root.alter}) -
                                                                  rl_spelling_class(phrase->key.tonic));
  return here->sounding && rl_pitch_class(rl_harmony_root(here) - tonic) == mine;
}

static int
bars_of(const RlPhrase *const phrase)
{
  const int beats = phrase->meter_unit ? phrase->meter_beats : 4;
  const int unit  = phrase->meter_unit ? phrase->meter_unit : 4;
  const int bar   = RL_TICKS * 4 / unit * beats;
  return (phrase->lasts - phrase->pickup + bar - 1) / bar;
}

static RlPhraseFit
fit_find(RlController *const c, const int index, RlWaysWorkspace *const room)
{
  RlLaneWorkspace *const work = &c->scratch.lane;
  const RlView *const    v    = &c->view;
  const RlSlice          tune = rl_library_tune(&c->picker.library, index);
  RlPhraseFit            fit  = {.cost = -1};
  RlAbcError             error;
  if (c->picker.library.phrase[index].midi || !rl_abc_read(tune, &work->phrase, &error) ||
      !rl_lane_move_to(&v->phrases.planned, v->form, rl_view_key(v), work)) {
    return fit;
  }
  const RlWaysInput in = {.notes  = work->note,
                          .count  = work->phrase.notes,
                          .over   = work->over,
                          .harp   = rl_view_harp(v),
                          .player = rl_view_player(v)};
  fit.cost             = rl_ways_cost(&in, room);
  fit.onsets           = (uint16_t)rl_phrase_onsets(&work->phrase);
  fit.length           = (uint16_t)bars_of(&work->phrase);
  fit.over             = goes_over(c, &work->phrase, tune);
  return fit;
}

/* Without memory nothing fits. */
static void
fits_find(RlController *const c)
{
  RlWaysWorkspace *const room =
    c->search.fit_found ? NULL : (RlWaysWorkspace *)malloc(sizeof(RlWaysWorkspace));
  for (int i = 0; !c->search.fit_found && i < c->picker.library.count; ++i) {
    c->search.fit[i] = room && c->view.form ? fit_find(c, i, room) : (RlPhraseFit){.cost = -1};
  }
  c->search.fit_found = true;
  free(room);
}

static bool
fits(const RlViewList *const list, const RlPhraseFit *const fit)
{
  return !(list->over && !fit->over) &&
         !(list->length && (!fit->length || fit->length > list->length)) &&
         !(list->hard && fit->cost < 0) &&
         !(list->hard && list->hard <= (int)RL_HARD &&
           (int)rl_difficulty(fit->cost, fit->onsets) >= list->hard);
}

/* Does the list hang on what fits? */
static bool
asks(const RlViewList *const list)
{
  return list->over || list->length || list->hard || list->order > RL_LIST_BY_TITLE;
}

/* ---- the order ---- */

/* A phrase to be put in order: by `first`, then as it lies. */
typedef struct {
  int64_t     first;
  const char *title; /**< NULL: not by titles */
  int         number;
} Item;

static int
item_order(const void *const left, const void *const right)
{
  const Item *const a     = (const Item *)left;
  const Item *const b     = (const Item *)right;
  const int         words = a->title ? strcasecmp(a->title, b->title) : 0;
  return a->first != b->first ? (a->first < b->first ? -1 : 1)
         : words              ? words
                              : a->number - b->number;
}

/* What does not sit, or cannot be read, is the last. */
static int64_t
first_of(const RlListOrder order, const RlPhraseFit *const fit)
{
  enum { LAST = 1 << 30, PARTS = 1024 };
  return order == RL_LIST_BY_LENGTH ? (fit->length ? fit->length : LAST)
         : order == RL_LIST_BY_EASE
           ? (fit->cost < 0 || !fit->onsets ? LAST : (int64_t)fit->cost * PARTS / fit->onsets)
           : 0;
}

static void
order_make(RlController *const c, const int from)
{
  const RlListOrder order = c->view.phrases.list.order;
  const int         count = c->view.phrases.found_count - from;
  Item *const       item  = count > 1 ? (Item *)malloc((size_t)count * sizeof(Item)) : NULL;
  for (int i = 0; item && i < count; ++i) {
    const int number = c->search.found[from + i];
    item[i] =
      (Item){first_of(order, &c->search.fit[number - c->takes.phrase_count]),
             order == RL_LIST_BY_TITLE ? rl_view_phrase_title(&c->view, number) : NULL, number};
  }
  if (item) {
    qsort(item, (size_t)count, sizeof(Item), item_order);
  }
  for (int i = 0; item && i < count; ++i) {
    c->search.found[from + i] = item[i].number;
  }
  free(item);
}

/* ---- the list ---- */

static void
list_make(RlController *const c)
{
  RlView *const           v     = &c->view;
  const RlViewList *const list  = &v->phrases.list;
  const int               takes = c->takes.phrase_count;
  const int               all   = rl_view_searches(v) ? rl_view_phrases(v) : 0;
  int                     first = 0; /* of the library, in the list */
  v->phrases.found_count        = 0;
  if (all && asks(list)) {
    fits_find(c);
  }
  for (int i = 0; i < all; ++i) {
    first             = i == takes ? v->phrases.found_count : first;
    const bool listed = i < takes || !asks(list) || fits(list, &c->search.fit[i - takes]);
    if (listed && rl_words_all_in(rl_view_phrase_title(v, i), rl_slice(c->search.query))) {
      c->search.found[v->phrases.found_count++] = i;
    }
  }
  if (list->order && all > takes) {
    order_make(c, first);
  }
}

void
rl_search_update(RlController *const c)
{
  c->search.fit_found = false;
  list_make(c);
}

void
rl_search_fit_again(RlController *const c)
{
  c->search.fit_found = false;
  if (asks(&c->view.phrases.list) && c->view.screen == RL_SCREEN_PHRASES) {
    list_make(c);
  }
}

void
rl_search_set(RlController *const c, const char *const words)
{
  RlText text = rl_text_in(c->search.query, sizeof(c->search.query));
  rl_text_add(&text, words);
  c->view.scroll = 0;
  list_make(c);
}

void
rl_search_list(RlController *const c, const RlAction action)
{
  RlViewList *const list = &c->view.phrases.list;
  switch (action.kind) {
  case RL_ACTION_LIST_ORDER:
    list->order = (RlListOrder)((list->order + 1) % RL_LIST_ORDERS);
    break;
  case RL_ACTION_LIST_OVER:
    list->over = !list->over;
    break;
  case RL_ACTION_LIST_LENGTH:
    list->length = list->length == 4 ? 0 : list->length ? 2 * list->length : 1;
    break;
  default:
    list->hard = (list->hard + 1) % (RL_DIFFICULTIES + 1);
    break;
  }
  c->view.scroll = 0;
  list_make(c);
}

void
rl_search_select_first(RlController *const c)
{
  if (rl_view_listed(&c->view)) {
    rl_picker_change(c, (RlAction){RL_ACTION_PHRASE_SELECT, rl_view_listed_phrase(&c->view, 0)});
  }
}
