/* SPDX-License-Identifier: ISC */
/* Private to the plan (plan*.c): the reader that goes over a plan's text, and what reading and
   editing share. */
#ifndef RL_CORE_ARRANGE_PLAN_READER_H
#define RL_CORE_ARRANGE_PLAN_READER_H

#include "core/arrange/plan.h"

typedef struct {
  RlPlan      *plan;
  RlPlanError *error;
  int          line; /* being read, from 1 */
  struct {
    RlSlice words; /* title and options */
    int     line;
  } wanted[RL_PLANNED_MAX]; /* of each planned phrase, until the phrases are read */
} RlPlanReader;

/* plan.c: notes what is wrong in the line being read; always false. `quoted` is cut if it is long.
 */
bool rl_plan_reader_fail(const RlPlanReader *r, const char *reason);
bool rl_plan_reader_fail_with(const RlPlanReader *r, const char *before, RlSlice quoted,
                              const char *after);

/* plan_lines.c: removes the first line from `rest` and returns it without its newline. */
RlSlice rl_plan_line_next(RlSlice *rest);

/* plan_lines.c: the title in what stands behind the colon, without the options at its end but for
   the first `kept` of them; what the others say into `p`. Sets *options to how many there are. */
RlSlice rl_plan_reader_title(RlSlice words, int kept, RlPlanned *p, int *options);

/* plan_lines.c: reads one line of the plan's head: empty, a comment, `bar`, `answer` or `taken`.
   False: failed, and the error is filled in. */
bool rl_plan_reader_line(RlPlanReader *r, RlSlice line);

#endif
