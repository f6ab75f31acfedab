/* SPDX-License-Identifier: ISC */
/* Feeds the plan's reader anything, and makes lanes of what it reads. What it reads must hang
   together; the lane's notes must be in order, on the harp, inside the form; put, take, drop,
   change and count must give plans that read again. What it refuses must be refused with a reason
   and a line. A libFuzzer harness; the first two bytes choose the chart, the harp and the player.

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it. */
#include "core/arrange/lane.h"
#include "demand.h"
#include "forms.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static RlPhrase        phrase;
static RlPlan          plan, again;
static RlLane          lane;
static RlLaneWorkspace room;
static char            written[RL_PLAN_MAX + 1];

static void
error_check(const RlPlanError *const error, const RlSlice text)
{
  DEMAND(error->line >= 1 && error->line <= lines_in(text.at, text.length) && error->column >= 0);
  const size_t length = strlen(error->reason);
  DEMAND(length > 0 && length < RL_REASON_SIZE - 1); /* one byte less: nothing was cut */
}

static void
plan_check(void)
{
  DEMAND(plan.planned_count <= RL_PLANNED_MAX && plan.phrase_count <= RL_PLAN_PHRASES_MAX);
  for (int i = 0; i < plan.planned_count; ++i) {
    const RlPlanned *const p = &plan.planned[i];
    DEMAND(p->bar >= 1 && p->bar <= RL_BARS_MAX && p->move < RL_MOVES);
    DEMAND(p->beat >= 0 && p->beat < 1000 * RL_BAR_BEATS_MAX && p->phrase < plan.phrase_count);
    DEMAND(p->line >= 1);
  }
  for (int i = 0; i < plan.phrase_count; ++i) {
    rl_plan_phrase(&plan, i, &phrase);
    DEMAND(!strcmp(phrase.title, plan.phrase[i].title) && phrase.notes >= 1);
  }
}

static void
lane_check(const RlHarp *const harp, const RlPlayer player)
{
  for (int i = 0; i < lane.notes; ++i) {
    const RlLaneNote *const n = &lane.note[i];
    DEMAND(!i || n->planned > n[-1].planned || (n->planned == n[-1].planned && n->at >= n[-1].at));
    DEMAND(n->lasts >= 1 && n->planned < plan.planned_count);
    DEMAND(n->tab.hole >= 1 && n->tab.hole <= RL_HOLES && n->tab.technique < RL_TECHNIQUES);
    DEMAND(harp->note[n->tab.hole - 1][n->tab.technique] == n->tab.note && n->tab.note);
    DEMAND(rl_player_can(player, (RlTechnique)n->tab.technique));
  }
}

/* Every onset once, and later and later. The planted bug writes past the end where a phrase lies in
   the ending. */
static void
onsets_check(const RlForm *const f)
{
  RlLaneOnset       n    = rl_lane_first(&lane, f, -1e9);
  RlLaneNote *const copy = (RlLaneNote *)malloc((size_t)(lane.notes + 1) * sizeof(RlLaneNote));
  DEMAND(copy);
  for (int i = 0; i < 200 && n.index >= 0; ++i) {
    const RlLaneOnset next = rl_lane_next(&lane, f, n);
    DEMAND(n.index < lane.notes);
    const bool ending = lane.phrase[lane.note[0].planned].ending;
    const bool same   = next.index == n.index + 1 && next.chorus == n.chorus &&
                      lane.note[next.index].planned == lane.note[n.index].planned;
    copy[n.index + PLANTED * 2 * (ending && n.index == lane.notes - 1)] = lane.note[n.index];
    DEMAND(n.lasts > 0 && n.lasts <= lane.note[n.index].lasts);
    DEMAND(next.index < 0 ||
           (same ? next.at >= n.at : next.at >= n.at + n.lasts && next.at > n.at));
    n = next;
  }
  free(copy);
}

/* What becomes of each phrase is said in whole words. */
static void
cuts_check(const RlForm *const f)
{
  char   words[512];
  RlText text = rl_text_in(words, sizeof(words));
  rl_lane_cuts_write(&plan, &lane, f, &text);
  DEMAND(text.used < sizeof(words) - 1);
  for (int i = 0; i < plan.planned_count; ++i) {
    const RlLaneFate fate = rl_lane_fate(&lane, f, i, 1);
    DEMAND(fate.lost >= 0 && fate.lost <= lane.phrase[i].notes && fate.by < plan.planned_count);
  }
}

/* What is said of the phrases fits into a buffer for two titles and one of everything there is to
   leave out. */
static void
remarks_check(void)
{
  char   words[1536];
  RlText text = rl_text_in(words, sizeof(words));
  rl_plan_remarks_write(&plan, &text);
  DEMAND(text.used < sizeof(words) - 1);
}

static const char tune[] = "X:1\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n";

/* What is done to takes: dropped, changed, counted. */
static void
takes_check(const unsigned how)
{
  RlPlanError error;
  RlText      out   = rl_text_in(written, sizeof(written));
  const int   index = plan.phrase_count ? (int)(how % plan.phrase_count) : -1;
  if (index >= 0) {
    rl_plan_drop(&plan, index, &out);
    DEMAND(rl_plan_read(rl_slice(written), &phrase, &again, &error));
    DEMAND(again.phrase_count == plan.phrase_count - 1 && again.taken == plan.taken);
    out = rl_text_in(written, sizeof(written));
  }
  /* a phrase of another title only where no line asks for the old one */
  if (index >= 0 && !strcmp(plan.phrase[index].title, "Tide Bell") &&
      !rl_plan_change(&plan, index, rl_slice(tune), &out)) {
    DEMAND(rl_plan_read(rl_slice(written), &phrase, &again, &error));
    DEMAND(again.phrase_count == plan.phrase_count);
  }
  out = rl_text_in(written, sizeof(written));
  if (rl_plan_count(&plan, (int)(how % 65536), &out)) {
    DEMAND(rl_plan_read(rl_slice(written), &phrase, &again, &error));
    DEMAND(again.taken == how % 65536 && again.phrase_count == plan.phrase_count &&
           again.planned_count == plan.planned_count);
  }
}

static void
changes_check(const unsigned how)
{
  const RlPlanned p = {.bar      = (uint16_t)(how % 7 + 1),
                       .beat     = (int32_t)(how % 5 * 250),
                       .choruses = how % 3 ? 0 : how,
                       .move     = (uint8_t)(how % RL_MOVES)};
  RlPlanError     error;
  RlText          out = rl_text_in(written, sizeof(written));
  if (!rl_plan_put(&plan, &p, "Tide Bell", rl_slice(tune), &out)) {
    DEMAND(rl_plan_read(rl_slice(written), &phrase, &again, &error));
    DEMAND(again.planned_count >= 1 && again.planned_count <= plan.planned_count + 1);
  }
  out = rl_text_in(written, sizeof(written));
  rl_plan_clear_bar(&plan, p.bar, &out);
  DEMAND(rl_plan_read(rl_slice(written), &phrase, &again, &error));
  for (int i = 0; i < again.planned_count; ++i) {
    DEMAND(again.planned[i].bar != p.bar);
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  RlPlanError error;
  if (size < 2) {
    return 0;
  }
  const RlSlice       text   = {(const char *)data + 2, size - 2};
  const RlForm *const f      = &form[data[0] % FORMS];
  const RlHarpChoice  choice = {data[0] / FORMS % 12, (int8_t)(data[1] % 3 - 1),
                                (RlTuning)(data[1] / 3 % RL_TUNINGS)};
  const RlPlayer      player = {data[1] / 18 % 4, data[0] / 36 % 4, data[1] / 72 % 2};
  const RlHarp        harp   = rl_harp_make(choice);
  memset(&error, 0xA5, sizeof(error));
  if (!rl_plan_read(text, &phrase, &plan, &error)) {
    error_check(&error, text);
    return 0;
  }
  plan_check();
  rl_lane_make(&plan, f, f->key, choice, player, &room, &lane);
  lane_check(&harp, player);
  onsets_check(f);
  cuts_check(f);
  remarks_check();
  changes_check(data[0] + 256U * data[1]);
  takes_check(data[0] + 256U * data[1]);
  return 0;
}
