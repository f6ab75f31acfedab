/* SPDX-License-Identifier: ISC */
/* Phrases by their titles: a phrase is found if its title contains every word of the query, in any
   order, upper or lower case (ASCII). */
#ifndef RL_UI_CONTROLLER_PHRASE_SEARCH_H
#define RL_UI_CONTROLLER_PHRASE_SEARCH_H

#include "ui/controller/controller.h"

typedef struct {
  char query[RL_PHRASE_TITLE_SIZE]; /**< words separated by spaces; empty: all are listed */
  int  found[RL_LIBRARY_MAX + RL_PLAN_PHRASES_MAX]; /**< numbers of phrases, see RlViewPhrases */
} RlPhraseSearch;

/** Searches for these words and scrolls to the first phrase found; "" lists all again. */
void rl_search_set(RlController *controller, const char *words);

/** Searches again: takes or library have changed. */
void rl_search_update(RlController *controller);

/** Selects the first phrase listed, if there is one. */
void rl_search_select_first(RlController *controller);

#endif
