/* SPDX-License-Identifier: ISC */
#include "ui/controller/chart_origin.h"

#include "ui/controller/controller_state.h"
#include "ui/files/recent_charts.h"

#include <string.h>

/* FNV-1a: Fowler, Noll, Vo; IETF draft-eastlake-fnv. */
static uint64_t
mark_of(const char *text)
{
  uint64_t mark = 14695981039346656037U;
  for (; *text; ++text) {
    mark = (mark ^ (unsigned char)*text) * 1099511628211U;
  }
  return mark;
}

static void
watched_port(void *const data, const RlPort port, const float value)
{
  const RlController *const c = (const RlController *)data;
  c->origin.plugin.set_port(c->origin.plugin.data, port, value);
}

static void
watched_text(void *const data, const RlProperty which, const char *const text)
{
  RlController *const c = (RlController *)data;
  if (which == RL_CHART) {
    c->origin.sent[c->origin.sent_next] = mark_of(text);
    c->origin.sent_next                 = (c->origin.sent_next + 1) % RL_CHARTS_SENT;
  }
  c->origin.plugin.set_text(c->origin.plugin.data, which, text);
}

void
rl_chart_origin_watch(RlController *const c)
{
  c->origin.plugin = c->plugin;
  c->plugin        = (RlControllerPlugin){c, watched_port, watched_text};
}

bool
rl_chart_origin_saved(const RlController *const c)
{
  const RlForm *const f = c->view.form;
  return f && c->origin.file[0] && c->origin.base.length == f->text_length &&
         !memcmp(c->origin.base.text, f->text, f->text_length);
}

void
rl_chart_origin_text(const RlController *const c, RlChartText *const text)
{
  const RlForm *const f = c->view.form;
  text->length          = f->text_length;
  memcpy(text->text, f->text, f->text_length);
  text->text[f->text_length] = '\0';
}

/* A chart that this window has sent is the one before, changed. Another one came from somewhere
   else: the file before is not its own. */
void
rl_chart_origin_hear_chart(RlController *const c)
{
  const uint64_t mark = mark_of(c->view.form->text);
  bool           own  = rl_chart_origin_saved(c);
  for (int i = 0; i < RL_CHARTS_SENT; ++i) {
    own = own || c->origin.sent[i] == mark;
  }
  if (!own) {
    c->origin.file[0] = '\0';
  }
  c->view.charts.saved = rl_chart_origin_saved(c);
}

void
rl_chart_origin_note(RlController *const c, const char *const path)
{
  if (c->charts.state[0] && strcmp(path, c->origin.noted) != 0) {
    rl_recent_charts_note(c->charts.state, path);
  }
  rl_charts_copy(c->origin.noted, sizeof(c->origin.noted), path);
}

/* The first one told is what the session had; a later one was just opened. */
void
rl_chart_origin_hear_file(RlController *const c, const char *const path)
{
  if (path[0] && c->view.form) {
    rl_chart_origin_text(c, &c->origin.base);
    rl_charts_copy(c->origin.file, sizeof(c->origin.file), path);
  }
  if (path[0] && c->origin.heard) {
    rl_chart_origin_note(c, path);
  }
  c->origin.heard      = true;
  c->view.charts.saved = rl_chart_origin_saved(c);
}
