/* SPDX-License-Identifier: ISC */
#include "plugin/worker/session.h"

#include "core/chart/chart.h"
#include "core/chart/edit.h"
#include "plugin/worker/music.h"
#include "plugin/worker/setting.h"
#include "plugin/worker/takes.h"

#include <stdlib.h>
#include <string.h>

/* A text that cannot be read is saved again as it came. Without memory for that the session's own
   file is all there is of it. */
static void
unread_keep(RlDocument *const document, char **const unread, const RlSlice text)
{
  free(*unread);
  *unread = (char *)malloc(text.length + 1);
  if (*unread) {
    memcpy(*unread, text.at, text.length);
    (*unread)[text.length] = '\0';
  } else {
    rl_setting_problem(document, RL_ABOUT_SESSION,
                       "session: not enough memory to keep what could not be read; do not save it, "
                       "close another program and open it again");
  }
}

/* A chart from before there were newer rules gets the line that says so, where it means something
   else today: what it sounds stays. Written into `marked`; without memory or room for the line it
   cannot be read. */
static bool
chart_set(RlDocument *const document, const RlSession *const session, RlText *const marked,
          RlForm *const scratch)
{
  static const char saved[] = "the saved chart";
  const RlSlice     chart   = session->text[RL_CHART];
  if (session->chart_rules >= RL_CHART_RULES || chart.length > RL_CHART_MAX) {
    return rl_music_chart_set(document, chart, saved);
  }
  if (!marked->to || !scratch) {
    rl_setting_problem(
      document, RL_ABOUT_CHART,
      "not enough memory to read the chart; close another program and set it again");
    return false;
  }
  if (!rl_chart_of_rules_1(chart, scratch, marked)) {
    rl_setting_problem(document, RL_ABOUT_CHART,
                       "the saved chart: no room to say that it is written under the older rules; "
                       "shorten it and put chart-rules: 1 at its top");
    return false;
  }
  return rl_music_chart_set(document, (RlSlice){marked->to, marked->used}, saved);
}

static void
chart_read(RlDocument *const document, const RlSession *const session)
{
  char *const   buffer  = (char *)malloc(2 * RL_CHART_SIZE);
  RlForm *const scratch = (RlForm *)malloc(2 * sizeof(RlForm));
  RlText        marked  = {buffer, 2 * RL_CHART_SIZE, 0};
  if (!chart_set(document, session, &marked, scratch)) {
    unread_keep(document, &document->unread_chart, session->text[RL_CHART]);
    document->unread_rules = session->chart_rules;
  }
  free(scratch);
  free(buffer);
}

/* Where a session has a chart, the chart's file is not read again. */
static void
chart_restore(RlDocument *const document, const RlSession *const session)
{
  const RlSlice chart = session->text[RL_CHART];
  const RlSlice file  = session->text[RL_CHART_FILE];
  if (chart.at) {
    chart_read(document, session);
    rl_setting_text(document, RL_CHART_FILE, file.at ? file : rl_slice(""));
  } else if (file.at) {
    rl_music_chart_file_set(document, file);
  }
}

static void
plan_restore(RlDocument *const document, const RlSlice plan)
{
  if (plan.at && !rl_music_plan_set(document, plan, "the saved plan: ")) {
    unread_keep(document, &document->unread_plan, plan);
  }
}

void
rl_session_restore(RlDocument *const document, const RlSession *const session)
{
  pthread_mutex_lock(&document->lock);
  if (rl_problems_words(&document->problems, RL_ABOUT_SESSION)[0]) {
    rl_setting_problem(document, RL_ABOUT_SESSION, "");
  }
  chart_restore(document, session);
  plan_restore(document, session->text[RL_PLAN]);
  if (session->text[RL_TAKE].at) {
    rl_takes_restore(document, session->text[RL_TAKE]);
  }
  if (session->text[RL_PRACTICE].at) {
    rl_practice_set(document, session->text[RL_PRACTICE]);
  }
  if (session->text[RL_OSC_TO].at) {
    rl_setting_set(document, RL_OSC_TO, session->text[RL_OSC_TO]);
  }
  document->master.bar_one = session->bar_one;
  ++document->master.bar_one_version;
  rl_snapshot_pool_put(&document->pool, &document->master);
  pthread_mutex_unlock(&document->lock);
}

void
rl_session_save(RlDocument *const document, void (*const save)(void *, const RlSession *),
                void *const       data)
{
  pthread_mutex_lock(&document->lock);
  RlSession session = {.chart_rules = RL_CHART_RULES, .bar_one = document->master.bar_one};
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    if (rl_properties[p].access & RL_SAVED) {
      session.text[p] = rl_slice(rl_snapshot_text(&document->master, (RlProperty)p));
    }
  }
  if (document->unread_chart) {
    session.text[RL_CHART] = rl_slice(document->unread_chart);
    session.chart_rules    = document->unread_rules;
  }
  if (document->unread_plan) {
    session.text[RL_PLAN] = rl_slice(document->unread_plan);
  }
  save(data, &session);
  pthread_mutex_unlock(&document->lock);
}
