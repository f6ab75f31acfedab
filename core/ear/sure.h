/* SPDX-License-Identifier: ISC */
/* How likely the bar that is shown is right: a logistic regression over figures of the filter, each
   cut into straight pieces. Weights made by tests/ear/follow/learn_sure.py. */
#ifndef RL_CORE_EAR_SURE_H
#define RL_CORE_EAR_SURE_H

typedef enum {
  RL_FIGURE_MASS,   /**< of the lattice's weight near the place, as log odds */
  RL_FIGURE_TRUST,  /**< its mean over 6 s, as log odds */
  RL_FIGURE_HELD,   /**< log of one and the seconds since the place last broke */
  RL_FIGURE_BARS,   /**< log Bayes factor against the form's chords in any order */
  RL_FIGURE_ANY,    /**< the same against any chords */
  RL_FIGURE_HALF,   /**< margin against rivals less than a beat away */
  RL_FIGURE_WHOLE,  /**< margin against rivals at whole beats */
  RL_FIGURE_CHORDS, /**< the same, of the chords alone */
  RL_FIGURE_ONSETS, /**< what the onsets say for the place */
  RL_FIGURE_LEAN,   /**< 1 if the chords are taken to lie off the beats */
  RL_FIGURES
} RlFigure;

/** A piece of a figure: nothing up to `from`, all of `weight` at `to` and over it. */
typedef struct {
  RlFigure figure;
  float    from, to, weight;
} RlSurePiece;

typedef struct {
  float              plus; /**< log odds before anything is known */
  int                pieces;
  const RlSurePiece *piece;
} RlSureLearned;

extern const RlSureLearned rl_learned_sure;

/** 0..1. */
float rl_sure(const float figure[RL_FIGURES]);

#endif
