/* SPDX-License-Identifier: ISC */
/* Prints the events that rl_smf_next() finds in files, one JSON object a file, for smf/check.mjs to
   compare:

     {"file":"a.mid","type":1,"tracks":2,"events":[[track,ticks,144,60,80],[track,ticks,"tempo",500000],…]}

   and {"file":"a.mid","error":"byte 22: …"} for a broken one. */
#include "core/capture/smf.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char  bytes[RL_SMF_MAX + 1];
static RlSmf smf;

static void
event_print(const RlSmfEvent *const e, const bool first)
{
  static const char *const names[] = {[RL_SMF_TEMPO] = "tempo",
                                      [RL_SMF_METER] = "meter",
                                      [RL_SMF_KEY]   = "key",
                                      [RL_SMF_NAME]  = "name"};
  if (e->kind == RL_SMF_OTHER) {
    return;
  }
  printf("%s[%d,%llu", first ? "" : ",", e->track, (unsigned long long)e->ticks);
  if (e->kind == RL_SMF_MIDI) {
    for (int i = 0; i < e->size; ++i) {
      printf(",%d", e->bytes[i]);
    }
  } else if (e->kind == RL_SMF_TEMPO) {
    printf(",\"%s\",%u", names[e->kind], e->value);
  } else if (e->kind == RL_SMF_NAME) {
    printf(",\"%s\",\"%.*s\"", names[e->kind], (int)e->text.length, e->text.at);
  } else {
    printf(",\"%s\",%d,%d", names[e->kind], e->bytes[0], e->bytes[1]);
  }
  printf("]");
}

static void
file_print(const char *const path)
{
  FILE *const       file  = fopen(path, "rb");
  const char *const slash = strrchr(path, '/');
  RlSmfError        error;
  RlSmfEvent        e;
  if (!file) {
    fprintf(stderr, "%s: cannot be opened\n", path);
    exit(1);
  }
  const RlSlice all = {bytes, fread(bytes, 1, sizeof(bytes), file)};
  fclose(file);
  printf("{\"file\":\"%s\"", slash ? slash + 1 : path);
  bool first = true;
  int  more  = rl_smf_open(&smf, all, &error) ? 1 : -1;
  if (more > 0) {
    printf(",\"type\":%d,\"tracks\":%d,\"events\":[", smf.type, smf.tracks);
    while ((more = rl_smf_next(&smf, &e, &error)) > 0) {
      event_print(&e, first);
      first = first && e.kind == RL_SMF_OTHER;
    }
    printf("]");
  }
  if (more < 0) {
    char   words[256];
    RlText text = rl_text_in(words, sizeof(words));
    rl_smf_error_write(&error, &text);
    printf(",\"error\":\"%s\"", words);
  }
  printf("}\n");
}

int
main(const int argc, char **const argv)
{
  for (int i = 1; i < argc; ++i) {
    file_print(argv[i]);
  }
  return 0;
}
