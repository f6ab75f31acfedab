/* SPDX-License-Identifier: ISC */
/* The quantiser: notes as they were played onto the beats they were meant for. It finds the most
   likely places, lengths, swing and lay-back of the whole take at once. Plain mathematics on times;
   no heap, no state; not for the audio thread (some tens of milliseconds for a long take); any
   other thread.

   The model. Each beat is divided in one way (quarters, eighths, triplets, sixteenths, sextuplets,
   twelfths; thirds and sixths of a dotted beat), each note stands on one of its places, is played
   `behind` late, and misses that by Gaussian noise. Off-beats lie at `swing` of their beat, the
   same in the whole take. A note ends where the next begins, a little early (exponentially), or on
   a place of its own before a rest. Given these, the best divisions are found by dynamic
   programming over beats (Viterbi). How likely divisions and their patterns are: division.h. */
#ifndef RL_CORE_CAPTURE_QUANTISE_H
#define RL_CORE_CAPTURE_QUANTISE_H

#include "core/capture/division.h"

enum { RL_QUANTISE_NOTES_MAX = 512, RL_QUANTISE_BEATS_MAX = 1024 };

/** A beat to count by. Beats follow one another without a gap. */
typedef struct {
  double at;     /**< quarters */
  double length; /**< quarters */
  bool   thirds; /**< a dotted beat: it falls into three */
} RlGridBeat;

/** A place on the grid: `part` of `parts` equal parts into the beat. */
typedef struct {
  int16_t beat; /**< index; the number of beats for the end of the last */
  uint8_t part, parts;
} RlGridPlace;

/** A note, and where it belongs. */
typedef struct {
  double      at, ends; /**< in: quarters, in order of `at`, ends > at */
  RlGridPlace on, off;  /**< out. Notes at once have the same `on` and `off`; `on` comes before
                             `off`, and an earlier note ends before a later one begins */
  bool crushed;         /**< out: another note has its place; then `on` and `off` mean nothing */
} RlGridNote;

/** How the take was played. */
typedef struct {
  double swing; /**< where off-beats lie in their beat: .5 straight; from .64 up it cannot be told
                     from triplets; 0: no off-beat of a beat in two or four parts was played */
  double   behind;    /**< milliseconds after the beat, mean of all onsets; negative: before */
  double   spread;    /**< milliseconds: the standard deviation that fits best, of those tried */
  uint16_t off_beats; /**< so many off-beats `swing` is the mean of */
} RlGridFeel;

/** Scratch memory, from the caller; need not be cleared. About 50 KiB. */
typedef struct RlGridWorkspace RlGridWorkspace;

/** Puts `notes` notes (0 to RL_QUANTISE_NOTES_MAX, all between the first beat and the end of the
    last) onto `beats` beats (1 to RL_QUANTISE_BEATS_MAX). `tempo`: quarters a minute, above 0.
    Without notes `feel` says nothing but for its spread. */
void rl_quantise(RlGridNote *note, int notes, const RlGridBeat *beat, int beats, double tempo,
                 RlGridWorkspace *workspace, RlGridFeel *feel);

/* ---- private: known here only so that callers can allocate it ---- */

struct RlGridWorkspace {
  struct {
    double  on, off;      /* quarters, means of its notes */
    double  gap;          /* to the next onset, beats; negative: it overlaps; HUGE_VAL: the last */
    double  joined;       /* log-likelihood that it lasts to the next onset, for this guess */
    int16_t first, count; /* of the notes that begin together */
  } onset[RL_QUANTISE_NOTES_MAX];
  struct {
    int32_t at; /* index of the onset times 2; plus 1 for its end */
    double  time;
  } edge[2 * RL_QUANTISE_NOTES_MAX]; /* beginnings and ends, in order of time */
  struct {
    int16_t first, count;       /* of edge */
    uint8_t from[RL_DIVISIONS]; /* by its division: that of the beat before, on the best way */
  } beat[RL_QUANTISE_BEATS_MAX + 1];
  uint8_t division[RL_QUANTISE_BEATS_MAX + 1];
  uint8_t last; /* division of the last beat, on the best way */
};

#endif
