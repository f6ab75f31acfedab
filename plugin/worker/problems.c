/* SPDX-License-Identifier: ISC */
#include "plugin/worker/problems.h"

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
  RlText text = rl_text_in(problems->about[about], RL_PROBLEM_SIZE);
  rl_text_add(&text, words);
}

void
rl_problems_write(const RlProblems *const problems, RlText *const text)
{
  for (int i = 0; i < RL_ABOUTS; ++i) {
    rl_text_add(text, text->used && problems->about[i][0] ? "; " : "");
    rl_text_add(text, problems->about[i]);
  }
}
