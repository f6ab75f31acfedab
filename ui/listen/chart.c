/* SPDX-License-Identifier: ISC */
#include "core/chart/chart.h"

#include "ui/listen/listen.h"

#include <errno.h>
#include <string.h>

enum { WORDS_ROOM = 512 };

RlListenEnd
rl_listen_chart(const char *const path, RlForm *const form)
{
  static char  text[RL_CHART_MAX + 1]; /* one more than may be, so that too much is seen */
  char         words[WORDS_ROOM];
  RlText       out = rl_text_in(words, sizeof(words));
  RlChartError error;
  FILE *const  file   = fopen(path, "rb");
  const size_t length = file ? fread(text, 1, sizeof(text), file) : 0;
  const bool   bad    = !file || ferror(file);
  const int    why    = errno;
  if (file) {
    fclose(file);
  }
  if (bad) {
    return rl_listen_complain(RL_LISTEN_INPUT, path, strerror(why));
  }
  if (rl_chart_read((RlSlice){text, length}, form, &error)) {
    return RL_LISTEN_DONE;
  }
  rl_chart_error_write(&error, &out);
  return rl_listen_complain(RL_LISTEN_INPUT, path, words);
}
