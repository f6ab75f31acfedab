/* SPDX-License-Identifier: ISC */
/* A long clip in pieces that overlap: each half of what two share is better heard with what is
   around. Pure; any thread. */
#ifndef RL_CORE_EAR_PHRASE_PIECES_H
#define RL_CORE_EAR_PHRASE_PIECES_H

#include "core/ear/phrase/lift.h"

/** A piece of a clip. */
typedef struct {
  size_t at, samples; /**< within the clip, at RL_LIFT_RATE */
  double first, past; /**< seconds in the piece: notes that begin from `first` up to `past` are its
                           own, others a neighbour's */
  bool last;
} RlLiftPiece;

/** The piece of that index, from 0, of a clip of `samples` samples: `whole` seconds each (8 to
   RL_LIFT_SECONDS_MAX), the last one shorter, but for a clip of up to `most` seconds, which is one
   piece. Only indices up to the last piece's. */
RlLiftPiece rl_lift_piece(size_t samples, int whole, int most, int index);

#endif
