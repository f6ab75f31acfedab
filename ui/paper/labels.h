/* SPDX-License-Identifier: ISC */
/* Short texts that several blocks of the sheet share. Each appends to `text`. Pure. */
#ifndef RL_UI_PAPER_LABELS_H
#define RL_UI_PAPER_LABELS_H

#include "ui/paper/sheet.h"

enum { RL_LABEL_SIZE = 512 /**< bytes that any line of the sheet fits into */ };

/** `1 bar`, `12 bars`. */
void rl_label_count(int count, const char *one, const char *more, RlText *text);

/** `B♭m`. */
void rl_label_key(RlKey key, RlText *text);

/** A chord by letter, or by degree, with music signs. */
void rl_label_chord(const RlSheet *sheet, RlChord chord, bool degree, RlText *text);

/** `low C harp, 2nd position`. */
void rl_label_harp(const RlSheet *sheet, RlText *text);

#endif
