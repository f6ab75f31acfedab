/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/properties.h"

#include "core/arrange/plan.h"
#include "plugin/protocol/lift_ask.h"

#include <string.h>

#define LONGEST(bytes) ((int)(bytes) <= (int)RL_PROPERTY_MOST)
_Static_assert(LONGEST(RL_PLAN_MAX) && LONGEST(RL_PATH_SIZE) && LONGEST(RL_ADDRESS_SIZE) &&
                 LONGEST(RL_PROBLEM_SIZE),
               "a property may be longer than the longest");

const char rl_chart_default[] = "title: Twelve-bar\n"
                                "key: G\n"
                                "meter: 4/4\n"
                                "| I7  | %   | %  | %  |\n"
                                "| IV7 | %   | I7 | %  |\n"
                                "| V7  | IV7 | I7 | V7 |\n";

#define NAMED(name) .symbol = #name, .urid = offsetof(RlUris, rl_##name)

const RlPropertyInfo rl_properties[RL_PROPERTIES] = {
  [RL_CHART]      = {NAMED(chart), .label = "Chart", .comment = "The chords of the song, as text.",
                     .access = RL_READ | RL_WRITE | RL_SAVED, .most = RL_CHART_MAX,
                     .object = "the chart", .noun = "chart"},
  [RL_CHART_FILE] = {NAMED(chart_file), .label = "Chart file",
                     .comment = "Reads the chart from a text file.", .path = true,
                     .access = RL_READ | RL_WRITE | RL_SAVED, .most = RL_PATH_SIZE - 1,
                     .object = "it", .noun = "path"},
  [RL_PLAN]       = {NAMED(plan), .label = "Plan",
                     .comment = "Which phrase belongs on which bar, as text, the phrases in ABC below.",
                     .access = RL_READ | RL_WRITE | RL_SAVED, .most = RL_PLAN_MAX, .object = "the plan",
                     .noun = "plan"},
  [RL_TAKE]       = {NAMED(take), .label = "Takes",
                     .comment =
                       "What was played while writing down was on, as text in the form of a plan.",
                     .access = RL_READ | RL_WRITE | RL_SAVED, .most = RL_PLAN_MAX, .object = "it",
                     .noun = "one"},
  [RL_OSC_TO]     = {NAMED(osc_to), .label = "OSC to",
                     .comment = "Where OSC goes: host:port, several with spaces between.",
                     .access = RL_READ | RL_WRITE | RL_SAVED, .most = RL_ADDRESS_SIZE - 1,
                     .object = "addresses", .noun = "address"},
  [RL_PROBLEM]    = {NAMED(problem), .label = "Problem",
                     .comment = "What is wrong with the last chart, plan or address; empty when "
                                   "nothing is.",
                     .access = RL_READ, .most = RL_PROBLEM_SIZE - 1},
  [RL_TAKE_EDIT]  = {NAMED(take_edit), .access = RL_WRITE, .most = RL_PLAN_MAX, .object = "it",
                     .noun = "one"},
  [RL_BAR_ONE_EDIT] = {NAMED(bar_one_edit), .access = RL_WRITE, .most = 15, .object = "`forget`",
                       .noun = "one"},
  [RL_PRACTICE]     = {NAMED(practice), .label = "Practice",
                       .comment = "What was counted chorus by chorus, a line each, as text.",
                       .access = RL_READ | RL_WRITE | RL_SAVED, .most = RL_PLAN_MAX, .object = "it",
                       .noun = "one"},
  [RL_LIFT]         = {NAMED(lift), .access = RL_WRITE, .most = RL_LIFT_ASK_MOST, .object = "it",
                       .noun = "one"},
  [RL_HEAR_TAKE]    = {NAMED(hear_take), .access = RL_WRITE, .most = RL_PLAN_MAX, .object = "it",
                       .noun = "one"},
};

LV2_URID
rl_property_urid(const RlProperty property, const RlUris *const uris)
{
  LV2_URID urid;
  memcpy(&urid, (const char *)uris + rl_properties[property].urid, sizeof(urid));
  return urid;
}

LV2_URID
rl_property_type(const RlProperty property, const RlUris *const uris)
{
  return rl_properties[property].path ? uris->atom_Path : uris->atom_String;
}

RlProperty
rl_property_of(const LV2_URID urid, const RlUris *const uris)
{
  int p = 0;
  while (p < RL_PROPERTIES && (!urid || rl_property_urid((RlProperty)p, uris) != urid)) {
    ++p;
  }
  return (RlProperty)p;
}
