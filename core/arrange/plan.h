/* SPDX-License-Identifier: ISC */
/* The plan: which phrase belongs on which bar of the form. A text that people can write, with the
   phrases themselves below it as ABC tunes, so that it is complete wherever it is copied. The takes
   of a song are kept in the same syntax, which PLAN.md describes. Not for the audio thread: time
   grows with the text. No heap, no state; any other thread. */
#ifndef RL_CORE_ARRANGE_PLAN_H
#define RL_CORE_ARRANGE_PLAN_H

#include "core/abc/abc.h"
#include "core/chart/chart.h"
#include "core/phrase/phrase.h"

enum {
  RL_PLAN_MAX = RL_CHART_MAX, /**< bytes of text, phrases included. As for a chart: both are read
                                   into the same buffers */
  RL_PLANNED_MAX      = 128,
  RL_PLAN_PHRASES_MAX = 64,
  RL_PLAN_CHORUSES    = 32 /**< choruses that can be named */
};

/** A phrase on a bar. */
typedef struct {
  uint16_t bar;      /**< from 1; the ending's bars follow those of the chorus */
  int32_t  beat;     /**< where in the bar the phrase's first beat falls: thousandths of the
                          meter's beats, from 0 */
  uint32_t choruses; /**< bit n: in chorus n + 1; 0: in all */
  uint8_t  phrase;   /**< index in RlPlan.phrase */
  uint8_t  move;     /**< RlMove */
  uint16_t line;     /**< of the text, from 1; 0 for one that is not in the text yet */
} RlPlanned;

/** A phrase in the text. */
typedef struct {
  uint16_t     at, length; /**< bytes: one ABC tune */
  char         title[RL_PHRASE_TITLE_SIZE];
  RlAbcLeftOut left; /**< of the tune; its lines are those of the plan */
} RlPlanPhrase;

/** A whole plan. About 25 KiB. */
typedef struct {
  uint16_t     planned_count, phrase_count;
  RlPlanned    planned[RL_PLANNED_MAX];
  RlPlanPhrase phrase[RL_PLAN_PHRASES_MAX];
  uint32_t     answers[RL_BARS_MAX / 32]; /**< bit n of the whole: the pupil answers in bar n + 1 */
  uint16_t     taken; /**< of takes: how many were recorded so far; 0 if the text has no `taken` */
  uint16_t     taken_line; /**< of the text, from 1, where it stands; 0: nowhere */
  uint16_t     text_length;
  char         text[RL_PLAN_MAX + 1]; /**< as it was typed, NUL-terminated */
} RlPlan;

/** What is wrong with a plan. */
typedef struct {
  int  line;   /**< from 1 */
  int  column; /**< characters, from 1; 0 for the whole line */
  char reason[RL_REASON_SIZE];
} RlPlanError;

/** Reads `text` (at most RL_PLAN_MAX bytes of UTF-8; an empty text is an empty plan) into `plan`.
    Every phrase in it is read too, into `scratch`. On failure returns false, fills in `error`, and
    `plan` holds nothing of use. That the form has those bars is not checked: see
    core/arrange/lane. `text` must not lie in `plan`. */
bool rl_plan_read(RlSlice text, RlPhrase *scratch, RlPlan *plan, RlPlanError *error);

/** Appends `line 3: no phrase "Tide Bell" stands below; …`. */
void rl_plan_error_write(const RlPlanError *error, RlText *text);

/** The tune of phrase `index` (0 to phrase_count - 1), a slice of the plan's own text. */
RlSlice rl_plan_tune(const RlPlan *plan, int index);

/** Reads phrase `index` of a plan again. */
void rl_plan_phrase(const RlPlan *plan, int index, RlPhrase *phrase);

/** Does the pupil answer in that bar (from 1)? False for bars that no form has. */
bool rl_plan_answers(const RlPlan *plan, int bar);

/** The index of the phrase of that title, -1 if there is none. */
int rl_plan_find(const RlPlan *plan, const char *title);

/** The index of the first phrase that has the title of one before it, which is the one that lines
    mean; -1 if all titles differ. */
int rl_plan_twice(const RlPlan *plan);

/** Appends what a reader of the plan should know of its phrases: `two phrases have the title "Tide
    Bell"; the first is played; give the other a different title; Fog Signal: 3 ornaments left out;
    2 more phrases have something left out`. Nothing if there is nothing to say. */
void rl_plan_remarks_write(const RlPlan *plan, RlText *text);

/** Appends a line of a plan; a title that ends like an option is put in quotes: `bar 6 beat 2: Down
 * the Steps, with the key, choruses 2 4`. */
void rl_plan_line(const RlPlanned *planned, const char *title, RlText *text);

/* What follows writes the plan with one thing changed; every other line stays byte for byte. `out`
   is empty, with space for RL_PLAN_MAX bytes and the NUL, and does not lie in `plan`. */

/** One more phrase on a bar, in place of what begins on the same bar and beat in the same choruses.
    `tune` is the phrase as an ABC tune of that title; it is added below the others if none of them
    has the title. `planned->phrase` and `line` are ignored. Returns NULL, or why it cannot be done,
    for a person to read: then nothing is written. */
const char *rl_plan_put(const RlPlan *plan, const RlPlanned *planned, const char *title,
                        RlSlice tune, RlText *out);

/** As rl_plan_put(), but beside whatever begins there already. */
const char *rl_plan_add(const RlPlan *plan, const RlPlanned *planned, const char *title,
                        RlSlice tune, RlText *out);

/** Another tune in place of phrase `index`. It must have the same title if any line names it.
    Returns NULL, or why it cannot be done, for a person to read: then nothing is written. */
const char *rl_plan_change(const RlPlan *plan, int index, RlSlice tune, RlText *out);

/** Without phrase `index` and the lines that put it on bars. */
void rl_plan_drop(const RlPlan *plan, int index, RlText *out);

/** Without the lines of a bar (from 1). The phrases themselves stay. */
void rl_plan_clear_bar(const RlPlan *plan, int bar, RlText *out);

/** Another number (0..65535) of takes recorded so far, in the first line. False, and nothing is
    written, if there is no space for it. */
bool rl_plan_count(const RlPlan *takes, int taken, RlText *out);

#endif
