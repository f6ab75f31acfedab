/* SPDX-License-Identifier: ISC */
#include "ui/paper/input.h"

#include "core/arrange/finder.h"
#include "core/arrange/plan.h"
#include "core/chart/chart.h"
#include "ui/paper/compose.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TEXT_SIZE = RL_CHART_MAX + 2, WORDS_SIZE = 512, KEYS = 12 };

_Static_assert((int)RL_PLAN_MAX <= (int)RL_CHART_MAX, "a plan is read into the buffer of a chart");

typedef struct {
  char   at[TEXT_SIZE]; /* one byte more than allowed, so that too much is noticed */
  size_t length;
} Text;

/* ---- texts ---- */

static RlSheetStatus
wrong(const char *const path, const char *const why)
{
  return rl_sheet_complain(RL_SHEET_BAD_INPUT, strcmp(path, "-") != 0 ? path : "standard input",
                           why);
}

/* Only a plain file, and opened without waiting: a named pipe would block until someone writes. */
static int
file_open(const char *const path, const char **const why)
{
  struct stat is;
  const int   file = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  if (file < 0) {
    *why = strerror(errno);
  } else if (fstat(file, &is) != 0 || !S_ISREG(is.st_mode)) {
    *why = "not a regular file; name one, or - for standard input";
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
  while (!why && text->length + 1 < TEXT_SIZE) {
    const ssize_t n = read(file, text->at + text->length, TEXT_SIZE - 1 - text->length);
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
  char                words[WORDS_SIZE];
  RlText              out    = rl_text_in(words, sizeof(words));
  const RlSheetStatus status = text_read(path, text);
  if (status != RL_SHEET_OK || rl_chart_read((RlSlice){text->at, text->length}, form, &error)) {
    return status;
  }
  rl_chart_error_write(&error, &out);
  return wrong(path, words);
}

/* A key as it is spelled, or, where that would take more than six sharps or flats, by the name it
   usually goes by. */
static RlKey
key_usual(const RlKey key)
{
  static const int sharps[] = {0, 2, 4, -1, 1, 3, 5}; /* of C to B major, in fifths from C */
  const int        signs    = sharps[key.tonic.letter] + 7 * key.tonic.alter - (key.minor ? 3 : 0);
  return abs(signs) > 6 ? rl_key_named(rl_spelling_class(key.tonic), key.minor) : key;
}

/* The key asked for, in the chart's mode; else the chart's. */
static RlSheetStatus
key_choose(const RlSheetOptions *const options, RlSheetInput *const input)
{
  if (options->has_key && options->key.minor && !input->form.key.minor) {
    return rl_sheet_complain(RL_SHEET_BAD_OPTIONS, "--key",
                             "the chart is in a major key; name one without m");
  }
  input->sheet.key = options->has_key
                       ? key_usual((RlKey){options->key.tonic, input->form.key.minor})
                       : input->form.key;
  return RL_SHEET_OK;
}

/* The key that suits the song best, in the register and tuning asked for. */
static RlHarpChoice
harp_choose(const RlSheetOptions *const options, const RlSheetInput *const input)
{
  RlHarpChoice harps[KEYS];
  RlFinding    ranked[KEYS];
  for (int i = 0; i < KEYS; ++i) {
    harps[i] = (RlHarpChoice){(uint8_t)i, options->harp.range, options->harp.tuning};
  }
  rl_finder_rank(&input->form, input->sheet.key, harps, KEYS, options->player, ranked);
  return ranked[0].choice;
}

/* ---- plan ---- */

static RlSheetStatus
line_wrong(const char *const path, const int line, const char *const what, const int number,
           const char *const why, const int most, const char *const way_out)
{
  char   words[WORDS_SIZE];
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

/* Every bar, beat and chorus that the plan names must be in the form. */
static RlSheetStatus
plan_check(const char *const path, const RlPlan *const plan, const RlForm *const f)
{
  const int bars = f->bars + f->ending_bars;
  for (int i = 0; i < plan->planned_count; ++i) {
    const RlPlanned *const p     = &plan->planned[i];
    const int              beats = p->bar <= bars ? f->bar[p->bar - 1].beats : 0;
    const uint32_t         choruses =
      f->choruses && f->choruses < RL_PLAN_CHORUSES ? (1U << f->choruses) - 1 : UINT32_MAX;
    if (!beats) {
      return line_wrong(path, p->line, ": bar ", p->bar, ": the form has only ", bars,
                        "; choose another bar");
    }
    if (p->beat >= 1000 * beats) {
      return line_wrong(path, p->line, ": beat ", p->beat / 1000 + 1, ": the bar has only ", beats,
                        "; choose another beat");
    }
    if (p->bar <= f->bars && p->choruses & ~choruses) {
      return line_wrong(path, p->line, ": a chorus after the ", f->choruses,
                        " that the chart has; name 1 to ", f->choruses,
                        ", or change the chart's `choruses:`");
    }
  }
  for (int bar = bars + 1; bar <= RL_BARS_MAX; ++bar) {
    if (rl_plan_answers(plan, bar)) {
      return line_wrong(path, 1, " or later: `answer:` names bar ", bar, ", but the form has only ",
                        bars, "; remove it");
    }
  }
  return RL_SHEET_OK;
}

static RlSheetStatus
plan_read(const char *const path, Text *const text, RlSheetInput *const input)
{
  RlPlanError         error;
  char                words[WORDS_SIZE];
  RlText              out    = rl_text_in(words, sizeof(words));
  const RlSheetStatus status = text_read(path, text);
  if (status != RL_SHEET_OK) {
    return status;
  }
  if (!rl_plan_read((RlSlice){text->at, text->length}, &input->workspace.phrase, &input->plan,
                    &error)) {
    rl_plan_error_write(&error, &out);
    return wrong(path, words);
  }
  return plan_check(path, &input->plan, &input->form);
}

static RlSheetStatus
lane_make(const RlSheetOptions *const options, RlSheetInput *const input)
{
  RlSheet *const sheet = &input->sheet;
  rl_lane_make(&input->plan, &input->form, sheet->key, sheet->harp, sheet->player,
               &input->workspace, &input->lane);
  sheet->plan      = &input->plan;
  sheet->lane      = &input->lane;
  sheet->workspace = &input->workspace;
  return input->lane.too_many
           ? wrong(options->plan,
                   "more than 2048 notes in all; take phrases out, or make two plans")
           : RL_SHEET_OK;
}

RlSheetStatus
rl_sheet_input_read(const RlSheetOptions *const options, RlSheetInput *const input)
{
  static Text                  text;
  static RlTargetLineWorkspace scratch;
  assert(options->chart && !options->message);
  RlSheetStatus status = chart_read(options->chart, &text, &input->form);
  if (status != RL_SHEET_OK || (status = key_choose(options, input)) != RL_SHEET_OK) {
    return status;
  }
  input->sheet.form   = &input->form;
  input->sheet.player = options->player;
  input->sheet.show   = options->show;
  input->sheet.size   = options->size;
  input->sheet.harp   = options->has_harp ? options->harp : harp_choose(options, input);
  if (options->plan && ((status = plan_read(options->plan, &text, input)) != RL_SHEET_OK ||
                        (status = lane_make(options, input)) != RL_SHEET_OK)) {
    return status;
  }
  rl_sheet_aim(&input->sheet, &scratch, &input->line);
  rl_sheet_fit(&input->sheet);
  return RL_SHEET_OK;
}
