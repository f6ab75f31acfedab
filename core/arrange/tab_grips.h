/* SPDX-License-Identifier: ISC */
/* Private to tab: every way to play the notes of one onset, with what it costs by itself. */
#ifndef RL_CORE_ARRANGE_TAB_GRIPS_H
#define RL_CORE_ARRANGE_TAB_GRIPS_H

#include "core/arrange/tab.h"

/** What rl_tab_fit() was called with. */
typedef struct {
  const RlNote    *notes;
  int              count;
  const RlHarmony *over;
  const RlHarp    *harp;
  RlPlayer         player;
  RlTabWorkspace  *workspace;
  bool             whole; /**< every note, as it is written, or nothing */
} RlTabFit;

/** The notes of one onset, the highest last. */
typedef struct {
  const RlNote *note;
  int           count;
} RlTabOnset;

/** Finds where each pitch is on this harp, for this player, and the doubles: the pitches that two
    unbent reeds sound. No double is bound to one of them. */
void rl_tab_places_find(const RlTabFit *f);

/** Binds each double to one of its two reeds: bit n of `reeds` is the index for double n. Each note
    of that pitch that is played otherwise costs RL_TAB_OTHER_WAY from now on. */
void rl_tab_doubles_bind(const RlTabFit *f, int reeds);

/** Every way to play the notes of one onset, into grip[0]. Nearer octaves come first, lower before
    higher: of equal costs the first one is kept. None of a `whole` fit that cannot be. */
void rl_tab_grips_find(const RlTabFit *f, const RlTabOnset *onset);

#endif
