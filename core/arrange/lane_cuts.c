/* SPDX-License-Identifier: ISC */
/* What a plan's phrases do to each other, in words. */
#include "core/arrange/lane.h"

/* A phrase in all its choruses. */
typedef struct {
  RlLaneFate worst; /* the one that loses most */
  bool       cut;   /* in any of them, */
  bool       heard; /* in any of them */
} Fates;

/* Is it planned in that chorus? */
static bool
planned_in(const RlPlanned *const p, const bool ending, const int chorus)
{
  return ending || !p->choruses ||
         (chorus <= RL_PLAN_CHORUSES && (p->choruses >> (chorus - 1) & 1U));
}

/* Has a phrase with named choruses its bar and beat? Then the plan says itself what is played. */
static bool
varied(const RlLane *const lane, const int planned, const RlLaneFate *const fate)
{
  const RlLanePhrase *const own = &lane->phrase[planned];
  const RlLanePhrase *const by  = fate->by >= 0 ? &lane->phrase[fate->by] : own;
  return by != own && by->named && !own->named && by->at == own->at && by->ending == own->ending;
}

static Fates
fates_of(const RlPlan *const plan, const RlLane *const lane, const RlForm *const form,
         const int planned)
{
  enum { MOST = RL_PLAN_CHORUSES + 2 }; /* those after it are like the last of these */
  const RlLanePhrase *const own  = &lane->phrase[planned];
  const int                 last = form->choruses;
  Fates                     all  = {{RL_LANE_BY_NONE, -1, false}, false, false};
  for (int c = 1; c <= MOST && (!last || c <= last); ++c) {
    const int chorus = last && c == MOST ? last : c;
    if (!planned_in(&plan->planned[planned], own->ending, chorus)) {
      continue;
    }
    const RlLaneFate fate = rl_lane_fate(lane, form, planned, chorus);
    all.heard             = all.heard || fate.lost < own->notes;
    if (fate.by != RL_LANE_BY_NONE && !varied(lane, planned, &fate)) {
      all.cut   = true;
      all.worst = fate.lost > all.worst.lost ? fate : all.worst;
    }
  }
  return all;
}

static void
name_write(const RlPlan *const plan, const int planned, RlText *const text)
{
  const RlPlanned where = {
    .bar = plan->planned[planned].bar, .beat = plan->planned[planned].beat, .move = RL_MOVE_CHORD};
  rl_plan_line(&where, plan->phrase[plan->planned[planned].phrase].title, text);
}

static void
fates_write(const RlPlan *const plan, const int planned, const Fates *const fates,
            RlText *const text)
{
  name_write(plan, planned, text);
  rl_text_add(text, fates->heard ? " is cut short by " : " is never played, because of ");
  if (fates->worst.by >= 0) {
    name_write(plan, fates->worst.by, text);
  } else {
    rl_text_add(text, "the end of the song");
  }
}

void
rl_lane_cuts_write(const RlPlan *const plan, const RlLane *const lane, const RlForm *const form,
                   RlText *const text)
{
  int cut = 0;
  for (int i = 0; lane->notes && i < lane->phrases; ++i) {
    const Fates fates = lane->phrase[i].notes ? fates_of(plan, lane, form, i) : (Fates){0};
    if (fates.cut && !cut++) {
      fates_write(plan, i, &fates, text);
    }
  }
  if (cut > 1) {
    rl_text_add(text, "; ");
    rl_text_add_int(text, cut - 1);
    rl_text_add(text,
                cut > 2 ? " more are cut short or left out" : " more is cut short or left out");
  }
}
