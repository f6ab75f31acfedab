/* SPDX-License-Identifier: ISC */
/* The plan: which phrase belongs on which bar of the form. A text that people can write, with the
   phrases themselves below it, so that it is whole wherever it goes. The syntax stands in the
   README (plan reference). Not for the audio thread; no heap, no state; any other thread. */
#ifndef RL_CORE_ARRANGE_PLAN_H
#define RL_CORE_ARRANGE_PLAN_H

#include "core/chart/chart.h"
#include "core/phrase/phrase.h"

enum {
  RL_PLAN_MAX         = 16384, /**< bytes of text, phrases included */
  RL_PLANNED_MAX      = 128,
  RL_PLAN_PHRASES_MAX = 64,
  RL_PLAN_CHORUSES    = 32 /**< choruses that can be named */
};

/** A phrase on a bar. */
typedef struct {
  uint16_t bar;  /**< from 1; those of the ending go on from the form's last */
  int32_t  beat; /**< where in it its first beat falls: thousandths of the meter's beats, from 0 */
  uint32_t choruses; /**< bit n: in chorus n + 1; 0: in all */
  uint8_t  phrase;   /**< index in RlPlan.phrase */
  uint8_t  move;     /**< RlMove */
  uint16_t line;     /**< of the text it stands on, from 1; 0 for one that is still to be put */
} RlPlanned;

/** A phrase in the text. */
typedef struct {
  uint16_t at, length; /**< bytes: one ABC tune */
  char     title[RL_PHRASE_TITLE_SIZE];
} RlPlanPhrase;

/** A whole plan. About 24 KiB. */
typedef struct {
  uint16_t     planned_count, phrase_count;
  RlPlanned    planned[RL_PLANNED_MAX];
  RlPlanPhrase phrase[RL_PLAN_PHRASES_MAX];
  uint32_t     answers[RL_BARS_MAX / 32]; /**< bit n of all: bar n + 1 is answered by the pupil */
  uint16_t     taken; /**< of takes: how many have been taken down so far; 0 if that is not said */
  uint16_t     taken_line; /**< where it is said, from 1; 0: nowhere */
  uint16_t     text_length;
  char         text[RL_PLAN_MAX + 1]; /**< as it was typed, NUL-terminated */
} RlPlan;

/** What is wrong with a plan. */
typedef struct {
  int  line;   /**< from 1 */
  int  column; /**< from 1; 0 for the whole line */
  char reason[RL_REASON_SIZE];
} RlPlanError;

/** Reads `text` (at most RL_PLAN_MAX bytes of UTF-8; an empty one plans nothing) into `plan`;
    every phrase in it is read too, into `room`. On failure returns false, fills in `error`, and
    `plan` holds nothing of use. Whether a form has those bars is not asked: see core/lane. */
bool rl_plan_read(RlSlice text, RlPhrase *room, RlPlan *plan, RlPlanError *error);

/** Appends `line 3: no phrase "Tide Bell" stands below; …`. */
void rl_plan_error_write(const RlPlanError *error, RlText *text);

/** The tune of phrase `index` in the plan's text. */
RlSlice rl_plan_tune(const RlPlan *plan, int index);

/** Reads phrase `index` of a plan again. */
void rl_plan_phrase(const RlPlan *plan, int index, RlPhrase *phrase);

/** Does the pupil answer in that bar (from 1)? */
bool rl_plan_answers(const RlPlan *plan, int bar);

/** Writes the plan with one more phrase on a bar, in the place of what begins on the same bar and
    beat in the same choruses. `tune` is the phrase as an ABC tune of that title; it goes below
    the others if none of them has the title. `planned->phrase` and `line` mean nothing. Every
    other line stays byte for byte. `out` has room for RL_PLAN_MAX + 1 bytes; returns NULL, or why
    not, for a person to read. */
const char *rl_plan_put(const RlPlan *plan, const RlPlanned *planned, const char *title,
                        RlSlice tune, RlText *out);

/** Writes the plan without what begins in a bar (from 1). The phrases themselves stay. */
void rl_plan_clear_bar(const RlPlan *plan, int bar, RlText *out);

/** The same beside whatever begins there already. */
const char *rl_plan_add(const RlPlan *plan, const RlPlanned *planned, const char *title,
                        RlSlice tune, RlText *out);

/** Writes the plan without phrase `index` and the lines that put it on bars. */
void rl_plan_drop(const RlPlan *plan, int index, RlText *out);

/** Writes the plan with another tune in the place of phrase `index`; of the same title, or no line
   will find it. NULL, or why not. */
const char *rl_plan_change(const RlPlan *plan, int index, RlSlice tune, RlText *out);

/** Writes takes with another number of those taken down so far (0..65535), said in their first
   line. Every other line stays byte for byte. False, and nothing is written, if there is no room.
 */
bool rl_plan_count(const RlPlan *takes, int taken, RlText *out);

/** The index of the phrase of that title, -1 if there is none. */
int rl_plan_find(const RlPlan *plan, const char *title);

/** Appends a line of a plan: `bar 9 beat 2: Down the Steps, with the key, choruses 2 4`. */
void rl_plan_line(const RlPlanned *planned, const char *title, RlText *text);

#endif
