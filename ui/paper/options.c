/* SPDX-License-Identifier: ISC */
/* The command line of reedlamp-sheet. */
#include "ui/paper/program.h"

#include <stdio.h>
#include <string.h>

#ifndef RL_VERSION
#define RL_VERSION "unknown"
#endif

static const char version[] = "reedlamp-sheet " RL_VERSION "\n";

static const char usage[] =
  "usage: reedlamp-sheet [OPTION...] CHART -o FILE\n"
  "Draws the lesson sheet of a song for one harp and one player.\n"
  "\n"
  "  CHART, --chart=FILE   the chart; - reads it from standard input\n"
  "  --plan=FILE           phrases on its bars; - likewise\n"
  "  -o, --output=FILE     where to: FILE.pdf, FILE.svg or FILE.png; - is standard output\n"
  "  --format=FORMAT       pdf, svg or png, where FILE does not end in it\n"
  "  --paper=a4|letter     (a4)\n"
  "  --key=KEY             the key the song sounds in (as the chart says)\n"
  "  --harp=KEY            the note of hole 1 blow (the key that suits the song best)\n"
  "  --register=REGISTER   low, standard or high (standard)\n"
  "  --tuning=TUNING       a name or a number: 0 Richter, 1 raised third blow, 2 country,\n"
  "                        3 natural minor, 4 harmonic minor, 5 solo (0)\n"
  "  --bends=N             half steps this player bends drawn notes: 0 to 3 (3)\n"
  "  --blow-bends=N        and blown ones (3)\n"
  "  --overblows           this player overblows and overdraws\n"
  "  --help, --version\n"
  "\n"
  "A sheet of several pages as SVG or PNG becomes FILE-1, FILE-2, ...\n"
  "Exit status: 0 done, 1 the chart or plan is wrong or cannot be read, 2 the command line is\n"
  "not understood, 3 the sheet cannot be written.\n";

/* ---- values ---- */

/* The index of a word among `count`, -1 if it is none. */
static int
word_find(const char *const word, const char *const *const words, const int count)
{
  int i = 0;
  while (i < count && strcmp(word, words[i]) != 0) {
    ++i;
  }
  return i < count ? i : -1;
}

static bool
depth_take(const char *const value, uint8_t *const depth)
{
  const int n = rl_slice_number(rl_slice(value));
  *depth      = (uint8_t)n;
  return n >= 0 && n <= 3;
}

static bool
chart_take(RlSheetOptions *const w, const char *const value)
{
  const bool first = !w->chart;
  w->chart         = value;
  return first && *value;
}

static bool
plan_take(RlSheetOptions *const w, const char *const value)
{
  const bool first = !w->plan;
  w->plan          = value;
  return first && *value;
}

static bool
output_take(RlSheetOptions *const w, const char *const value)
{
  w->output = value;
  return *value;
}

static const char *const formats[RL_SHEET_FORMATS] = {"pdf", "svg", "png"};

static bool
format_take(RlSheetOptions *const w, const char *const value)
{
  const int format = word_find(value, formats, RL_SHEET_FORMATS);
  w->format        = (RlSheetFormat)format;
  return format >= 0;
}

static bool
paper_take(RlSheetOptions *const w, const char *const value)
{
  int size = 0;
  while (size < RL_PAPERS && strcmp(value, rl_paper_name((RlPaperSize)size)) != 0) {
    ++size;
  }
  w->size = (RlPaperSize)size;
  return size < RL_PAPERS;
}

static bool
key_take(RlSheetOptions *const w, const char *const value)
{
  w->has_key = true;
  return rl_key_read(rl_slice(value), &w->key);
}

static bool
harp_take(RlSheetOptions *const w, const char *const value)
{
  RlKey      key;
  const bool good = rl_key_read(rl_slice(value), &key) && !key.minor;
  w->has_harp     = true;
  w->harp.key     = good ? (uint8_t)rl_spelling_class(key.tonic) : 0;
  return good;
}

static bool
register_take(RlSheetOptions *const w, const char *const value)
{
  static const char *const names[] = {"low", "standard", "high"};
  const int                which   = word_find(value, names, 3);
  w->harp.range                    = (int8_t)(which - 1);
  return which >= 0;
}

static bool
tuning_take(RlSheetOptions *const w, const char *const value)
{
  int tuning = rl_slice_number(rl_slice(value));
  for (int i = 0; i < RL_TUNINGS; ++i) {
    tuning = strcmp(value, rl_tuning_name((RlTuning)i)) != 0 ? tuning : i;
  }
  w->harp.tuning = (RlTuning)tuning;
  return tuning >= 0 && tuning < RL_TUNINGS;
}

static bool
bends_take(RlSheetOptions *const w, const char *const value)
{
  return depth_take(value, &w->player.draw_bends);
}

static bool
blow_bends_take(RlSheetOptions *const w, const char *const value)
{
  return depth_take(value, &w->player.blow_bends);
}

static bool
overblows_take(RlSheetOptions *const w, const char *const value)
{
  (void)value;
  w->player.overblows = true;
  return true;
}

static bool
help_take(RlSheetOptions *const w, const char *const value)
{
  (void)value;
  w->said = usage;
  return true;
}

static bool
version_take(RlSheetOptions *const w, const char *const value)
{
  (void)value;
  w->said = version;
  return true;
}

/* ---- options ---- */

static const struct {
  const char *name;
  bool        alone; /* without a value */
  bool (*take)(RlSheetOptions *wish, const char *value);
  const char *why;
} options[] = {
  {"--chart", false, chart_take, "one chart, please: a file, or - for standard input"},
  {"--plan", false, plan_take, "one plan, please: a file, or - for standard input"},
  {"--output", false, output_take, "name a file, or - for standard output"},
  {"-o", false, output_take, "name a file, or - for standard output"},
  {"--format", false, format_take, "formats are pdf, svg, png"},
  {"--paper", false, paper_take, "papers are a4 and letter"},
  {"--key", false, key_take, "no such key; write G, Bb, F#, or Gm where the chart is in minor"},
  {"--harp", false, harp_take, "no such harp; write the note of hole 1 blow: C, Bb, F#"},
  {"--register", false, register_take, "registers are low, standard, high"},
  {"--tuning", false, tuning_take, "no such tuning; reedlamp-sheet --help names all six"},
  {"--bends", false, bends_take, "half steps run from 0 to 3"},
  {"--blow-bends", false, blow_bends_take, "half steps run from 0 to 3"},
  {"--overblows", true, overblows_take, "takes no value"},
  {"--help", true, help_take, "takes no value"},
  {"-h", true, help_take, "takes no value"},
  {"--version", true, version_take, "takes no value"},
};
enum { OPTIONS = sizeof(options) / sizeof(*options) };

/* The option an argument names, and behind a `=` its value (else NULL); -1 if it names none. */
static int
option_find(const char *const argument, const char **const value)
{
  const size_t length = strcspn(argument, "=");
  *value              = argument[length] ? argument + length + 1 : NULL;
  for (int i = 0; i < OPTIONS; ++i) {
    if (strlen(options[i].name) == length && !strncmp(argument, options[i].name, length)) {
      return i;
    }
  }
  return -1;
}

static RlSheetStatus
refuse(const char *const argument, const char *const why)
{
  return rl_sheet_complain(RL_SHEET_BAD_OPTIONS, argument, why);
}

/* Takes the argument at `at`, and the one behind it where that is its value. */
static RlSheetStatus
argument_take(const int count, char *const *const arguments, int *const at, RlSheetOptions *const w)
{
  const char *const argument = arguments[*at];
  const char       *value    = NULL;
  const int         i        = option_find(argument, &value);
  if (argument[0] != '-' || !argument[1]) {
    return chart_take(w, argument) ? RL_SHEET_OK : refuse(argument, options[0].why);
  }
  if (i < 0) {
    return refuse(argument, "not understood; reedlamp-sheet --help says what is");
  }
  if (!options[i].alone && !value) {
    if (*at + 1 == count) {
      return refuse(argument, "a value must follow; reedlamp-sheet --help says which");
    }
    value = arguments[++*at];
  }
  return (!options[i].alone || !value) && options[i].take(w, value)
           ? RL_SHEET_OK
           : refuse(argument, options[i].why);
}

/* ---- what fits together ---- */

static RlSheetStatus
format_find(RlSheetOptions *const w)
{
  const char *const dot = strrchr(w->output, '.');
  if (w->format != RL_SHEET_FORMATS) {
    return RL_SHEET_OK;
  }
  if (!strcmp(w->output, "-")) {
    w->format = RL_SHEET_PDF;
    return RL_SHEET_OK;
  }
  return dot && format_take(w, dot + 1)
           ? RL_SHEET_OK
           : refuse(w->output, "which format? Let it end in .pdf, .svg or .png, or use --format");
}

RlSheetStatus
rl_sheet_options(const int count, char *const *const arguments, RlSheetOptions *const w)
{
  *w = (RlSheetOptions){.player = {3, 3, false}, .format = RL_SHEET_FORMATS};
  for (int at = 1; at < count && !w->said; ++at) {
    const RlSheetStatus end = argument_take(count, arguments, &at, w);
    if (end != RL_SHEET_OK) {
      return end;
    }
  }
  if (w->said) {
    return RL_SHEET_OK;
  }
  if (!w->chart) {
    return refuse(NULL, "which chart? Name its file; reedlamp-sheet --help says more");
  }
  if (!w->output) {
    return refuse(NULL, "where to? Name a file with -o: sheet.pdf, .svg or .png");
  }
  if (w->plan && !strcmp(w->plan, "-") && !strcmp(w->chart, "-")) {
    return refuse("--plan", "chart and plan cannot both come from standard input");
  }
  return format_find(w);
}
