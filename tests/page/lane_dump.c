/* SPDX-License-Identifier: ISC */
/* The lane of one harp, bar by bar, found note by note without core's own functions for walking
   along it: the page must show the same. Usage: lane_dump CHART KEY HARP REGISTER TUNING DRAWS
   BLOWS OVERBLOWS <PLAN KEY and HARP 0..11, the rest as in RlHarpChoice and RlPlayer. Prints a line
   of JSON for each bar of the first two choruses, as the page's core must have it. */
#include "tests/core/arrange/overlaps.h"

#include <stdio.h>
#include <stdlib.h>

enum { CHORUSES = 2 };

static RlForm          form;
static RlPlan          plan;
static RlPhrase        phrase;
static RlLane          lane;
static RlLaneWorkspace workspace;
static Song            song;

static size_t
text_read(FILE *const from, char *const text, const size_t most)
{
  const size_t length = from ? fread(text, 1, most, from) : 0;
  return length;
}

static void
note_print(const SongNote *const s, const double from, const double beats, const bool first)
{
  const RlLaneNote *const n = &lane.note[s->index];
  const bool slur = n->articulation & RL_ARTICULATION_SLUR && !(n->tab.marks & RL_TAB_NO_SLUR);
  printf("%s[%.17g,%.17g,%d,%d,%d,%s,%s,%s,%s]", first ? "" : ",",
         (double)(float)((s->at - from) * beats), (double)(float)(s->lasts * beats), n->tab.hole,
         n->tab.technique, n->degree, n->tab.marks & RL_TAB_IS_REPLACED ? "true" : "false",
         slur ? "true" : "false", n->articulation & RL_ARTICULATION_SCOOP ? "true" : "false",
         n->articulation & RL_ARTICULATION_FALL ? "true" : "false");
}

/* Those that begin in the bar. */
static int
notes_print(const double from, const double to, const double beats)
{
  int planned = -1;
  for (int i = 0; i < song.count; ++i) {
    const SongNote *const n = &song.note[i];
    if (n->at >= from && n->at < to) {
      note_print(n, from, beats, planned < 0);
      planned = planned < 0 ? lane.note[n->index].planned : planned;
    }
  }
  return planned;
}

static void
bar_print(const int chorus, const int index)
{
  const RlBar *const  b      = &form.bar[index];
  const double *const starts = form.starts[RL_AXIS_QUARTERS];
  const double        from   = (starts[index] + (chorus - 1) * starts[form.bars]) * RL_TICKS;
  const double        length = b->beats * 4.0 / b->unit * RL_TICKS;
  printf(
    "{\"chorus\":%d,\"bar\":%d,\"index\":%d,\"beats\":%d,\"unit\":%d,\"answers\":%d,\"notes\":[",
    chorus, index + 1, index, b->beats, b->unit, rl_plan_answers(&plan, index + 1));
  const int planned = notes_print(from, from + length, b->unit / (4.0 * RL_TICKS));
  printf("],\"title\":\"%s\"}\n",
         planned < 0 ? "" : plan.phrase[plan.planned[planned].phrase].title);
}

int
main(const int count, char **const arguments)
{
  static char  text[RL_CHART_MAX + 1], plan_text[RL_PLAN_MAX + 1];
  int          n[8] = {0};
  RlChartError chart_error;
  RlPlanError  plan_error;
  FILE *const  from = count == 9 ? fopen(arguments[1], "rb") : NULL;
  for (int i = 2; i < count && i < 9; ++i) {
    n[i - 1] = atoi(arguments[i]);
  }
  const RlSlice chart = {text, text_read(from, text, RL_CHART_MAX)};
  const RlSlice whole = {plan_text, text_read(stdin, plan_text, RL_PLAN_MAX)};
  if (!from || !rl_chart_read(chart, &form, &chart_error) ||
      !rl_plan_read(whole, &phrase, &plan, &plan_error)) {
    fputs("lane_dump: no chart, or no plan\n", stderr);
    return EXIT_FAILURE;
  }
  fclose(from);
  rl_lane_make(
    &plan, &form, rl_key_named(n[1], form.key.minor),
    (RlHarpChoice){.key = (uint8_t)n[2], .range = (int8_t)n[3], .tuning = (RlTuning)n[4]},
    (RlPlayer){.draw_bends = (uint8_t)n[5], .blow_bends = (uint8_t)n[6], .overblows = n[7] != 0},
    &workspace, &lane);
  song_play(&plan, &form, &lane,
            form.choruses && form.choruses < CHORUSES ? form.choruses : CHORUSES, &song);
  for (int chorus = 1; chorus <= CHORUSES; ++chorus) {
    for (int i = 0; i < form.bars; ++i) {
      bar_print(chorus, i);
    }
  }
  return EXIT_SUCCESS;
}
