/* SPDX-License-Identifier: ISC */
/* One bar's notes as symbols, and the slots they stand in: head, hole, degree and count share a
   slot, so that they cannot drift apart. Lengths are points, times are ticks. */
#ifndef RL_UI_PAPER_BAR_LAYOUT_H
#define RL_UI_PAPER_BAR_LAYOUT_H

#include "ui/paper/song.h"

enum {
  RL_BAR_PARTS_MAX = 4, /**< into which a felt beat is counted: rl_rhythm_count() */
  RL_BAR_SLOTS_MAX = RL_SYMBOLS_MAX + RL_BAR_PARTS_MAX * RL_BAR_BEATS_MAX
};

/** A place in a bar where something stands: a symbol, a word of the count, or both. */
typedef struct {
  int32_t at;
  int16_t symbol;            /**< index, -1: none begins here */
  int16_t sound;             /**< index of a sound that begins here, -1: none */
  uint8_t beat, parts, part; /**< of the count: felt beat from 0, cut into `parts`; part from 0 */
  bool    counted;
  double  needs;  /**< how wide what stands there is, and a gap */
  double  x, w;   /**< set by rl_bar_layout_place(): left edge and width */
  double  column; /**< likewise: the width in which everything is centred */
} RlBarSlot;

/** About 90 KiB. */
typedef struct {
  const RlSheet *sheet;
  RlSongBar      bar;
  RlSongSound    sound[RL_SOUNDS_MAX];
  RlSymbol       symbol[RL_SYMBOLS_MAX];
  RlBarSlot      slot[RL_BAR_SLOTS_MAX]; /**< in order of `at` */
  int            sounds, symbols, slots;
  double shrink; /**< set by rl_bar_layout_place(): of all words, where the cell is narrow */
} RlBarLayout;

/** Sizes of the words in a slot, in points. */
extern const double rl_bar_figure_size, rl_bar_degree_size, rl_bar_count_size;

/** Works out a bar's symbols and slots in that chorus; none is placed yet. */
void rl_bar_layout_make(const RlSheet *sheet, const RlSongBar *bar, int chorus,
                        RlBarLayout *layout);

/** How wide the bar must be for nothing to shrink; 0 where nothing sounds. */
double rl_bar_layout_width(const RlBarLayout *layout);

/** Places the slots in a cell: each as wide as it needs, what is left goes by time. */
void rl_bar_layout_place(RlBarLayout *layout, RlRect cell);

/** The x of a moment (ticks in the bar), inside the cell in which it was placed. */
double rl_bar_layout_x(const RlBarLayout *layout, RlRect cell, double ticks);

/** Note i of a sound, as the lane has it. */
const RlLaneNote *rl_bar_layout_note(const RlBarLayout *layout, const RlSongSound *sound, int i);

/** Appends the holes of a sound that are blown, or with `draws` drawn: `2+3`. Nothing where there
    are none. */
void rl_bar_figures(const RlBarLayout *layout, const RlSongSound *sound, bool draws, RlText *text);

/** Appends the degree of a sound's highest note. */
void rl_bar_degree(const RlBarLayout *layout, const RlSongSound *sound, RlText *text);

/** Appends what is counted at a slot: `1`, `&`, `trip`. */
void rl_bar_count(const RlBarSlot *slot, RlText *text);

#endif
