/* SPDX-License-Identifier: ISC */
#include "ui/paper/options.h"

#include <stdio.h>
#include <string.h>

#ifndef RL_VERSION
#define RL_VERSION "unknown"
#endif

enum { AS_DRAWN = 4 /* blow bends as deep as draw bends, as long as nothing else is said */ };

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
  "  --blow-bends=N        and blown ones (as --bends)\n"
  "  --overblows           this player overblows and overdraws\n"
  "  --show=N              which notes the combs have: 1 targets, 2 with chord tones, 3 with safe\n"
  "                        and blue notes, 4 all (4)\n"
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
depth_set(const char *const value, uint8_t *const depth)
{
  const int n = rl_slice_number(rl_slice(value));
  *depth      = (uint8_t)n;
  return n >= 0 && n <= 3;
}

static bool
chart_set(RlSheetOptions *const options, const char *const value)
{
  const bool first = !options->chart;
  options->chart   = value;
  return first && *value;
}

static bool
plan_set(RlSheetOptions *const options, const char *const value)
{
  const bool first = !options->plan;
  options->plan    = value;
  return first && *value;
}

static bool
output_set(RlSheetOptions *const options, const char *const value)
{
  options->output = value;
  return *value;
}

static const char *const formats[RL_SHEET_FORMATS] = {"pdf", "svg", "png"};

static bool
format_set(RlSheetOptions *const options, const char *const value)
{
  const int format = word_find(value, formats, RL_SHEET_FORMATS);
  options->format  = (RlSheetFormat)format;
  return format >= 0;
}

static bool
paper_set(RlSheetOptions *const options, const char *const value)
{
  int size = 0;
  while (size < RL_PAPERS && strcmp(value, rl_paper_name((RlPaperSize)size)) != 0) {
    ++size;
  }
  options->size = (RlPaperSize)size;
  return size < RL_PAPERS;
}

static bool
key_set(RlSheetOptions *const options, const char *const value)
{
  options->has_key = true;
  return rl_key_read(rl_slice(value), &options->key);
}

static bool
harp_set(RlSheetOptions *const options, const char *const value)
{
  RlKey      key;
  const bool good   = rl_key_read(rl_slice(value), &key) && !key.minor;
  options->has_harp = true;
  options->harp.key = good ? (uint8_t)rl_spelling_class(key.tonic) : 0;
  return good;
}

static bool
register_set(RlSheetOptions *const options, const char *const value)
{
  static const char *const names[] = {"low", "standard", "high"};
  const int                which   = word_find(value, names, 3);
  options->harp.range              = (int8_t)(which - 1);
  return which >= 0;
}

static bool
tuning_set(RlSheetOptions *const options, const char *const value)
{
  int tuning = rl_slice_number(rl_slice(value));
  for (int i = 0; i < RL_TUNINGS; ++i) {
    tuning = strcmp(value, rl_tuning_name((RlTuning)i)) != 0 ? tuning : i;
  }
  options->harp.tuning = (RlTuning)tuning;
  return tuning >= 0 && tuning < RL_TUNINGS;
}

static bool
bends_set(RlSheetOptions *const options, const char *const value)
{
  return depth_set(value, &options->player.draw_bends);
}

static bool
blow_bends_set(RlSheetOptions *const options, const char *const value)
{
  return depth_set(value, &options->player.blow_bends);
}

static bool
overblows_set(RlSheetOptions *const options, const char *const value)
{
  (void)value;
  options->player.overblows = true;
  return true;
}

static bool
show_set(RlSheetOptions *const options, const char *const value)
{
  const int n   = rl_slice_number(rl_slice(value));
  options->show = (RlShow)n;
  return n >= RL_SHOW_TARGETS && n <= RL_SHOW_ALL;
}

static bool
help_set(RlSheetOptions *const options, const char *const value)
{
  (void)value;
  options->message = usage;
  return true;
}

static bool
version_set(RlSheetOptions *const options, const char *const value)
{
  (void)value;
  options->message = version;
  return true;
}

/* ---- options ---- */

static const struct {
  const char *name;
  bool        alone; /* takes no value */
  bool (*set)(RlSheetOptions *options, const char *value);
  const char *why;
} known[] = {
  {"--chart", false, chart_set, "one chart, please: a file, or - for standard input"},
  {"--plan", false, plan_set, "one plan, please: a file, or - for standard input"},
  {"--output", false, output_set, "name a file, or - for standard output"},
  {"-o", false, output_set, "name a file, or - for standard output"},
  {"--format", false, format_set, "formats are pdf, svg, png"},
  {"--paper", false, paper_set, "papers are a4 and letter"},
  {"--key", false, key_set, "no such key; write G, Bb, F#, or Gm where the chart is in minor"},
  {"--harp", false, harp_set, "no such harp; write the note of hole 1 blow: C, Bb, F#"},
  {"--register", false, register_set, "registers are low, standard, high"},
  {"--tuning", false, tuning_set, "no such tuning; reedlamp-sheet --help names all six"},
  {"--bends", false, bends_set, "half steps run from 0 to 3"},
  {"--blow-bends", false, blow_bends_set, "half steps run from 0 to 3"},
  {"--overblows", true, overblows_set, "takes no value"},
  {"--show", false, show_set, "how much the combs show runs from 1 (targets) to 4 (all)"},
  {"--help", true, help_set, "takes no value"},
  {"-h", true, help_set, "takes no value"},
  {"--version", true, version_set, "takes no value"},
};
enum { KNOWN = sizeof(known) / sizeof(*known) };

/* The option an argument names, and behind a `=` its value (else NULL); -1 if it names none. */
static int
option_find(const char *const argument, const char **const value)
{
  const size_t length = strcspn(argument, "=");
  *value              = argument[length] ? argument + length + 1 : NULL;
  for (int i = 0; i < KNOWN; ++i) {
    if (strlen(known[i].name) == length && !strncmp(argument, known[i].name, length)) {
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

/* Reads the argument at `at`, and the one behind it where that is its value. */
static RlSheetStatus
argument_set(const int count, char *const *const arguments, int *const at,
             RlSheetOptions *const options)
{
  const char *const argument = arguments[*at];
  const char       *value    = NULL;
  const int         i        = option_find(argument, &value);
  if (argument[0] != '-' || !argument[1]) {
    return chart_set(options, argument) ? RL_SHEET_OK : refuse(argument, known[0].why);
  }
  if (i < 0) {
    return refuse(argument, "not understood; see reedlamp-sheet --help");
  }
  if (!known[i].alone && !value) {
    if (*at + 1 == count) {
      return refuse(argument, "needs a value; see reedlamp-sheet --help");
    }
    value = arguments[++*at];
  }
  return (!known[i].alone || !value) && known[i].set(options, value)
           ? RL_SHEET_OK
           : refuse(argument, known[i].why);
}

/* ---- all together ---- */

static RlSheetStatus
format_find(RlSheetOptions *const options)
{
  const char *const dot = strrchr(options->output, '.');
  if (options->format != RL_SHEET_FORMATS) {
    return RL_SHEET_OK;
  }
  if (!strcmp(options->output, "-")) {
    options->format = RL_SHEET_PDF;
    return RL_SHEET_OK;
  }
  return dot && format_set(options, dot + 1)
           ? RL_SHEET_OK
           : refuse(options->output,
                    "which format? End the name in .pdf, .svg or .png, or use --format");
}

RlSheetStatus
rl_sheet_options_read(const int count, char *const *const arguments, RlSheetOptions *const options)
{
  *options = (RlSheetOptions){
    .player = {3, AS_DRAWN, false}, .show = RL_SHOW_ALL, .format = RL_SHEET_FORMATS};
  for (int at = 1; at < count && !options->message; ++at) {
    const RlSheetStatus status = argument_set(count, arguments, &at, options);
    if (status != RL_SHEET_OK) {
      return status;
    }
  }
  if (options->player.blow_bends == AS_DRAWN) {
    options->player.blow_bends = options->player.draw_bends;
  }
  if (options->message) {
    return RL_SHEET_OK;
  }
  if (!options->chart) {
    return refuse(NULL, "which chart? Name its file; see reedlamp-sheet --help");
  }
  if (!options->output) {
    return refuse(NULL, "where to? Name a file with -o: sheet.pdf, .svg or .png");
  }
  if (options->plan && !strcmp(options->plan, "-") && !strcmp(options->chart, "-")) {
    return refuse("--plan", "chart and plan cannot both come from standard input");
  }
  return format_find(options);
}
