/* SPDX-License-Identifier: ISC */
/* The form as the ear needs it: felt beats of one length, each with its chord against the tonic. */
#ifndef RL_CORE_EAR_SCORE_H
#define RL_CORE_EAR_SCORE_H

#include "core/chart/form.h"

enum {
  RL_SCORE_BEATS_MAX  = 640,
  RL_SCORE_CHORDS_MAX = 64,
  RL_SCORE_SEATS_MAX  = 16,
  RL_CHORD_TYPES      = 4,
  RL_CHORD_CLASSES    = 12 * RL_CHORD_TYPES
};

/** What the ear can tell of a chord. */
typedef enum { RL_TYPE_DOMINANT, RL_TYPE_MAJOR, RL_TYPE_MINOR, RL_TYPE_DIMINISHED } RlChordType;

/** Where a beat stands in its bar. */
typedef enum {
  RL_BEAT_FIRST,
  RL_BEAT_MIDDLE, /**< the third of four */
  RL_BEAT_OTHER,
  RL_BEAT_KINDS
} RlBeatKind;

/** A chord of the form; `type` RL_CHORD_TYPES: none (N.C.). */
typedef struct {
  uint8_t type, root, bass; /**< pitch classes above the tonic */
} RlScoreChord;

/** A kind of place in the bar: the same beat of bars alike. */
typedef struct {
  uint8_t in_bar, kind; /**< as RlScoreBeat */
  uint8_t before;       /**< index of the seat before it, at its first time */
} RlScoreSeat;

/** How a chord stands on a beat. */
typedef enum {
  RL_STAND_NEW_BAR, /**< it begins here, with the bar */
  RL_STAND_NEW,     /**< it begins here, within the bar */
  RL_STAND_BAR,     /**< it goes on, a bar begins */
  RL_STAND_ON,      /**< it goes on */
  RL_STANDS
} RlStand;

typedef struct {
  uint16_t bar;    /**< index in the form */
  uint8_t  in_bar; /**< from 0 */
  uint8_t  kind;   /**< RlBeatKind */
  uint8_t  chord;  /**< index in RlScore.chord */
  uint8_t  seat;   /**< index in RlScore.seat */
  uint8_t  stand;  /**< RlStand */
} RlScoreBeat;

/** About 5 KiB. */
typedef struct {
  int          beats, bars, chords, seats;
  RlScoreSeat  seat[RL_SCORE_SEATS_MAX];
  RlScoreChord chord[RL_SCORE_CHORDS_MAX];
  RlScoreBeat  beat[RL_SCORE_BEATS_MAX];
} RlScore;

/** False if the ear cannot follow such a form: too many beats or chords, or bars whose felt beats
    are not of one length. */
bool rl_score_read(const RlForm *form, RlScore *score);

/** The class 0..RL_CHORD_CLASSES-1 of a chord: type * 12 + pitch class of its root in a key. */
int rl_score_class(RlScoreChord chord, int tonic);

#endif
