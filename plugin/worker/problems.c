/* SPDX-License-Identifier: ISC */
#include "plugin/worker/problems.h"

#include <stddef.h>

typedef struct {
  size_t at, size;
} Place;

static Place
place_of(const RlAbout about)
{
#define PLACE(words)                                                                               \
  {                                                                                                \
    offsetof(RlProblems, words), sizeof(((RlProblems *)NULL)->words)                               \
  }
  static const Place places[RL_ABOUTS] = {
    [RL_ABOUT_CHART] = PLACE(chart),       [RL_ABOUT_PLAN] = PLACE(plan),
    [RL_ABOUT_LINE] = PLACE(line),         [RL_ABOUT_LANE] = PLACE(lane),
    [RL_ABOUT_TAKE] = PLACE(take),         [RL_ABOUT_OSC_TO] = PLACE(osc_to),
    [RL_ABOUT_SESSION] = PLACE(session),   [RL_ABOUT_RECEIVERS] = PLACE(receivers),
    [RL_ABOUT_BAR_ONE] = PLACE(bar_one),   [RL_ABOUT_HARP_FROM] = PLACE(harp_from),
    [RL_ABOUT_PRACTICE] = PLACE(practice), [RL_ABOUT_HEAR_TAKE] = PLACE(hear_take),
    [RL_ABOUT_TRACK] = PLACE(track)};
#undef PLACE
  return places[about];
}

const char *
rl_problems_words(const RlProblems *const problems, const RlAbout about)
{
  return (const char *)problems + place_of(about).at;
}

RlAbout
rl_problems_about(const RlProperty property)
{
  static const RlAbout abouts[RL_PROPERTIES] = {
    [RL_CHART] = RL_ABOUT_CHART,        [RL_CHART_FILE] = RL_ABOUT_CHART,
    [RL_PLAN] = RL_ABOUT_PLAN,          [RL_TAKE] = RL_ABOUT_TAKE,
    [RL_OSC_TO] = RL_ABOUT_OSC_TO,      [RL_PROBLEM] = RL_ABOUT_CHART,
    [RL_TAKE_EDIT] = RL_ABOUT_TAKE,     [RL_BAR_ONE_EDIT] = RL_ABOUT_BAR_ONE,
    [RL_PRACTICE] = RL_ABOUT_PRACTICE,  [RL_LIFT] = RL_ABOUT_TAKE,
    [RL_HEAR_TAKE] = RL_ABOUT_HEAR_TAKE};
  return abouts[property];
}

void
rl_problems_set(RlProblems *const problems, const RlAbout about, const char *const words)
{
  const Place place = place_of(about);
  RlText      text  = rl_text_in((char *)problems + place.at, place.size);
  rl_text_add(&text, words);
}

void
rl_problems_write(const RlProblems *const problems, RlText *const text)
{
  for (int i = 0; i < RL_ABOUTS; ++i) {
    const char *const words = rl_problems_words(problems, (RlAbout)i);
    rl_text_add(text, text->used && words[0] ? "; " : "");
    rl_text_add(text, words);
  }
}
