/* SPDX-License-Identifier: ISC */
/* The command line of reedlamp-listen. */
#include "ui/listen/listen.h"

#include <stdlib.h>
#include <string.h>

static const char version[] = "reedlamp-listen " RL_VERSION "\n";

static const char usage[] =
  "usage: reedlamp-listen SOUND --chart=FILE [OPTION...]\n"
  "Finds the bars of a song's form in a recording of it.\n"
  "\n"
  "  SOUND             the recording: WAV, FLAC, Ogg Vorbis, whatever libsndfile reads\n"
  "  --chart=FILE      the form\n"
  "  -o, --output=FILE where to (standard output; a click needs a file)\n"
  "  --as=midi         a Standard MIDI File: tempo map, a marker for every chorus and section\n"
  "  --as=bars         text: the second, chorus and number of every bar\n"
  "  --as=beats        text: second, chorus, bar, beat and how sure, a line for every felt beat\n"
  "  --as=click        the recording with a click on every beat, as WAV\n"
  "  --key=KEY         the key the song sounds in (found)\n"
  "  --tempo=TEMPO     felt beats a minute to start out from, 50 to 220 (found)\n"
  "  --help, --version\n"
  "\n"
  "Key, tempo, tuning and feel are said on standard error.\n"
  "Exit status: 0 done, 1 the chart or the sound is wrong or cannot be read, 2 the command line "
  "is\n"
  "not understood, 3 the result cannot be written.\n";

/* ---- values ---- */

static bool
sound_take(RlListenOptions *const w, const char *const value)
{
  const bool first = !w->sound;
  w->sound         = value;
  return first && *value;
}

static bool
chart_take(RlListenOptions *const w, const char *const value)
{
  const bool first = !w->chart;
  w->chart         = value;
  return first && *value;
}

static bool
output_take(RlListenOptions *const w, const char *const value)
{
  w->output = value;
  return *value;
}

static bool
format_take(RlListenOptions *const w, const char *const value)
{
  static const char *const names[RL_LISTEN_FORMATS] = {"midi", "bars", "beats", "click"};
  int                      i                        = 0;
  while (i < RL_LISTEN_FORMATS && strcmp(value, names[i]) != 0) {
    ++i;
  }
  w->format = (RlListenFormat)i;
  return i < RL_LISTEN_FORMATS;
}

static bool
key_take(RlListenOptions *const w, const char *const value)
{
  w->has_key = true;
  return rl_key_read(rl_slice(value), &w->key);
}

static bool
tempo_take(RlListenOptions *const w, const char *const value)
{
  char *end;
  w->tempo = strtod(value, &end);
  return *value && !*end && w->tempo >= 50 && w->tempo <= 220;
}

static bool
help_take(RlListenOptions *const w, const char *const value)
{
  (void)value;
  w->said = usage;
  return true;
}

static bool
version_take(RlListenOptions *const w, const char *const value)
{
  (void)value;
  w->said = version;
  return true;
}

/* ---- options ---- */

static const struct {
  const char *name;
  bool        alone; /* without a value */
  bool (*take)(RlListenOptions *wish, const char *value);
  const char *why;
} options[] = {
  {"--chart", false, chart_take, "one chart, please: a file"},
  {"--output", false, output_take, "name a file"},
  {"-o", false, output_take, "name a file"},
  {"--as", false, format_take, "formats are midi, bars, beats, click"},
  {"--key", false, key_take, "no such key; write G, Bb, F#, or Gm where the chart is in minor"},
  {"--tempo", false, tempo_take, "felt beats a minute run from 50 to 220"},
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

static RlListenEnd
refuse(const char *const argument, const char *const why)
{
  return rl_listen_complain(RL_LISTEN_USAGE, argument, why);
}

/* Takes the argument at `at`, and the one behind it where that is its value. */
static RlListenEnd
argument_take(const int count, char *const *const arguments, int *const at,
              RlListenOptions *const w)
{
  const char *const argument = arguments[*at];
  const char       *value    = NULL;
  const int         i        = option_find(argument, &value);
  if (argument[0] != '-' || !argument[1]) {
    return sound_take(w, argument) ? RL_LISTEN_DONE : refuse(argument, "one recording, please");
  }
  if (i < 0) {
    return refuse(argument, "not understood; see reedlamp-listen --help");
  }
  if (!options[i].alone && !value) {
    if (*at + 1 == count) {
      return refuse(argument, "needs a value; see reedlamp-listen --help");
    }
    value = arguments[++*at];
  }
  return (!options[i].alone || !value) && options[i].take(w, value)
           ? RL_LISTEN_DONE
           : refuse(argument, options[i].why);
}

RlListenEnd
rl_listen_options(const int count, char *const *const arguments, RlListenOptions *const w)
{
  *w = (RlListenOptions){.format = RL_LISTEN_MIDI};
  for (int at = 1; at < count && !w->said; ++at) {
    const RlListenEnd end = argument_take(count, arguments, &at, w);
    if (end != RL_LISTEN_DONE) {
      return end;
    }
  }
  if (w->said) {
    return RL_LISTEN_DONE;
  }
  if (!w->sound) {
    return refuse(NULL, "which recording? Name its file; see reedlamp-listen --help");
  }
  if (!w->chart) {
    return refuse(NULL, "which chart? Name its file with --chart");
  }
  if (w->format == RL_LISTEN_CLICK && !w->output) {
    return refuse("--as=click", "where to? Name a file with -o");
  }
  return RL_LISTEN_DONE;
}
