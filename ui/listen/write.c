/* SPDX-License-Identifier: ISC */
/* What was found, as a file: whole or not at all. */
#include "ui/listen/listen.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

bool
rl_listen_text(FILE *const file, const RlFound *const found, const bool beats)
{
  for (int i = 0; i < found->beats; ++i) {
    const RlFoundBeat *const b = &found->beat[i];
    if (beats) {
      fprintf(file, "%.3f %d %d %d %.2f\n", b->seconds, b->chorus, b->bar, b->beat, b->sure);
    } else if (b->beat == 1) {
      fprintf(file, "%.3f %d %d\n", b->seconds, b->chorus, b->bar);
    }
  }
  return !ferror(file);
}

/* What is to be written. */
typedef struct {
  const RlListenOptions *options;
  const RlForm          *form;
  const RlRecording     *recording;
  const RlFound         *found;
} Bars;

static bool
bars_put(void *const what, FILE *const file)
{
  const Bars *const b = what;
  return b->options->format == RL_LISTEN_MIDI
           ? rl_listen_midi(file, b->form, b->found)
           : rl_listen_text(file, b->found, b->options->format == RL_LISTEN_BEATS);
}

static bool
bars_fill(void *const what, const char *const path)
{
  const Bars *const b = what;
  return b->options->format == RL_LISTEN_CLICK ? rl_listen_click(path, b->recording, b->found)
                                               : rl_listen_file(path, bars_put, what);
}

bool
rl_listen_file(const char *const path, bool (*const put)(void *what, FILE *file), void *const what)
{
  FILE *const file = path ? fopen(path, "wb") : stdout;
  bool        good = file && put(what, file);
  if (file) {
    good = fflush(file) == 0 && good;
    good = (!path || fclose(file) == 0) && good;
  }
  return good;
}

RlListenEnd
rl_listen_output(const char *const output, bool (*const fill)(void *what, const char *path),
                 void *const       what)
{
  const bool   named = output && strcmp(output, "-") != 0;
  const size_t room  = named ? strlen(output) + 32 : 1;
  char *const  part  = malloc(room);
  const char  *why   = NULL;
  if (!part) {
    return rl_listen_complain(RL_LISTEN_OUTPUT, output, "not enough memory");
  }
  if (named) {
    snprintf(part, room, "%s.%ld", output, (long)getpid());
  }
  errno = 0;
  if (!fill(what, named ? part : NULL) || (named && rename(part, output) != 0)) {
    why = errno ? strerror(errno) : "cannot be written";
    if (named) {
      remove(part);
    }
  }
  free(part);
  return why ? rl_listen_complain(RL_LISTEN_OUTPUT, named ? output : "standard output", why)
             : RL_LISTEN_DONE;
}

RlListenEnd
rl_listen_write(const RlListenOptions *const w, const RlForm *const form,
                const RlRecording *const recording, const RlFound *const found)
{
  Bars bars = {w, form, recording, found};
  return rl_listen_output(w->output, bars_fill, &bars);
}
