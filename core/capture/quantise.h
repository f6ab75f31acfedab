/* SPDX-License-Identifier: ISC */
/* Notes as they were played onto the beats they were meant for: the most likely places, lengths,
   swing and lay-back, all at once. Plain mathematics on times; no heap, no state; not for the audio
   thread (a few ten milliseconds for a long take); any other thread.

   The model. Each beat is divided in one way (quarters, eighths, triplets, sixteenths, sextuplets,
   twelfths; thirds and sixths of a dotted beat), each note stands on one of its places, is played
   `behind` late, and misses that by Gaussian noise. Off-beats lie at `swing` of their beat, the
   same in the whole take. A note ends where the next begins, a little early (exponentially), or on
   a place of its own before a rest. How likely divisions and their patterns are is common practice
   as we know it, no source: division.c. */
#ifndef RL_CORE_CAPTURE_QUANTISE_H
#define RL_CORE_CAPTURE_QUANTISE_H

#include <stdbool.h>
#include <stdint.h>

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
  RlGridPlace on, off;  /**< out. Notes at once have both the same, on comes before off, and what
                           comes earlier ends before what comes later begins */
  bool crushed;         /**< out: its place was taken already; `on` means nothing */
} RlGridNote;

/** How it was played. */
typedef struct {
  double swing; /**< where off-beats lie in their beat: .5 straight; from .64 up it cannot be told
                     from triplets; 0: no off-beat was played in twos */
  double   behind;    /**< milliseconds after the beat */
  double   spread;    /**< milliseconds, standard deviation */
  uint16_t off_beats; /**< that `swing` was learnt from */
} RlGridFeel;

/** Room to work in, from the caller: no need to clear it. About 130 KiB. */
typedef struct RlGridWorkspace RlGridWorkspace;

/** Puts `notes` (1 to RL_QUANTISE_NOTES_MAX, all between the first beat and the end of the last)
   onto `beats` (1 to RL_QUANTISE_BEATS_MAX). `tempo`: quarters a minute. */
void rl_quantise(RlGridNote *note, int notes, const RlGridBeat *beat, int beats, double tempo,
                 RlGridWorkspace *room, RlGridFeel *feel);

/* ---- how the room looks is nobody's business ---- */

struct RlGridWorkspace {
  struct {
    double  on, off; /* in beats from the first */
    double  gap;     /* to the next onset, beats; negative: it overlaps; HUGE_VAL: none follows */
    double  joined;  /* log-likelihood that it ends with the next onset, for the spread in force */
    int16_t first, count; /* notes at once */
  } hit[RL_QUANTISE_NOTES_MAX];
  struct {
    int32_t at; /* hit * 2, + 1 for its end */
    double  time;
  } seen[2 * RL_QUANTISE_NOTES_MAX];
  struct {
    int16_t first, count; /* of seen */
    uint8_t from[8];      /* by how it is divided: how the one before is, on the best way */
  } beat[RL_QUANTISE_BEATS_MAX + 1];
  uint8_t division[RL_QUANTISE_BEATS_MAX + 1];
  uint8_t last; /* how the last beat is divided */
};

#endif
