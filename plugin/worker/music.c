/* SPDX-License-Identifier: ISC */
#include "plugin/worker/music.h"

#include "plugin/worker/chart_file.h"
#include "plugin/worker/setting.h"
#include "plugin/worker/takes.h"

#include <stdlib.h>
#include <string.h>

static void
forget(char **const unread)
{
  free(*unread);
  *unread = NULL;
}

/* ---- the line ---- */

void
rl_music_line(RlDocument *const document)
{
  RlSnapshot *const            m    = &document->master;
  const RlHarp                 harp = rl_harp_make(m->hand.harp);
  RlTargetLineWorkspace *const work =
    (RlTargetLineWorkspace *)malloc(sizeof(RlTargetLineWorkspace));
  memset(&m->line, 0, sizeof(m->line));
  if (work) {
    rl_target_line_find(&m->form, rl_snapshot_key(m, m->hand.song_key), &harp, m->hand.player, work,
                        &m->line);
  }
  free(work);
  rl_setting_problem(
    document, RL_ABOUT_LINE,
    work ? ""
         : "chart: not enough memory to find its targets; close another program and set it again");
}

/* ---- the lane ---- */

/* What of the plan there is no place for, in words. */
static void
lane_judge(RlDocument *const document, const bool made)
{
  const RlLane *const lane = &document->master.lane;
  char                words[512];
  RlText              text = rl_text_in(words, sizeof(words));
  if (!made) {
    rl_text_add(
      &text, "plan: not enough memory to fit the phrases; close another program and set it again");
  } else if (lane->left_over) {
    rl_text_add(&text, "plan: ");
    rl_text_add_int(&text, lane->left_over);
    rl_text_add(&text, " of its phrases stand on bars or beats that this chart does not have");
  } else if (lane->too_many) {
    rl_text_add(&text, "plan: more than 2048 notes; the last phrases are left out");
  } else if (lane->notes) {
    rl_text_add(&text, "plan: ");
    rl_lane_cuts_write(document->plan, lane, &document->master.form, &text);
    text = words[sizeof("plan: ") - 1] ? text : rl_text_in(words, sizeof(words));
  }
  rl_setting_problem(document, RL_ABOUT_LANE, words);
}

void
rl_music_lane(RlDocument *const document)
{
  RlSnapshot *const      m = &document->master;
  RlLaneWorkspace *const work =
    document->plan ? (RlLaneWorkspace *)malloc(sizeof(RlLaneWorkspace)) : NULL;
  m->lane.notes = m->lane.left_over = m->lane.too_many = 0;
  if (work) {
    rl_lane_make(document->plan, &m->form, rl_snapshot_key(m, m->hand.song_key), m->hand.harp,
                 m->hand.player, work, &m->lane);
  }
  lane_judge(document, work || !document->plan);
  free(work);
}

/* ---- the plan ---- */

static void
plan_adopt(RlDocument *const document, RlPlan *const plan, const RlSlice text)
{
  free(document->plan);
  document->plan = plan->planned_count ? plan : NULL;
  if (!document->plan) {
    free(plan);
  }
  rl_setting_text(document, RL_PLAN, text);
  rl_music_lane(document);
}

/* What a person should know of its phrases. */
static void
plan_judge(const RlPlan *const plan, RlText *const text)
{
  char   words[RL_PROBLEM_SIZE];
  RlText remarks = rl_text_in(words, sizeof(words));
  rl_plan_remarks_write(plan, &remarks);
  rl_text_add(text, remarks.used ? "plan: " : "");
  rl_text_add(text, words);
}

bool
rl_music_plan_set(RlDocument *const document, const RlSlice text, const char *const what)
{
  RlPlanError     error;
  RlPlan *const   plan   = (RlPlan *)malloc(sizeof(RlPlan));
  RlPhrase *const phrase = (RlPhrase *)malloc(sizeof(RlPhrase));
  const bool      good   = plan && phrase && rl_plan_read(text, phrase, plan, &error);
  char            words[RL_PROBLEM_SIZE];
  RlText          problem = rl_text_in(words, sizeof(words));
  rl_text_add(&problem, good ? "" : what);
  if (!plan || !phrase) {
    rl_text_add(&problem, "not enough memory to read it; close another program and set it again");
  } else if (!good) {
    rl_plan_error_write(&error, &problem);
  } else {
    problem = rl_text_in(words, sizeof(words));
    plan_judge(plan, &problem);
  }
  rl_setting_problem(document, RL_ABOUT_PLAN, words);
  free(phrase);
  if (!good) {
    free(plan);
    return false;
  }
  plan_adopt(document, plan, text);
  forget(&document->unread_plan);
  return true;
}

/* ---- the chart ---- */

/* What could not be worked out, for want of memory maybe, is tried again. */
static void
chart_again(RlDocument *const document)
{
  if (rl_problems_words(&document->problems, RL_ABOUT_LINE)[0]) {
    rl_music_line(document);
  }
  if (rl_problems_words(&document->problems, RL_ABOUT_LANE)[0]) {
    rl_music_lane(document);
  }
}

/* The same text once more is no change: nothing that hangs on the chart is forgotten. */
static bool
chart_is(const RlDocument *const document, const RlSlice text)
{
  const RlForm *const form = &document->master.form;
  return form->bars && text.length == form->text_length &&
         !memcmp(text.at, form->text, text.length);
}

static void
chart_adopt(RlDocument *const document, const RlForm *const form)
{
  const bool as_long = form->bars == document->master.form.bars;
  rl_takes_finish(document);
  memcpy(&document->master.form, form, sizeof(*form));
  ++document->master.version[RL_CHART];
  if (!as_long) {
    document->master.bar_one = (RlBarOne){0};
  }
  rl_music_line(document);
  rl_music_lane(document);
}

static void
chart_problem(RlDocument *const document, const char *const what, const RlChartError *const error)
{
  char   words[RL_PROBLEM_SIZE];
  RlText problem = rl_text_in(words, sizeof(words));
  rl_text_add(&problem, what);
  rl_text_add(&problem, *what ? ": " : "");
  rl_chart_error_write(error, &problem);
  rl_setting_problem(document, RL_ABOUT_CHART, words);
}

bool
rl_music_chart_set(RlDocument *const document, const RlSlice text, const char *const what)
{
  RlChartError  error;
  RlForm *const form = (RlForm *)malloc(sizeof(RlForm));
  if (!form) {
    rl_setting_problem(
      document, RL_ABOUT_CHART,
      "not enough memory to read the chart; close another program and set it again");
    return false;
  }
  const bool good = rl_chart_read(text, form, &error);
  if (!good) {
    chart_problem(document, what, &error);
  } else {
    if (chart_is(document, text)) {
      chart_again(document);
    } else {
      chart_adopt(document, form);
    }
    forget(&document->unread_chart);
    rl_setting_problem(document, RL_ABOUT_CHART, "");
  }
  free(form);
  return good;
}

/* ---- its file ---- */

static void
file_problem(RlDocument *const document, const char *const path, const char *const why)
{
  char   words[RL_PROBLEM_SIZE];
  RlText problem = rl_text_in(words, sizeof(words));
  rl_text_add(&problem, path);
  rl_text_add(&problem, ": ");
  rl_text_add(&problem, why);
  rl_text_add(&problem, "; choose a text file with a chart");
  rl_setting_problem(document, RL_ABOUT_CHART, words);
}

static void
chart_file_read(RlDocument *const document, const char *const path)
{
  char *const       text   = (char *)malloc(RL_CHART_MAX + 1);
  size_t            length = 0;
  const char *const why    = text ? rl_chart_file_read(path, text, &length) : "not enough memory";
  if (why) {
    file_problem(document, path, why);
  } else if (rl_music_chart_set(document, (RlSlice){text, length}, path)) {
    rl_setting_text(document, RL_CHART_FILE, rl_slice(path));
  }
  free(text);
}

void
rl_music_chart_file_set(RlDocument *const document, const RlSlice path)
{
  char   name[RL_PATH_SIZE];
  RlText text = rl_text_in(name, sizeof(name));
  rl_text_add_slice(&text, path);
  if (!path.length) {
    rl_setting_text(document, RL_CHART_FILE, path);
  } else if (path.length >= RL_PATH_SIZE) {
    file_problem(document, "chart_file", "the path is longer than 4095 bytes");
  } else {
    chart_file_read(document, name);
  }
}
