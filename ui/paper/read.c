/* SPDX-License-Identifier: ISC */
/* What a sheet is made of: chart, plan, harp. */
#include "ui/paper/program.h"

#include "core/arrange/finder.h"
#include "core/arrange/plan.h"
#include "core/chart/chart.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TEXT_ROOM = RL_CHART_MAX + 2, WORDS_ROOM = 512, KEYS = 12 };

typedef struct {
  char   at[TEXT_ROOM]; /* one byte more than may be, so that too much is seen */
  size_t length;
} Text;

/* ---- texts ---- */

static RlSheetStatus
wrong(const char *const path, const char *const why)
{
  return rl_sheet_complain(RL_SHEET_BAD_INPUT, strcmp(path, "-") != 0 ? path : "standard input",
                           why);
}

/* Without waiting: a pipe with a name has no end to wait for. */
static int
file_open(const char *const path, const char **const why)
{
  struct stat is;
  const int   file = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  if (file < 0) {
    *why = strerror(errno);
  } else if (fstat(file, &is) != 0 || !S_ISREG(is.st_mode)) {
    *why = "not a plain file; name one, or - for standard input";
    close(file);
    return -1;
  }
  return file;
}

static RlSheetStatus
text_read(const char *const path, Text *const text)
{
  const char *why  = NULL;
  const int   file = strcmp(path, "-") != 0 ? file_open(path, &why) : STDIN_FILENO;
  text->length     = 0;
  while (!why && text->length + 1 < TEXT_ROOM) {
    const ssize_t n = read(file, text->at + text->length, TEXT_ROOM - 1 - text->length);
    if (n == 0) {
      break;
    }
    if (n < 0 && errno != EINTR) {
      why = strerror(errno);
    }
    text->length += n > 0 ? (size_t)n : 0;
  }
  if (file > STDIN_FILENO) {
    close(file);
  }
  return why ? wrong(path, why) : RL_SHEET_OK;
}

/* ---- chart and key ---- */

static RlSheetStatus
chart_read(const char *const path, Text *const text, RlForm *const form)
{
  RlChartError        error;
  char                words[WORDS_ROOM];
  RlText              out = rl_text_in(words, sizeof(words));
  const RlSheetStatus end = text_read(path, text);
  if (end != RL_SHEET_OK || rl_chart_read((RlSlice){text->at, text->length}, form, &error)) {
    return end;
  }
  rl_chart_error_write(&error, &out);
  return wrong(path, words);
}

/* The key by the name it usually goes by; its mode is the chart's. */
static RlSheetStatus
key_choose(const RlSheetOptions *const w, RlSheetInput *const s)
{
  if (w->has_key && w->key.minor && !s->form.key.minor) {
    return rl_sheet_complain(RL_SHEET_BAD_OPTIONS, "--key",
                             "the chart is in a major key; name one without m");
  }
  s->sheet.key = w->has_key ? rl_key_named(rl_spelling_class(w->key.tonic), s->form.key.minor)
                            : rl_key_named(rl_spelling_class(s->form.key.tonic), s->form.key.minor);
  return RL_SHEET_OK;
}

/* The key that suits the song best, in the register and tuning asked for. */
static RlHarpChoice
harp_choose(const RlSheetOptions *const w, const RlSheetInput *const s)
{
  RlHarpChoice harps[KEYS];
  RlFinding    ranked[KEYS];
  for (int i = 0; i < KEYS; ++i) {
    harps[i] = (RlHarpChoice){(uint8_t)i, w->harp.range, w->harp.tuning};
  }
  rl_finder_rank(&s->form, s->sheet.key, harps, KEYS, w->player, ranked);
  return ranked[0].choice;
}

/* ---- plan ---- */

static RlSheetStatus
line_wrong(const char *const path, const int line, const char *const what, const int number,
           const char *const why, const int most, const char *const way_out)
{
  char   words[WORDS_ROOM];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add(&text, "line ");
  rl_text_add_int(&text, line);
  rl_text_add(&text, what);
  rl_text_add_int(&text, number);
  rl_text_add(&text, why);
  rl_text_add_int(&text, most);
  rl_text_add(&text, way_out);
  return wrong(path, words);
}

/* Is everything in the plan somewhere in the song? */
static RlSheetStatus
plan_check(const char *const path, const RlPlan *const plan, const RlForm *const f)
{
  const int bars = f->bars + f->ending_bars;
  for (int i = 0; i < plan->planned_count; ++i) {
    const RlPlanned *const p     = &plan->planned[i];
    const int              beats = p->bar <= bars ? f->bar[p->bar - 1].beats : 0;
    const uint32_t         heard =
      f->choruses && f->choruses < RL_PLAN_CHORUSES ? (1U << f->choruses) - 1 : UINT32_MAX;
    if (!beats) {
      return line_wrong(path, p->line, ": bar ", p->bar, " is none of the form's ", bars,
                        "; choose another bar");
    }
    if (p->beat >= 1000 * beats) {
      return line_wrong(path, p->line, ": beat ", p->beat / 1000 + 1, " is none of the bar's ",
                        beats, "; choose another beat");
    }
    if (p->bar <= f->bars && p->choruses & ~heard) {
      return line_wrong(path, p->line, ": a chorus after the ", f->choruses,
                        " that the chart has; name 1 to ", f->choruses,
                        ", or change the chart's `choruses:`");
    }
  }
  for (int bar = bars + 1; bar <= RL_BARS_MAX; ++bar) {
    if (rl_plan_answers(plan, bar)) {
      return line_wrong(path, 1, " or later: `answer:` names bar ", bar, ", none of the form's ",
                        bars, "; take it out");
    }
  }
  return RL_SHEET_OK;
}

static RlSheetStatus
plan_read(const char *const path, Text *const text, RlSheetInput *const s)
{
  RlPlanError         error;
  char                words[WORDS_ROOM];
  RlText              out = rl_text_in(words, sizeof(words));
  const RlSheetStatus end = text_read(path, text);
  if (end != RL_SHEET_OK) {
    return end;
  }
  if (!rl_plan_read((RlSlice){text->at, text->length}, &s->workspace.phrase, &s->plan, &error)) {
    rl_plan_error_write(&error, &out);
    return wrong(path, words);
  }
  return plan_check(path, &s->plan, &s->form);
}

static RlSheetStatus
lane_make(const RlSheetOptions *const w, RlSheetInput *const s)
{
  RlSheet *const p = &s->sheet;
  rl_lane_make(&s->plan, &s->form, p->key, p->harp, p->player, &s->workspace, &s->lane);
  p->plan      = &s->plan;
  p->lane      = &s->lane;
  p->workspace = &s->workspace;
  return s->lane.too_many
           ? wrong(w->plan, "more than 2048 notes in all; take phrases out, or make two plans")
           : RL_SHEET_OK;
}

RlSheetStatus
rl_sheet_read(const RlSheetOptions *const w, RlSheetInput *const s)
{
  static Text   text;
  RlSheetStatus end = chart_read(w->chart, &text, &s->form);
  if (end != RL_SHEET_OK || (end = key_choose(w, s)) != RL_SHEET_OK) {
    return end;
  }
  s->sheet.form   = &s->form;
  s->sheet.player = w->player;
  s->sheet.size   = w->size;
  s->sheet.harp   = w->has_harp ? w->harp : harp_choose(w, s);
  if (w->plan && ((end = plan_read(w->plan, &text, s)) != RL_SHEET_OK ||
                  (end = lane_make(w, s)) != RL_SHEET_OK)) {
    return end;
  }
  rl_sheet_fit(&s->sheet);
  return RL_SHEET_OK;
}
