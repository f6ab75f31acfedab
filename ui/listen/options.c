/* SPDX-License-Identifier: ISC */
/* The command line of reedlamp-listen. */
#include "ui/listen/listen.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char version[] = "reedlamp-listen " RL_VERSION "\n";

static const char usage[] =
  "usage: reedlamp-listen SOUND --chart=FILE [OPTION...]\n"
  "       reedlamp-listen SOUND --phrase=FROM-TO [OPTION...]\n"
  "Finds the bars of a song's form in a recording of it, or lifts the phrase that a horn plays.\n"
  "\n"
  "  SOUND             the recording: WAV, FLAC, Ogg Vorbis, whatever libsndfile reads\n"
  "  --chart=FILE      the form; for a phrase: the chords under it, from the bar line --at on\n"
  "  -o, --output=FILE where to (standard output; a click needs a file)\n"
  "  --as=midi         a Standard MIDI File: tempo map, a marker for every chorus and section\n"
  "  --as=bars         text: the second, chorus and number of every bar\n"
  "  --as=beats        text: second, chorus, bar, beat and how sure, a line for every felt beat\n"
  "  --as=click        the recording with a click on every beat, as WAV\n"
  "  --phrase=FROM-TO  lifts the phrase between these seconds (all of it: --phrase=all)\n"
  "  --as=abc          the phrase in ABC, on the grid: what --phrase writes\n"
  "  --as=notes        the phrase as text: seconds on and off, MIDI number, how sure, a line a "
  "note\n"
  "  --as=midi         with --phrase: its notes\n"
  "  --key=KEY         the key the song sounds in (found)\n"
  "  --tempo=TEMPO     felt beats a minute, 50 to 220: to start out from (found); of a phrase: "
  "the\n"
  "                    tempo, to the hundredth\n"
  "  --at=SECONDS      where bar 1 of the chart begins, in any chorus (found); for a phrase it "
  "may\n"
  "                    lie before the recording\n"
  "  --feel=FEEL       straight or swung, for a phrase (found)\n"
  "  --anyway          writes what fits best though the form is not heard in it\n"
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
  static const char *const names[RL_LISTEN_FORMATS] = {"midi",  "bars",  "beats",
                                                       "click", "notes", "abc"};
  int                      i                        = 0;
  while (i < RL_LISTEN_FORMATS && strcmp(value, names[i]) != 0) {
    ++i;
  }
  w->format     = (RlListenFormat)i;
  w->has_format = true;
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

/* A number of seconds up to `end`. */
static bool
seconds_read(const char *const text, const char *const end, double *const seconds)
{
  char *past;
  *seconds = strtod(text, &past);
  return past == end && past > text && *seconds > -1e6 && *seconds < 1e6;
}

static bool
phrase_take(RlListenOptions *const w, const char *const value)
{
  const char *const dash = *value ? strchr(value + 1, '-') : NULL;
  w->lift                = true;
  w->from                = 0;
  w->to                  = HUGE_VAL;
  if (!strcmp(value, "all")) {
    return true;
  }
  return dash && seconds_read(value, dash, &w->from) &&
         seconds_read(dash + 1, value + strlen(value), &w->to) && w->from >= 0 && w->to > w->from;
}

static bool
at_take(RlListenOptions *const w, const char *const value)
{
  w->has_at = true;
  return seconds_read(value, value + strlen(value), &w->at);
}

static bool
feel_take(RlListenOptions *const w, const char *const value)
{
  w->feel = !strcmp(value, "straight") ? RL_LIFT_STRAIGHT
            : !strcmp(value, "swung")  ? RL_LIFT_SWUNG
                                       : RL_LIFT_FEEL_UNKNOWN;
  return w->feel != RL_LIFT_FEEL_UNKNOWN;
}

static bool
anyway_take(RlListenOptions *const w, const char *const value)
{
  (void)value;
  w->anyway = true;
  return true;
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
  {"--as", false, format_take, "formats are midi, bars, beats, click, notes, abc"},
  {"--key", false, key_take, "no such key; write G, Bb, F#, or Gm where the chart is in minor"},
  {"--tempo", false, tempo_take, "felt beats a minute run from 50 to 220"},
  {"--phrase", false, phrase_take, "from one second to a later one, as 12.5-20, or all"},
  {"--at", false, at_take, "seconds, as 1.25 or -0.5"},
  {"--feel", false, feel_take, "a phrase is straight or swung"},
  {"--anyway", true, anyway_take, "takes no value"},
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

/* What belongs together. A phrase is wanted where its seconds are named, or a format of its own. */
static RlListenEnd
wish_check(RlListenOptions *const w)
{
  const bool bars =
    w->format == RL_LISTEN_BARS || w->format == RL_LISTEN_BEATS || w->format == RL_LISTEN_CLICK;
  if (w->format == RL_LISTEN_NOTES || w->format == RL_LISTEN_ABC) {
    w->lift = true;
  }
  if (w->lift && bars) {
    return refuse("--as", "bars, beats and a click are of a song; a phrase is abc, notes or midi");
  }
  if (!w->lift && w->feel != RL_LIFT_FEEL_UNKNOWN) {
    return refuse("--feel", "is for a phrase; name it with --phrase");
  }
  if (w->lift && w->anyway) {
    return refuse("--anyway", "is for the bars of a song, not for a phrase");
  }
  if (!w->lift && !w->chart) {
    return refuse(NULL, "which chart? Name its file with --chart; or a phrase with --phrase");
  }
  if (w->format == RL_LISTEN_CLICK && !w->output) {
    return refuse("--as=click", "where to? Name a file with -o");
  }
  if (w->lift && !w->has_format) {
    w->format = RL_LISTEN_ABC;
  }
  return RL_LISTEN_DONE;
}

RlListenEnd
rl_listen_options(const int count, char *const *const arguments, RlListenOptions *const w)
{
  *w = (RlListenOptions){.format = RL_LISTEN_MIDI, .to = HUGE_VAL};
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
  return wish_check(w);
}
