/* SPDX-License-Identifier: ISC */
/* Which planned notes were played, and which targets were landed on, while the music plays: pitches
   as they begin and end along the song in, hits out. A hit is told once; what was missed is not
   told at all. README.md has the rule. Pure; real-time safe; no heap.

   Places are quarters along the song from the first beat of bar 1 in chorus 1, as
   rl_form_quarters(). */
#ifndef RL_CORE_PRACTICE_HITS_H
#define RL_CORE_PRACTICE_HITS_H

#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/chart/form.h"

/* The rule, in parts of a felt beat (common practice, no source): half an eighth note. */
static const double rl_hit_near  = 0.25; /**< a planned note is played so near its beat; */
static const double rl_hit_early = 0.25; /**< a target so much before its chord */
static const double rl_hit_late  = 0.5;  /**< or behind it, */
static const double rl_hit_held  = 0.25; /**< or held over into it for so long */

/** Does a note begun at `begun` play one of its pitch planned at `at`? `felt`: quarters in a felt
    beat there. */
bool rl_hit_plays(double at, double begun, double felt);

/** Does a note from `begun` to `ends` land on a target of its pitch whose chord comes at `at`? */
bool rl_hit_lands(double at, double begun, double ends, double felt);

/** Quarters in a felt beat at a place; 1 where no bar of the form sounds. */
double rl_hit_felt(const RlPlace *place);

/** What is played along. */
typedef struct {
  const RlForm       *form;
  const RlTargetLine *line;
  const RlLane       *lane;
} RlHitSong;

/** A hit. */
typedef struct {
  double  at;              /**< where the note is planned, the chord comes */
  int32_t index;           /**< in RlLane.note; of a target in RlForm.change */
  uint8_t hole, technique; /**< planned; RlTechnique */
  uint8_t note;            /**< MIDI number */
  bool    target;
} RlHit;

enum {
  RL_HITS_PITCHES = 3,                   /**< that sound together, at most */
  RL_HITS_MOST    = 3 * RL_HITS_PITCHES, /**< hits at once */
  RL_HITS_KEPT    = 24,                  /**< remembered, so that none is told twice */
  RL_HITS_SETTLED = 3 /**< reports in which a pitch must sound, and may be missing, to count */
};

/** The state; zeroed at the beginning. */
typedef struct {
  double now; /* of the last report */
  int    sounding;
  struct {
    double  begun;
    int     age, missing; /* reports */
    uint8_t note;
  } pitch[2 * RL_HITS_PITCHES];
  unsigned told; /* in all */
  struct {
    double  at;
    int32_t index;
    bool    target;
  } kept[RL_HITS_KEPT];
} RlHits;

/** What sounds at `at`: the pitches of the notes that do, at most RL_HITS_PITCHES; `anew`: they
    have been struck again. To be called every few milliseconds, also where nothing sounds; after a
    gap or a jump it begins afresh. A pitch counts once it has settled, from where it began. Returns
   how many hits there are. */
int rl_hits_hear(RlHits *hits, const RlHitSong *song, double at, const uint8_t *notes, int count,
                 bool anew, RlHit hit[RL_HITS_MOST]);

/** Nothing sounds, and what was hit counts no more. */
void rl_hits_forget(RlHits *hits);

#endif
