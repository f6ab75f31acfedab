/* SPDX-License-Identifier: ISC */
#include "ui/files/clip_lift.h"

#include "ui/files/clip_hear.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

bool
rl_clip_lift_takes(const char *const name)
{
  static const char *const ends[] = {".wav", ".flac", ".ogg", ".oga"};
  const char *const        dot    = strrchr(name, '.');
  bool                     takes  = false;
  for (size_t i = 0; dot && i < sizeof(ends) / sizeof(ends[0]); ++i) {
    takes = takes || !strcasecmp(dot, ends[i]);
  }
  return takes && rl_clip_lift_can();
}

double
rl_clip_lift_tempo(const char *const name)
{
  enum { LOWEST = 20, HIGHEST = 400 };
  for (const char *at = name; *at; ++at) {
    char      *end = NULL;
    const bool first =
      isdigit((unsigned char)*at) && (at == name || !isalnum((unsigned char)at[-1]));
    const double tempo = first ? (double)strtoul(at, &end, 10) : 0;
    if (end && tempo >= LOWEST && tempo <= HIGHEST &&
        !strncasecmp(end + (*end == ' ' || *end == '-' || *end == '_'), "bpm", 3)) {
      return tempo;
    }
  }
  return 0;
}

static void
work(void *const data, const RlBackground *const background)
{
  (void)background;
  rl_clip_hear((RlClipLift *)data);
}

RlBackground *
rl_clip_lift_begin(const char *const folder, const char *const name, const char *const title,
                   RlClipLift **const lift)
{
  RlClipLift   *l          = (RlClipLift *)calloc(1, sizeof(RlClipLift));
  RlBackground *background = NULL;
  if (l) {
    RlText path = rl_text_in(l->path, sizeof(l->path));
    rl_text_add(&path, folder);
    rl_text_add(&path, "/");
    rl_text_add(&path, name);
    RlText text = rl_text_in(l->title, sizeof(l->title));
    rl_text_add(&text, title);
    background = rl_file_work_begin(work, free, l);
  }
  if (!background) {
    free(l);
    l = NULL;
  }
  *lift = l;
  return background;
}
