/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* realpath() */
/* What was found, as a file: whole or not at all. */
#include "ui/listen/listen.h"

#include "ui/files/output_place.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
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

/* Fills a file beside `path`, which then takes its place and its mode. NULL, or why not. */
static const char *
file_fill(const char *const path, bool (*const fill)(void *what, const char *path),
          void *const       what)
{
  struct stat       is;
  const bool        there = stat(path, &is) == 0;
  const char *const why   = there ? rl_output_place_wrong(path, &is) : NULL;
  const size_t      room  = strlen(path) + 32;
  char *const       part  = why ? NULL : malloc(room);
  if (!part) {
    return why ? why : "not enough memory";
  }
  snprintf(part, room, "%s.%ld", path, (long)getpid());
  errno = 0;
  const bool good =
    fill(what, part) && (!there || chmod(part, is.st_mode & 07777) == 0) && rename(part, path) == 0;
  const int wrong = errno;
  if (!good) {
    remove(part);
  }
  free(part);
  return good ? NULL : wrong ? strerror(wrong) : "cannot be written";
}

RlListenEnd
rl_listen_output(const char *const output, bool (*const fill)(void *what, const char *path),
                 void *const       what)
{
  const bool  named    = output && strcmp(output, "-") != 0;
  char *const leads_to = named ? realpath(output, NULL) : NULL; /* of a link */
  const char *why      = NULL;
  if (named) {
    why = file_fill(leads_to ? leads_to : output, fill, what);
  } else {
    errno = 0;
    why   = fill(what, NULL) ? NULL : errno ? strerror(errno) : "cannot be written";
  }
  free(leads_to);
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
