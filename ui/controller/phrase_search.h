/* SPDX-License-Identifier: ISC */
/* Which phrases are listed, in which order: by their titles, where a phrase is found if its title
   contains every word of the query, in any order, upper or lower case (ASCII); and by what fits the
   bar in hand, on the harp in hand. Takes are listed first, and only searched by title. */
#ifndef RL_UI_CONTROLLER_PHRASE_SEARCH_H
#define RL_UI_CONTROLLER_PHRASE_SEARCH_H

#include "ui/controller/controller.h"

/** What a phrase of the library is on the bar in hand. */
typedef struct {
  int32_t  cost; /**< as rl_ways_cost(): -1 if it does not sit */
  uint16_t onsets;
  uint16_t length; /**< bars begun, from 1; 0: it cannot be read */
  bool     over;   /**< it goes over the bar's chord: tagged so, or written over such a chord */
} RlPhraseFit;

typedef struct {
  char query[RL_PHRASE_TITLE_SIZE]; /**< words separated by spaces; empty: all are listed */
  int  found[RL_LIBRARY_MAX + RL_PLAN_PHRASES_MAX]; /**< numbers of phrases, see RlViewPhrases */
  RlPhraseFit fit[RL_LIBRARY_MAX];
  bool        fit_found; /**< those are true */
} RlPhraseSearch;

/** Searches for these words and scrolls to the first phrase found; "" lists all again. */
void rl_search_set(RlController *controller, const char *words);

/** Searches again: takes or library have changed. */
void rl_search_update(RlController *controller);

/** The same, after bar, chart, harp or player have changed; nothing is done where that is of no
    account. */
void rl_search_fit_again(RlController *controller);

/** RL_ACTION_LIST_...: lists others, or in another order. */
void rl_search_list(RlController *controller, RlAction action);

/** Selects the first phrase listed, if there is one. */
void rl_search_select_first(RlController *controller);

#endif
