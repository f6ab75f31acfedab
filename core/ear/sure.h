/* SPDX-License-Identifier: ISC */
/* How likely the place that is shown is right, to a third of a beat. There are several ways to be
   wrong; how likely each is not the case comes from a logistic regression over figures of the
   filter, cut into straight pieces, and these are multiplied: what speaks against one way makes up
   for no other. Weights made by tests/ear/follow/learn_sure.py. */
#ifndef RL_CORE_EAR_SURE_H
#define RL_CORE_EAR_SURE_H

typedef enum {
  RL_FIGURE_MASS,       /**< of the lattice's weight near the place, as log odds */
  RL_FIGURE_TRUST,      /**< its mean over 6 s, as log odds */
  RL_FIGURE_HELD,       /**< log of one and the seconds since the place last broke */
  RL_FIGURE_BARS,       /**< log Bayes factor against the form's chords in any order */
  RL_FIGURE_ANY,        /**< the same against any chords */
  RL_FIGURE_ONSETS,     /**< what the onsets say for the place */
  RL_FIGURE_HALF,       /**< margin against half a beat away */
  RL_FIGURE_BEAT,       /**< margin against a beat away */
  RL_FIGURE_TWO,        /**< margin against two beats away */
  RL_FIGURE_TWO_CHORDS, /**< the same, of the chords alone */
  RL_FIGURES
} RlFigure;

/** Ways to be wrong. */
typedef enum {
  RL_DOUBT_SONG,  /**< it is another song */
  RL_DOUBT_PLACE, /**< the band is elsewhere in the form */
  RL_DOUBT_HALF,  /**< half a beat away */
  RL_DOUBT_BEAT,  /**< a beat away */
  RL_DOUBT_TWO,   /**< two beats away */
  RL_DOUBTS
} RlDoubt;

/** A piece of a figure: nothing up to `from`, all of `weight` at `to` and over it. */
typedef struct {
  RlDoubt  doubt;
  RlFigure figure;
  float    from, to, weight;
} RlSurePiece;

typedef struct {
  float              plus[RL_DOUBTS]; /**< log odds before anything is known */
  int                pieces;
  const RlSurePiece *piece;
} RlSureLearned;

extern const RlSureLearned rl_learned_sure;

/** 0..1. */
float rl_sure(const float figure[RL_FIGURES]);

#endif
