/* SPDX-License-Identifier: ISC */
/* Which bars the sheet has, and what sounds in them in each chorus. Pure. Times are ticks
   (RL_TICKS to a quarter note); bar n is counted from 0 (bar 1), goes on in the ending, and is
   negative before bar 1. */
#ifndef RL_UI_PAPER_SONG_H
#define RL_UI_PAPER_SONG_H

#include "core/arrange/rhythm.h"
#include "ui/paper/sheet.h"

/** Notes that begin at once. */
typedef struct {
  RlSound  sound;                    /**< in the bar */
  uint16_t note[RL_PHRASE_TOGETHER]; /**< indices in RlLane.note, low to high */
  uint8_t  notes;                    /**< at least 1 */
} RlSongSound;

/** A bar of the sheet. */
typedef struct {
  RlPlace place;    /**< in chorus 1, or in the ending */
  double  from, to; /**< ticks from the first beat of bar 1 in chorus 1 */
} RlSongBar;

enum { RL_SONG_VERSIONS_MAX = 60 };

/** What a row of bars sounds like, and in which choruses. */
typedef struct {
  int  chorus;    /**< one of them */
  char name[256]; /**< `choruses 1 3`; empty: in all */
} RlSongVersion;

/** How many bars before bar 1 have pickup notes in them, or lie between those and bar 1; 0..8. */
int rl_song_pickup_bars(const RlSheet *sheet);

RlSongBar rl_song_bar(const RlSheet *sheet, int n);

/** What sounds in a bar in a chorus (from 1; without meaning outside the choruses): up to
    RL_SOUNDS_MAX `sounds`, each ending where the next one begins. Returns how many. */
int rl_song_sounds(const RlSheet *sheet, const RlSongBar *bar, int chorus, RlSongSound *sounds);

/** The versions of `count` bars from the n-th on that have notes: up to RL_SONG_VERSIONS_MAX, in
    the order of their first choruses. Returns how many. */
int rl_song_versions(const RlSheet *sheet, int n, int count, RlSongVersion *versions);

/** How a planned phrase is cut, and in which choruses. */
typedef struct {
  RlLaneFate fate;
  char       name[256]; /**< `chorus 2`; empty: in all in which it is planned */
} RlSongCut;

/** All cuts of a phrase of the plan: up to RL_SONG_VERSIONS_MAX, in the order of their first
    choruses. Returns how many: none if it is played whole. */
int rl_song_cuts(const RlSheet *sheet, int planned, RlSongCut *cuts);

#endif
